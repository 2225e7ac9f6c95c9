package trace

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/composite"
	"backporch/internal/testtable"
	"backporch/timing"
)

// Lines of a record with a field sync are numbered, and those of the vertical
// interval left out: numbers are those of the published tables of lines.
func TestFieldSync(t *testing.T) {
	for _, tt := range []struct {
		raster, wire, table string
		first, lines        int // of the frame; the record runs over into the next
	}{
		{"486i", "composite-m", "lines_525.csv", 520, 40},
		{"486i", "composite-m", "lines_525.csv", 255, 40},
		{"576i", "pal", "lines_625.csv", 615, 50},
		{"576i", "pal", "lines_625.csv", 300, 50},
	} {
		t.Run(fmt.Sprint(tt.raster, tt.first), func(t *testing.T) {
			k := take{spec: "bars-full set=100/0/75/0", raster: tt.raster, wire: tt.wire, options: composite.Standard, first: tt.first, lines: tt.lines, before: 2, after: 2, mhz: 25}
			target := targetOf(t, k.spec, k.raster, k.wire, "")
			m, err := newMeter(k.record(t), Conditions{}, &target)
			require.NoError(t, err)
			total := m.scan.Lines
			want := map[int]bool{} // whole lines of picture, by the table
			for _, row := range testtable.Table(t, tt.table) {
				n := row.Int(t, "line")
				in := (n-tt.first+total)%total < tt.lines
				if in && row.Text(t, "picture") == "full" {
					want[n] = true
				}
			}
			_, err = m.report()
			require.NoError(t, err)
			got := map[int]bool{}
			for _, n := range m.lines {
				got[n.number] = true
			}
			for n := range want {
				assert.True(t, got[n], "line %d is missing", n)
			}
			for n := range got {
				if !want[n] { // half lines are whole lines of the raster
					assert.Contains(t, []int{23, 263, 283, 623}, n)
				}
			}
		})
	}
}

// A whole field, with its vertical interval, reads as the tables print it; half
// lines that the raster has do no harm.
func TestField(t *testing.T) {
	k := take{spec: ntsc75, raster: "480i", wire: "composite-m", options: composite.Standard, first: 257, lines: 266, before: 2, after: 2, mhz: 25, noise: 10, bits: 8}
	r, err := Measure(k.record(t), Conditions{}, targetOf(t, k.spec, k.raster, k.wire, ""))
	require.NoError(t, err)
	printed(t, r, 1.5, 0.5)
	assert.True(t, r.Fit(), show(r))
	require.Len(t, r.Bands, 1)
	assert.True(t, r.Bands[0].Numbered)
	assert.Equal(t, "certain", r.Bands[0].Sure)
	assert.InDelta(t, 243, r.Lines, 2) // 257-262 of field 1 and 286-522 of field 2
	assert.Greater(t, fact(t, r, "sync depth").Spread, 0.1)
}

// Which row of a pattern a line shows is found, and the patches of that row are
// those that are measured.
func TestRows(t *testing.T) {
	for _, tt := range []struct {
		line    int
		patches []string
		sure    string
	}{
		{100, []string{"gray", "yellow", "cyan", "green", "magenta", "red", "blue"}, "certain"},
		{190, []string{"reverse blue", "reverse black 1", "reverse magenta", "reverse black 2", "reverse cyan", "reverse black 3", "reverse gray"}, "certain"},
		{240, []string{"-I", "white", "+Q", "black", "PLUGE below black", "PLUGE black", "PLUGE above black", "right black"}, "certain"},
	} {
		for _, given := range []int{0, tt.line} {
			k := take{spec: "bars-eg1", raster: "480i", wire: "composite-m", options: composite.Standard, first: tt.line, lines: 2, before: 2, after: 2, mhz: 50, noise: 2}
			r, err := Measure(k.record(t), Conditions{Line: given}, targetOf(t, k.spec, k.raster, k.wire, ""))
			require.NoError(t, err)
			var names []string
			for _, p := range r.Patches {
				names = append(names, p.Name)
			}
			assert.Equal(t, tt.patches, names)
			assert.Equal(t, tt.sure, r.Bands[0].Sure, "%+v", r.Bands)
			assert.Equal(t, given > 0, r.Bands[0].Numbered)
			assert.True(t, r.Fit(), show(r))
			for _, f := range r.Facts { // SMPTE 170M-2004 table 2, where the edge of the picture is one of luma
				if f.Name == "picture begins" {
					assert.InDelta(t, 9.2, f.Got, 0.02)
				}
			}
		}
	}
	// The -I and +Q of 40 IRE at 303 and 33 degrees, and PLUGE (bars_composite_ntsc.csv, secondary).
	k := take{spec: "bars-eg1", raster: "480i", wire: "composite-m", options: composite.Standard, first: 240, lines: 4, before: 2, after: 2, mhz: 50}
	r, err := Measure(k.record(t), Conditions{}, targetOf(t, k.spec, k.raster, k.wire, ""))
	require.NoError(t, err)
	seen := 0
	for _, row := range testtable.Table(t, "bars_composite_ntsc.csv") {
		name := map[string]string{"-I": "-I", "White flag": "white", "+Q": "+Q", "Super-black": "PLUGE below black", "Lighter than black": "PLUGE above black"}[row.Text(t, "bar")]
		if row.Text(t, "system") != "NTSC-M" || name == "" {
			continue
		}
		for _, p := range r.Patches {
			if p.Name == name {
				seen++
				assert.InDelta(t, row.Float(t, "lum_ire")/0.14, p.Got, exactMV, name)
				assert.InDelta(t, row.Float(t, "chroma_pp_ire")/0.14, p.GotPP, 2*exactMV, name)
				if row.Text(t, "phase_deg") != "" {
					assert.InDelta(t, row.Float(t, "phase_deg"), p.GotDegrees, exactDegrees, name)
				}
			}
		}
	}
	assert.Equal(t, 5, seen)
}

