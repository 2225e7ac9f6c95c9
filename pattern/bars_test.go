package pattern

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/testtable"
	"backporch/pattern/frame"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tableCodes returns the 8- and 10-bit codes of a row of a table, whose
// columns begin with prefix.
func tableCodes(t *testing.T, r testtable.Row, prefix string) (eight, ten [3]uint16) {
	for i, c := range []string{"Y", "Cb", "Cr"} {
		eight[i] = uint16(r.Int(t, prefix+c+"8"))
		ten[i] = uint16(r.Int(t, prefix+c+"10"))
	}
	return eight, ten
}

// TestBarSetCodes holds the bars of every BT.471 set, as they stand in the
// frame, to ITU-R BT.601-5 clause 3.5 (bars_codes_601.csv: computed from it by
// other means; the 10-bit codes of 75 % bars are also printed, secondary), at
// both depths, at 525 and 625 lines, and in the spelling with 7.5.
func TestBarSetCodes(t *testing.T) {
	checked := 0
	for _, r := range testtable.Table(t, "bars_codes_601.csv") {
		set := r.Text(t, "bars")
		if _, err := ParseBarSet(set); err != nil {
			continue
		}
		eight, ten := tableCodes(t, r, "")
		a := strings.Split(set, "/")
		lows := a[0] + "/7.5/" + a[2] + "/" + strings.Replace(a[3], "0", "7.5", 1)
		name := strings.ToLower(r.Text(t, "bar"))
		for _, raster := range []string{"480i", "288p"} {
			for _, spec := range []string{"bars-full set=" + set, "bars-full order=reverse set=" + lows, "bars-split-red set=" + set} {
				q := shot{spec: spec, raster: raster, coding: colorimetry.YCbCr8, sampling: frame.S422}
				assert.Equal(t, eight, q.codesOf(t, name), "%s %s 8 bits", spec, name)
				q.coding = colorimetry.YCbCr10
				assert.Equal(t, ten, q.codesOf(t, name), "%s %s 10 bits", spec, name)
				if name == "red" && strings.HasPrefix(spec, "bars-split") {
					assert.Equal(t, ten, q.codesOf(t, "red field"), spec)
				}
			}
		}
		checked++
	}
	assert.Equal(t, 4*8, checked, "sets times bars in the table")
}

// TestSevenBarCodes holds the bars of the split-field pictures to the rows of
// 75/0/75/0 in the same table.
func TestSevenBarCodes(t *testing.T) {
	want := map[string][3]uint16{}
	for _, r := range testtable.Table(t, "bars_codes_601.csv") {
		if r.Text(t, "bars") == "75/0/75/0" {
			_, want[strings.ToLower(r.Text(t, "bar"))] = tableCodes(t, r, "")
		}
	}
	require.Len(t, want, 8)
	for _, spec := range []string{"bars-eia189", "bars-eg1", "bars-rp219"} {
		q := shot{spec: spec, raster: "480i", coding: colorimetry.YCbCr10, sampling: frame.S422}
		for i, c := range barColors[:7] {
			name := c.name
			if i == 0 {
				name = map[bool]string{true: "75 % white", false: "gray"}[spec == "bars-rp219"]
			}
			assert.Equal(t, want[c.name], q.codesOf(t, name), "%s %s", spec, name)
		}
	}
	q := shot{spec: "bars-eg1", raster: "480i", coding: colorimetry.YCbCr10, sampling: frame.S422}
	for name, bar := range map[string]string{
		"reverse blue": "blue", "reverse black 1": "black", "reverse magenta": "magenta", "reverse black 2": "black",
		"reverse cyan": "cyan", "reverse black 3": "black", "reverse gray": "white",
	} {
		assert.Equal(t, want[bar], q.codesOf(t, name), name)
	}
}

// TestReverseStripBlue: with the blue gun alone, every column of EG 1 has one
// level from the bars into the strip below (reported of EG 1 by an
// encyclopaedia article: secondary).
func TestReverseStripBlue(t *testing.T) {
	q := shot{spec: "bars-eg1", raster: "480i", coding: colorimetry.YCbCr10, sampling: frame.S422}
	s, _, f := q.take(t)
	upper := []string{"gray", "yellow", "cyan", "green", "magenta", "red", "blue"}
	lower := []string{"reverse blue", "reverse black 1", "reverse magenta", "reverse black 2", "reverse cyan", "reverse black 3", "reverse gray"}
	for i := range upper {
		_, _, a := middle(t, f, patch(t, s, upper[i])).RGB()
		_, _, b := middle(t, f, patch(t, s, lower[i])).RGB()
		assert.InDelta(t, a, b, 1e-12, "column %d", i)
		assert.InDelta(t, 0.75*float64((i+1)%2), a, 1e-12, "column %d", i)
	}
}

