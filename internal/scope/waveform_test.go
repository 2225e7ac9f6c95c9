package scope

import (
	"image"
	"testing"

	"backporch/internal/composite"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rowOf is where a level must stand in a box of the range -420 to 1020 mV.
func rowOf(box image.Rectangle, mv float64) int {
	return box.Min.Y + int((1020-mv)/1440*float64(box.Dy()))
}

// columnOf is where a time after 0H must stand in a box that begins 2.5 us before.
func columnOf(box image.Rectangle, s *timing.Scan, us float64) int {
	return box.Min.X + int((us+2.5)/(s.LinePeriod().Float64()+2.5)*float64(box.Dx()))
}

// middle is the middle of the dark part of a column of the trace.
func middle(m *image.RGBA, box image.Rectangle, x int) float64 {
	sum, n := 0, 0
	for y := box.Min.Y; y < box.Max.Y; y++ {
		if d := darkness(m, x, y); d > 40 {
			sum += d * (2*y + 1)
			n += 2 * d
		}
	}
	return float64(sum) / float64(n)
}

// TestLevelsInThePicture finds the trace where the standards have it. SMPTE
// 170M table 1: white 100 IRE, setup 7.5, sync -40; table A.3: first bar 76.875
// IRE. ITU-R BT.1700 Annex 1 Part B table 2: 700, 0 and -300 mV.
func TestLevelsInThePicture(t *testing.T) {
	const ire = 1000.0 / 140
	tests := []struct {
		wire   string
		scan   *timing.Scan
		level  float64
		us, mv float64
		what   string
	}{
		{"composite-m", timing.Scan525i, 1, 12, 100 * ire, "white"},
		{"composite-m", timing.Scan525i, 0.75, 12, 76.875 * ire, "white of 75 %"},
		{"composite-m", timing.Scan525i, 0.75, 58, 7.5 * ire, "setup"},
		{"composite-m", timing.Scan525i, 0.75, 2.5, -40 * ire, "sync tip"},
		{"composite-m", timing.Scan525i, 0.75, 8.5, 0, "blanking"},
		{"composite-j", timing.Scan525i, 0.75, 12, 75 * ire, "white of 75 %, no setup"},
		{"composite-j", timing.Scan525i, 0.75, 58, 0, "black, no setup"},
		{"pal", timing.Scan625i, 1, 13, 700, "white"},
		{"pal", timing.Scan625i, 1, 2.5, -300, "sync tip"},
		{"composite-m", timing.Scan262, 1, 12, 100 * ire, "white of 240p"},
		{"pal", timing.Scan312, 1, 13, 700, "white of 288p"},
	}
	for _, tt := range tests {
		for _, v := range []View{Line, Lines} {
			if v == Lines && tt.what != "sync tip" && tt.scan.Interlaced() {
				continue // half lines lie at blanking there
			}
			t.Run(tt.wire+" "+tt.scan.Name+" "+tt.what+" "+v.String(), func(t *testing.T) {
				p, err := Draw(standard(t, tt.wire, tt.scan, tt.level), Options{View: v})
				require.NoError(t, err)
				box := traceBox(t, p, 0)
				at := middle(traceAlone(p), box, columnOf(box, tt.scan, tt.us))
				assert.InDelta(t, float64(rowOf(box, tt.mv))+0.5, at, 0.8)
			})
		}
	}
}

// TestTopsInThePicture: the tops of 75 % yellow and cyan lie at white, with
// setup and without (SMPTE 170M table A.3; without: calculated), and those of
// 100 % bars at 131 IRE (clause 12.4), 933 mV on 625 lines.
func TestTopsInThePicture(t *testing.T) {
	const ire = 1000.0 / 140
	for _, tt := range []struct {
		wire  string
		scan  *timing.Scan
		level float64
		mv    float64
	}{
		{"composite-m", timing.Scan525i, 0.75, 100 * ire}, {"composite-j", timing.Scan525i, 0.75, 100 * ire},
		{"composite-m", timing.Scan525i, 1, 130.83 * ire}, {"pal", timing.Scan625i, 0.75, 700.4}, {"pal", timing.Scan625i, 1, 933.9},
	} {
		p, err := Draw(standard(t, tt.wire, tt.scan, tt.level), Options{View: Line})
		require.NoError(t, err)
		box := traceBox(t, p, 0)
		m := traceAlone(p)
		top := box.Max.Y
		for us := 17.5; us < 21; us += 0.05 { // within yellow
			for y := box.Min.Y; y < top; y++ {
				if darkness(m, columnOf(box, tt.scan, us), y) > 60 {
					top = y
				}
			}
		}
		half := float64(box.Dx()) / 835 * 2.5 // of the thickness of the trace
		assert.InDelta(t, float64(rowOf(box, tt.mv))-half, float64(top), 1.6, "%s %v", tt.wire, tt.level)
	}
}

func TestNotes(t *testing.T) {
	p, err := Draw(standard(t, "composite-m", timing.Scan525i, 0.75), Options{View: Line, Title: "bars", Subtitle: "480i"})
	require.NoError(t, err)
	assert.Equal(t, "480i, composite with 7.5 IRE setup, line 142, color field 1 of 4", p.Subtitle)
	assert.Contains(t, p.Notes, "blanking 0.0 IRE, sync tip \u221240.0 IRE; burst 40.0 IRE peak to peak.")

	half := composite.Standard
	half.Burst = 0.5
	p, err = Draw(wave(t, "pal", timing.Scan625i, 0.75, half, 1), Options{View: Lines})
	require.NoError(t, err)
	assert.Contains(t, p.Notes, "sync tip \u2212300 mV; burst 150 mV peak to peak.")
	half.Burst = 0
	p, err = Draw(wave(t, "pal", timing.Scan625i, 0.75, half, 1), Options{View: Lines})
	require.NoError(t, err)
	assert.Contains(t, p.Notes, "; no burst.")

	// SMPTE 170M figure 7: no burst on lines 1 to 9.
	for line, want := range map[int]string{9: "; no burst on this line.", 10: "; burst 40.0 IRE peak to peak."} {
		p, err = Draw(standard(t, "composite-m", timing.Scan525i, 0.75), Options{Line: line})
		require.NoError(t, err)
		assert.Contains(t, p.Notes, want, "line %d", line)
	}
}

// TestParadeLevels: EBU N10 levels of 100 % bars, and RGB with sync on green
// alone (SMPTE 170M Annex B figure).
func TestParadeLevels(t *testing.T) {
	p, err := Draw(standard(t, "component-n10", timing.Scan625i, 1), Options{View: Parade})
	require.NoError(t, err)
	assert.Regexp(t, `^Trace: Y picture up to 70[0-2] mV, blanking 0 mV, sync tip \x{2212}300 mV; PB from \x{2212}35[0-1] mV to 35[0-1] mV; PR from \x{2212}35[0-1] mV to 35[0-1] mV; `, p.Notes)
	p, err = Draw(standard(t, "rgb-714", timing.Scan525i, 1), Options{View: Parade, Units: IRE})
	require.NoError(t, err)
	assert.Regexp(t, `^Trace: R from .?0\.\d IRE to 100\.\d IRE; G picture up to 100\.\d IRE, blanking 0\.0 IRE, sync tip \x{2212}40\.0 IRE; B from `, p.Notes)
}

// TestFieldShowsTheInterval: broad pulses hold the signal at the tip for most
// of three lines from line 4 on (SMPTE 170M figure 7), and the picture begins
// with line 21 (figure 6).
func TestFieldShowsTheInterval(t *testing.T) {
	w := wave(t, "composite-m", timing.Scan525i, 1, composite.Standard, 2)
	for _, tt := range []struct {
		field       int
		broad, open float64 // lines from the beginning of the field
	}{{1, 3, 20}, {2, 3, 20}} {
		p, err := Draw(w, Options{View: Field, Field: tt.field, Width: 4000})
		require.NoError(t, err)
		box := traceBox(t, p, 0)
		m := traceAlone(p)
		column := func(lines float64) int {
			return box.Min.X + int((lines+2.5*0.015734)/(262.5+3)*float64(box.Dx()))
		}
		tip, white := rowOf(box, -285.7), rowOf(box, 714.3)
		at := func(lines float64, y int) int {
			most := 0
			for x := column(lines) - 1; x <= column(lines)+1; x++ {
				most = max(most, darkness(m, x, y), darkness(m, x, y+1), darkness(m, x, y-1))
			}
			return most
		}
		for k := range 6 {
			assert.Greater(t, at(tt.broad+float64(k)/2+0.2, tip), 150, "field %d, broad pulse %d", tt.field, k)
			assert.Less(t, at(tt.broad+float64(k)/2+0.2, rowOf(box, 0)), 30, "field %d, broad pulse %d", tt.field, k)
		}
		assert.Less(t, at(tt.open-0.8, white), 30, "field %d", tt.field)
		assert.Greater(t, at(tt.open+1.2, white), 30, "field %d", tt.field)
	}
}

// TestLinesAlikeAreOne: 525-line bars have four different sweeps (two phases
// of the carrier, and half lines at two ends), however many lines.
func TestLinesAlikeAreOne(t *testing.T) {
	w := standard(t, "composite-m", timing.Scan525i, 0.75)
	s, err := newSetUp(w, Options{View: Lines})
	require.NoError(t, err)
	list := s.lineStretches(0, s.lines())
	assert.LessOrEqual(t, len(list), 10)
	total := 0
	for _, c := range list {
		total += c.weight
	}
	assert.Equal(t, 486, total, "SMPTE 170M figure 6: lines 21 to 263 and 283 to 525")
}

// TestReachBesideTheBurst: a dark picture lies below the tops of the burst, and
// what is said is its own level. Yellow of 75 % bars reaches 100 IRE (SMPTE 170M
// table A.3), so that of 4 % bars 7.5 + 92.5 * 4/75 = 12.4.
func TestReachBesideTheBurst(t *testing.T) {
	for _, tt := range []struct {
		name    string
		options Options
	}{
		{"line", Options{View: Line}},
		{"lines", Options{View: Lines}},
		{"field 1", Options{View: Field, Field: 1}},
		{"field 2", Options{View: Field, Field: 2}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p, err := Draw(wave(t, "composite-m", timing.Scan525i, 0.04, composite.Standard, 2), tt.options)
			require.NoError(t, err)
			assert.Regexp(t, `^Trace: picture up to 12\.[3-6] IRE, .*; burst 40\.0 IRE peak to peak\.$`, p.Notes)
		})
	}
}