// Two rows that look alike cannot be told, and the report says so.
func TestCannotTell(t *testing.T) {
	assert.Equal(t, "certain", sure(true, 10, 10))
	assert.Equal(t, "certain", sure(false, 3, 50))
	assert.Equal(t, "likely", sure(false, 10, 16))
	assert.Equal(t, "cannot tell", sure(false, 10, 12))
	assert.Equal(t, "23, 25-26", ranges([]timing.Line{{Number: 26}, {Number: 23}, {Number: 25}}))
	assert.Equal(t, "7 lines from 1 to 13", ranges([]timing.Line{{Number: 1}, {Number: 3}, {Number: 5}, {Number: 7}, {Number: 9}, {Number: 11}, {Number: 13}}))
}

// --line in a record with a field sync takes that line alone.
func TestLineOfField(t *testing.T) {
	k := take{spec: "bars-eg1", raster: "480i", wire: "composite-m", options: composite.Standard, first: 255, lines: 60, before: 2, after: 2, mhz: 25}
	rec := k.record(t)
	target := targetOf(t, k.spec, k.raster, k.wire, "")
	r, err := Measure(rec, Conditions{Line: 300}, target)
	require.NoError(t, err)
	assert.Equal(t, 1, r.Lines)
	assert.Len(t, r.Patches, 7)
	_, err = Measure(rec, Conditions{Line: 100}, target)
	require.ErrorContains(t, err, "--line 100 is not in the record, which by its field sync has lines 255 to 314")
}