// TestIQCodes holds -I and +Q to the codes of 40 IRE peak to peak at 303 and
// 33 degrees (bars_codes_601.csv: computed from SMPTE 170M-2004 clause 10), for
// a wire with and one without setup.
func TestIQCodes(t *testing.T) {
	m, j, pal := colorimetry.CompositeM, colorimetry.CompositeJ, colorimetry.PAL
	wires := map[string][]shot{
		"EG 1 -I/+Q: 40 IRE p-p on 7.5 setup (A=20/92.5)": {
			{raster: "480i", plan: colorimetry.Plan{}}, {raster: "240p", plan: colorimetry.Plan{Wire: m, Player: m}},
		},
		// 625: the color differences of the signal without setup, a choice of
		// our own.
		"EG 1 -I/+Q: 40 IRE p-p zero setup (A=0.2)": {
			{raster: "480i", plan: colorimetry.Plan{Wire: j, Player: j}}, {raster: "576i"}, {raster: "288p", plan: colorimetry.Plan{Wire: pal, Player: pal}},
		},
	}
	checked := 0
	for _, r := range testtable.Table(t, "bars_codes_601.csv") {
		for _, q := range wires[r.Text(t, "bars")] {
			eight, ten := tableCodes(t, r, "")
			for _, spec := range []string{"bars-eia189", "bars-eg1"} {
				q.spec, q.sampling = spec, frame.S422
				q.coding = colorimetry.YCbCr8
				assert.Equal(t, eight, q.codesOf(t, r.Text(t, "bar")), "%s %s", spec, q.raster)
				q.coding = colorimetry.YCbCr10
				assert.Equal(t, ten, q.codesOf(t, r.Text(t, "bar")), "%s %s", spec, q.raster)
				checked++
			}
		}
	}
	assert.Equal(t, 2*2*5, checked)
}

// TestIQInRGB: a file of R'G'B' gets the substitutes that C. Poynton, Digital
// Video and HD, 2nd ed. (2012), prints, and says so.
func TestIQInRGB(t *testing.T) {
	published := map[string][3]float64{"-I": {0, 0.2456, 0.412545}, "+Q": {0.253605, 0, 0.470286}}
	for _, spec := range []string{"bars-eia189", "bars-eg1"} {
		q := shot{spec: spec, raster: "480i", coding: colorimetry.RGB8, sampling: frame.S444}
		s, _, f := q.take(t)
		for name, want := range published {
			p := patch(t, s, name)
			r, g, b := middle(t, f, p).RGB()
			assert.InDeltaSlice(t, want[:], []float64{r, g, b}, 2e-6, name)
			assert.Equal(t, "8-bit full-range RGB has no code for a color outside the R'G'B' cube", p.Absent, name)
		}
		q.coding = colorimetry.YCbCr8
		s, _, _ = q.take(t)
		assert.Empty(t, patch(t, s, "-I").Absent)
	}
}

// TestRP219Codes holds the elements of the 4:3 picture to rp219_codes.csv
// (columns sd: computed from the R'G'B' of SMPTE RP 219-2002 with the BT.601
// matrix; the steps about black are memory), whatever setup the player adds to
// a plain file; with setup in the file a note says that they are mapped.
func TestRP219Codes(t *testing.T) {
	elements := map[string][]string{ // element: options, then patches
		"75 % white":   {"", "75 % white", "row 2 75 % white"},
		"75 % yellow":  {"", "yellow"},
		"75 % cyan":    {"", "cyan"},
		"75 % green":   {"", "green"},
		"75 % magenta": {"", "magenta"},
		"75 % red":     {"", "red"},
		"75 % blue":    {"", "blue"},
		"black":        {" row3=black", "row 3 slot", "left black", "middle black", "0 %", "second 0 %", "right black"},
		"100 % white":  {" row2=100-white", "row 2 slot", "row 3 white", "100 % white"},
		"-I":           {"", "row 2 slot"},
		"+I":           {" row2=plus-i", "row 2 slot"},
		"+Q":           {"", "row 3 slot"},
		"-2 %":         {"", "-2 %"},
		"+2 %":         {"", "+2 %"},
		"+4 %":         {"", "+4 %"},
	}
	// The wide picture alone has these.
	absent := []string{"40 % grey", "15 % grey", "100 % yellow", "100 % cyan", "100 % red", "100 % blue"}
	checked := 0
	for _, r := range testtable.Table(t, "rp219_codes.csv") {
		element := r.Text(t, "element")
		list, ok := elements[element]
		if !ok {
			assert.Contains(t, absent, element)
			continue
		}
		eight, ten := tableCodes(t, r, "sd")
		m := colorimetry.CompositeM
		for _, plan := range []colorimetry.Plan{{}, {Wire: m, Player: m}} {
			q := shot{spec: "bars-rp219" + list[0], raster: "480i", sampling: frame.S422, plan: plan}
			for _, name := range list[1:] {
				q.coding = colorimetry.YCbCr8
				assert.Equal(t, eight, q.codesOf(t, name), name)
				q.coding = colorimetry.YCbCr10
				assert.Equal(t, ten, q.codesOf(t, name), name)
			}
		}
		checked++
	}
	assert.Equal(t, len(elements), checked)
	mapped := shot{spec: "bars-rp219", raster: "480i", coding: colorimetry.YCbCr8, sampling: frame.S422,
		plan: colorimetry.Plan{Wire: colorimetry.CompositeM, Player: colorimetry.CompositeJ}}
	sm, _, _ := mapped.take(t)
	assert.Contains(t, strings.Join(sm.Notes, " "), "mapped like every other level")
	// 75 % white: Y' 0.075 + 0.925 * 0.75 = 0.76875 (SMPTE 170M-2004 clause 10),
	// code 16 + 219 * 0.76875 = 184.4.
	assert.Equal(t, [3]uint16{184, 128, 128}, mapped.codesOf(t, "75 % white"))
	q := shot{spec: "bars-rp219", raster: "480i", coding: colorimetry.RGB8, sampling: frame.S444}
	s, _, _ := q.take(t)
	assert.Equal(t, "8-bit full-range RGB has no code for a level below black", patch(t, s, "-2 %").Absent)
	assert.Empty(t, patch(t, s, "row 2 slot").Absent, "the elements of RP 219 fit into R'G'B'")
	assert.Equal(t, colorimetry.Gray(0), patch(t, s, "-2 %").Want)
	require.NotEmpty(t, s.Notes)
	assert.Contains(t, s.Notes[0], "not made for setting black level")
}

// TestWantsSetup: 7.5 in a set asks for setup on the wire.
func TestWantsSetup(t *testing.T) {
	for spec, want := range map[string]bool{
		"bars-full": false, "bars-full set=75/7.5/75/7.5": true, "bars-full set=100/0/100/25": false, "bars-full set=100/7.5/100/25": true,
		"bars-split-red": false, "bars-split-red set=100/7.5/75/7.5": true,
	} {
		p, err := Parse(spec)
		require.NoError(t, err)
		require.Implements(t, (*SetupPattern)(nil), p)
		assert.Equal(t, want, p.(SetupPattern).WantsSetup(), spec)
	}
	assert.False(t, (&BarsFull{Set: "x"}).WantsSetup())
}