// The other cables: each signal by itself, with sync from another column where it
// has none. Levels are those of component_levels.csv and of SMPTE 170M.
func TestCables(t *testing.T) {
	for _, tt := range []struct {
		wire, signal, format, column string
		spec, set                    string
	}{
		{"component-n10", "Y", "N10", "y_mv", "bars-full set=100/0/75/0", "100/0/75/0"},
		{"component-n10", "PB", "N10", "pb_mv", "bars-full set=100/0/75/0", "100/0/75/0"},
		{"component-n10", "PR", "N10", "pr_mv", "bars-full set=100/0/75/0", "100/0/75/0"},
		{"component-betacam", "Y", "BETA_SETUP", "y_mv", "bars-full set=100/0/75/0", "100/0/75/0"},
		{"component-betacam", "PR", "BETA_SETUP", "pr_mv", "bars-full set=75/0/75/0", "75/0/75/0"},
	} {
		t.Run(tt.wire+tt.signal, func(t *testing.T) {
			k := take{spec: tt.spec, raster: "480i", wire: tt.wire, signal: tt.signal, first: 100, lines: 2, before: 2, after: 2, mhz: 50, offset: 20}
			r, err := Measure(k.withSync(t), Conditions{}, targetOf(t, k.spec, k.raster, k.wire, tt.signal))
			require.NoError(t, err)
			i := 0
			for _, row := range testtable.Table(t, "component_levels.csv") {
				if row["format"] == "" {
					require.Contains(t, row, "format", "%v", row)
				}
				if row.Text(t, "format") != tt.format || row.Text(t, "bars") != tt.set {
					continue
				}
				require.Less(t, i, len(r.Patches))
				assert.InDelta(t, row.Float(t, tt.column), r.Patches[i].Got, exactMV, r.Patches[i].Name)
				i++
			}
			assert.Equal(t, 8, i)
			assert.True(t, r.Fit(), show(r))
			if tt.wire == "component-betacam" && tt.signal == "Y" {
				assert.Equal(t, "7.5", r.Setup.Word)
			}
		})
	}
	t.Run("green", func(t *testing.T) {
		k := take{spec: "bars-full set=75/0/75/0", raster: "576i", wire: "rgb-700", signal: "G", first: 100, lines: 2, before: 2, after: 2, mhz: 50, gain: 2}
		r, err := Measure(k.record(t), Conditions{}, targetOf(t, k.spec, k.raster, k.wire, "G"))
		require.NoError(t, err)
		for i, on := range []float64{1, 1, 1, 1, 0, 0, 0, 0} { // 75 % of 700 mV where green is on
			assert.InDelta(t, 525*on, r.Patches[i].Got, exactMV, r.Patches[i].Name)
		}
		require.Len(t, r.Faults, 1)
		assert.Equal(t, "not terminated", r.Faults[0].Name)
	})
	t.Run("red", func(t *testing.T) {
		k := take{spec: "bars-full set=75/0/75/0", raster: "576i", wire: "rgb-700", signal: "R", first: 100, lines: 2, before: 2, after: 2, mhz: 50, gain: 1.4}
		r, err := Measure(k.withSync(t), Conditions{}, targetOf(t, k.spec, k.raster, k.wire, "R"))
		require.NoError(t, err)
		assert.InDelta(t, 1.4, r.Gain.Luma, 0.01)
		assert.False(t, r.Fit())
	})
	t.Run("C", func(t *testing.T) {
		k := take{spec: ntsc75, raster: "480i", wire: "yc-m", signal: "C", options: composite.Standard, first: 100, lines: 2, before: 2, after: 2, mhz: 50, gain: 2.0 / 3}
		r, err := Measure(k.withSync(t), Conditions{}, targetOf(t, k.spec, k.raster, k.wire, "C"))
		require.NoError(t, err)
		for i, row := range testtable.Table(t, "smpte170m_75_bars.csv") {
			assert.InDelta(t, row.Float(t, "chroma_pp_IRE")/0.14, r.Patches[i].GotPP, 2*exactMV)
			assert.False(t, r.Patches[i].HasLevel)
		}
		require.Len(t, r.Faults, 1, show(r))
		assert.Equal(t, "terminated twice", r.Faults[0].Name)
		assert.Contains(t, r.Faults[0].Text, "burst x 0.667, color x 0.667")
	})
	t.Run("Y", func(t *testing.T) {
		k := take{spec: ntsc75, raster: "480i", wire: "yc-m", signal: "Y", options: composite.Standard, first: 100, lines: 2, before: 2, after: 2, mhz: 50}
		r, err := Measure(k.record(t), Conditions{}, targetOf(t, k.spec, k.raster, k.wire, "Y"))
		require.NoError(t, err)
		for i, row := range testtable.Table(t, "smpte170m_75_bars.csv") {
			assert.InDelta(t, row.Float(t, "luma_IRE")/0.14, r.Patches[i].Got, exactMV)
			assert.False(t, r.Patches[i].HasPP)
		}
		assert.True(t, r.Fit(), show(r))
	})
}

// withSync records a signal with the one that has sync beside it.
func (k take) withSync(t *testing.T) *Trace {
	w, c := k.encode(t)
	r := k.sample(w, c)
	if !w.Wire.HasSync(c) {
		sync := 0
		for i := range w.Samples {
			if w.Wire.HasSync(i) {
				sync = i
			}
		}
		r.Sync = k.sample(w, sync).MV
	}
	return r
}

// Without interlace every field is as the first: lines of the second frame are
// numbered as those of the first, 22 to 261 or 23 to 310 of picture.
func TestFieldSyncLowLine(t *testing.T) {
	for _, tt := range []struct {
		raster, wire string
		total, top   int // lines of the frame, and the first of picture
		bottom       int
	}{
		{"240p", "composite-m", 262, 22, 261}, {"240p-263", "composite-m", 263, 22, 261}, {"288p", "pal", 312, 23, 310},
	} {
		k := take{spec: "bars-full set=75/0/75/0", raster: tt.raster, wire: tt.wire, options: composite.Standard, first: tt.total - 8, lines: 50, before: 2, after: 2, mhz: 25}
		target := targetOf(t, k.spec, k.raster, k.wire, "")
		m, err := newMeter(k.record(t), Conditions{}, &target)
		require.NoError(t, err)
		_, err = m.report()
		require.NoError(t, err)
		var got []int
		for _, n := range m.lines {
			got = append(got, n.number)
		}
		var want []int
		for i := range 50 {
			if n := (tt.total-8+i-1)%tt.total + 1; n >= tt.top && n <= tt.bottom {
				want = append(want, n)
			}
		}
		assert.Equal(t, want, got, tt.raster)
	}
}