// TestBarsGeometry measures the bars in sampled frames, by where the levels
// cross half of each step, and compares with bars_geometry.csv: fractions of
// the analog picture across (partly secondary, partly memory: see the tags)
// and of the rows down.
func TestBarsGeometry(t *testing.T) {
	specs := map[string]string{
		"EIA-189-A": "bars-eia189", "EG 1": "bars-eg1",
		"RP 219 16:9":                "bars-rp219 row2=100-white", // so that the slot has an edge
		"BT.471 full field (8 bars)": "bars-full",
	}
	elements := map[string][]testtable.Row{} // standard and row, left to right
	var keys []string
	for _, r := range testtable.Table(t, "bars_geometry.csv") {
		require.Contains(t, specs, r.Text(t, "standard"))
		key := r.Text(t, "standard") + "|" + r.Text(t, "row")
		if elements[key] == nil {
			keys = append(keys, key)
		}
		elements[key] = append(elements[key], r)
	}
	for _, raster := range []string{"480i", "576i", "240p", "288p"} {
		edges := 0
		for _, key := range keys {
			list := elements[key]
			standard, _, _ := strings.Cut(key, "|")
			q := shot{spec: specs[standard], raster: raster, coding: colorimetry.YCbCr10, sampling: frame.S444}
			_, _, f := q.take(t)
			r := f.Raster
			left, right := r.Window()
			across := func(cell string, row testtable.Row) float64 {
				x, _ := row.Rat(t, cell).Float64()
				if standard == "RP 219 16:9" {
					x = (x - 1.0/8) * 4 / 3 // the central three quarters
				}
				return left.Float64() + x*(right.Float64()-left.Float64())
			}
			y0, y1 := list[0].Rat(t, "y0"), list[0].Rat(t, "y1")
			top, _ := y0.Float64()
			bottom, _ := y1.Float64()
			height := float64(r.Height())
			line := int((top + bottom) / 2 * height)
			where := fmt.Sprint(key, " on ", raster)
			for i := 1; i < len(list); i++ {
				want := across("x0", list[i])
				if want < left.Float64()+1 || want > right.Float64()-1 {
					continue // an edge of the wide picture's sides
				}
				reach := int(min(want-across("x0", list[i-1]), across("x1", list[i])-want) / 2)
				if strings.Contains(list[i-1].Text(t, "element")+list[i].Text(t, "element"), "ramp") {
					continue
				}
				if got, ok := crossing(f, line, int(want), reach); ok {
					assert.InDelta(t, want, got, 0.05, "%s: samples to the left of %s", where, list[i].Text(t, "element"))
					edges++
				}
			}
			// The rows: the picture at the left changes exactly at the cut.
			if top > 0 {
				cut := int(math.Round(top * height))
				same := true
				for c := range f.Planes {
					same = same && f.Planes[c].Lines[cut] == f.Planes[c].Lines[cut-1]
				}
				assert.False(t, same, "%s: row %d begins it", where, cut)
				for c := range f.Planes {
					assert.Equal(t, f.Planes[c].Lines[cut], f.Planes[c].Lines[int(bottom*height)-1], "%s: %d to the end are alike", where, cut)
				}
			}
		}
		// EIA 6 + 3; EG 1 6 + 6 + 3 and 4 of PLUGE; RP 219 6 + 1 + 2 and 6 about
		// black, and none of those beside the ramp; BT.471 7.
		assert.Equal(t, (6+3)+(6+6+3+4)+(6+1+2+6)+7, edges, raster)
	}
}

// crossing returns where a line crosses the half of the step near sample at, in
// the component that changes most within reach; false if none changes.
func crossing(f *frame.Frame, line, at, reach int) (float64, bool) {
	best, change := 0, 0.0
	for c := range f.Planes {
		row := f.Planes[c].Row(line)
		if d := math.Abs(row[at+reach] - row[at-reach]); d > change {
			best, change = c, d
		}
	}
	if change < 1e-6 {
		return 0, false
	}
	row := f.Planes[best].Row(line)
	half := (row[at+reach] + row[at-reach]) / 2
	for i := at - reach; i < at+reach; i++ {
		if a, b := row[i]-half, row[i+1]-half; a*b < 0 || a == 0 {
			return float64(i) + a/(a-b), true
		}
	}
	return 0, false
}

// TestCutRows: on the rasters of standard files the rows are those that the
// fractions give, to the row (levels of EG 1: 320, 40 and 120 of 480).
func TestCutRows(t *testing.T) {
	for name, want := range map[string][2]int{"480i": {320, 360}, "486i": {324, 364}, "576i": {384, 432}, "240p": {160, 180}, "288p": {192, 216}} {
		q := shot{spec: "bars-eg1", raster: name, coding: colorimetry.YCbCr8, sampling: frame.S422}
		s, v, _ := q.take(t)
		assert.InDelta(t, v.row(want[0]), patch(t, s, "reverse blue").Y0, 1e-12, name)
		assert.InDelta(t, v.row(want[1]), patch(t, s, "reverse blue").Y1, 1e-12, name)
	}
}
