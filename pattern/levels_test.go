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

// TestPlugeCodes holds the strips and patches, as they stand in the frame, to
// pluge.csv: EG 1 levels secondary, BT.814 codes secondary, the analog ones
// memory; at 8 and at 10 bits, where 12/20 and 46/82 are not 48/80.
func TestPlugeCodes(t *testing.T) {
	m, j := colorimetry.CompositeM, colorimetry.CompositeJ
	type source struct {
		spec, raster string
		wire         *colorimetry.Family
		patches      map[string]string // element of the table: patch
	}
	eg1 := map[string]string{"super-black": "PLUGE below black", "black": "PLUGE black", "lighter": "PLUGE above black"}
	bt814 := map[string]string{"slightly darker": "below black", "black": "black", "slightly lighter": "above black", "peak white": "white"}
	analog := map[string]string{"darker strip": "below black", "lighter strip": "above black", "grey patch 1": "110 mV",
		"grey patch 2": "200 mV", "grey patch 3": "450 mV", "white patch": "700 mV"}
	sources := map[string][]source{
		"EG 1 (NTSC-M, setup)": {
			{"bars-eg1", "480i", nil, eg1}, {"bars-eg1", "240p", m, eg1}, {"pluge", "480i", nil, eg1}, {"pluge variant=eg1", "240p", m, eg1},
		},
		"EG 1 on a zero-setup (J) output": {
			{"bars-eg1", "480i", j, eg1}, {"pluge", "240p", j, eg1},
			{"bars-eg1", "576i", nil, eg1}, {"pluge", "288p", colorimetry.PAL, eg1}, // 625: a choice of our own
		},
		"BT.814 (-2 and later, SDR digital)":    {{"pluge variant=bt814", "480i", nil, bt814}, {"pluge variant=bt814", "576i", nil, bt814}},
		"analogue PLUGE, 700 mV (BT.814-1 era)": {{"pluge variant=analog", "576i", nil, analog}},
		"RP 219 pattern 4":                      {{"bars-rp219", "480i", m, map[string]string{"-2 %": "-2 %", "0 %": "0 %", "+2 %": "+2 %", "+4 %": "+4 %"}}},
	}
	seen := map[string]int{}
	for _, r := range testtable.Table(t, "pluge.csv") {
		standard := r.Text(t, "standard")
		for _, s := range sources[standard] {
			name, ok := s.patches[r.Text(t, "element")]
			if !ok {
				continue // the table's zero-setup rows leave black out
			}
			q := shot{spec: s.spec, raster: s.raster, sampling: frame.S422, plan: colorimetry.Plan{Wire: s.wire, Player: s.wire}}
			q.coding = colorimetry.YCbCr8
			assert.EqualValues(t, r.Int(t, "Y8"), q.codesOf(t, name)[0], "%s: %s on %s, 8 bits", standard, name, s.raster)
			q.coding = colorimetry.YCbCr10
			assert.EqualValues(t, r.Int(t, "Y10"), q.codesOf(t, name)[0], "%s: %s on %s, 10 bits", standard, name, s.raster)
			seen[standard]++
		}
	}
	assert.Equal(t, map[string]int{
		"EG 1 (NTSC-M, setup)": 4 * 3, "EG 1 on a zero-setup (J) output": 4 * 2, "BT.814 (-2 and later, SDR digital)": 2 * 4,
		"analogue PLUGE, 700 mV (BT.814-1 era)": 6, "RP 219 pattern 4": 4,
	}, seen, "rows of the table that were checked")
}

// TestPlugeOnTheWire: the steps of EG 1 are 3.5, 7.5 and 11.5 IRE behind a
// wire with setup (an encyclopaedia article: secondary).
func TestPlugeOnTheWire(t *testing.T) {
	m := colorimetry.CompositeM
	q := shot{spec: "bars-eg1", raster: "480i", coding: colorimetry.YCbCr10, sampling: frame.S422, plan: colorimetry.Plan{Wire: m, Player: m}}
	s, _, f := q.take(t)
	for name, ire := range map[string]float64{"PLUGE below black": 3.5, "PLUGE black": 7.5, "PLUGE above black": 11.5, "white": 100} {
		assert.InDelta(t, ire, float64(m.Luma(middle(t, f, patch(t, s, name))).IRE()), 1e-9, name)
	}
}

// TestBelowBlackInRGB: what full-range R'G'B' cannot hold is black there, and
// said by name; when the file carries the setup itself, R'G'B' does hold EG 1's
// lower step: (3.5 IRE)/(100 IRE) of 255 is 8.9.
func TestBelowBlackInRGB(t *testing.T) {
	for spec, names := range map[string][]string{
		"bars-eg1": {"PLUGE below black"}, "pluge": {"PLUGE below black"}, "pluge variant=bt814": {"below black"}, "pluge variant=analog": {"below black"},
		"near-black": {"-4 %", "-3 %", "-2 %", "-1 %"}, "one-to-one": {"below black"}, "bars-rp219": {"-2 %"},
	} {
		q := shot{spec: spec, raster: "480i", coding: colorimetry.RGB8, sampling: frame.S444}
		s, _, f := q.take(t)
		for _, name := range names {
			p := patch(t, s, name)
			assert.Equal(t, "8-bit full-range RGB has no code for a level below black", p.Absent, "%s %s", spec, name)
			assert.Zero(t, middle(t, f, p).Y, "%s %s", spec, name)
		}
		absent := 0
		for _, p := range s.Patches {
			if p.Absent == "8-bit full-range RGB has no code for a level below black" {
				absent++
			}
		}
		assert.Equal(t, len(names), absent, spec)
		for _, k := range []*colorimetry.Coding{colorimetry.YCbCr8, colorimetry.RGB8Studio} {
			q.coding = k
			s, _, _ = q.take(t)
			for _, name := range names {
				assert.Empty(t, patch(t, s, name).Absent, "%s %s in %s", spec, name, k.Name)
			}
		}
	}
	m, j := colorimetry.CompositeM, colorimetry.CompositeJ
	q := shot{spec: "pluge", raster: "480i", coding: colorimetry.RGB8, sampling: frame.S444, plan: colorimetry.Plan{Wire: m, Player: j}}
	s, _, _ := q.take(t)
	assert.Empty(t, patch(t, s, "PLUGE below black").Absent)
	assert.Equal(t, [3]uint16{9, 9, 9}, q.codesOf(t, "PLUGE below black"))
}

// TestNearBlack: steps of 1 % from -4 to +10 %, whose codes are 16 + 2.19 n at
// 8 bits and 64 + 8.76 n at 10 (ITU-R BT.601-5 clause 3.5.3), rounded half up.
func TestNearBlack(t *testing.T) {
	q := shot{spec: "near-black", raster: "480i", sampling: frame.S422}
	for n := -4; n <= 10; n++ {
		name := strings.TrimPrefix(fmt.Sprintf("%+d %%", n), "+0 %")
		if name == "" {
			name = "0 %"
		}
		q.coding = colorimetry.YCbCr8
		assert.EqualValues(t, (1600+219*n+50)/100, q.codesOf(t, name)[0], name)
		q.coding = colorimetry.YCbCr10
		assert.EqualValues(t, (6400+876*n+50)/100, q.codesOf(t, name)[0], name)
	}
	for _, r := range testtable.Table(t, "bars_codes_601.csv") {
		name := r.Text(t, "bar")
		if r.Text(t, "bars") == "per cent of black-white range" && strings.HasSuffix(name, "4 %") {
			assert.EqualValues(t, r.Int(t, "Y10"), q.codesOf(t, name)[0], name)
		}
	}
}

// TestStaircase: risers of equal height and steps of equal width; 5 risers are
// 20 IRE each (ITU-T J.63 (1990) Annex II: 0 to 100 in five), 10 are 10.
func TestStaircase(t *testing.T) {
	for _, risers := range []int{5, 10} {
		for _, direction := range []string{"up", "down", "both"} {
			q := shot{spec: fmt.Sprintf("staircase risers=%d direction=%s", risers, direction), raster: "480i", coding: colorimetry.YCbCr8, sampling: frame.S422}
			s, v, f := q.take(t)
			prefixes := []string{""}
			if direction == "both" {
				prefixes = []string{"rising ", "falling "}
			}
			assert.Len(t, s.Patches, (risers+1)*len(prefixes))
			for _, prefix := range prefixes {
				up := direction == "up" || prefix == "rising "
				for n := range risers + 1 {
					p := patch(t, s, fmt.Sprintf("%sstep %d", prefix, n))
					assert.InDelta(t, float64(n)/float64(risers), middle(t, f, p).Y, 1e-15, q.spec)
					e := v.Shown.Shown()
					assert.InDelta(t, (e.X1-e.X0)/float64(risers+1), p.X1-p.X0, 1e-12, q.spec)
					place := n
					if !up {
						place = risers - n
					}
					assert.InDelta(t, e.X0+float64(place)*(e.X1-e.X0)/float64(risers+1), p.X0, 1e-12, q.spec)
				}
			}
		}
	}
}

// TestWindow measures the lit part of the sampled frame: the share of the
// picture's area that was asked for, to within the width of a line pair.
func TestWindow(t *testing.T) {
	for size, want := range map[string]float64{"13": 0.13, "1": 0.01, "80": 0.8, "40x30": 0.12, "90x10": 0.09} {
		for _, raster := range []string{"480i", "240p", "576i"} {
			q := shot{spec: "window level=50 surround=10 size=" + size, raster: raster, coding: colorimetry.YCbCr8, sampling: frame.S444}
			_, v, f := q.take(t)
			sum := 0.0
			for j := range f.Raster.Height() {
				for _, y := range f.Planes[0].Row(j) {
					sum += (y - 0.1) / 0.4
				}
			}
			left, right := f.Raster.Window()
			e := v.Shown.Shown()
			area := (right.Float64() - left.Float64()) * (e.Y1 - e.Y0) / f.Raster.Span(0).DY
			w, h := want, 1.0
			fmt.Sscanf(size, "%gx%g", &w, &h)
			// A cut lies within a pair of each field of the place asked for.
			pairs := 2 * float64(2*f.Raster.Scan.Fields) / 2 / float64(f.Raster.Height())
			wide := math.Sqrt(want)
			if strings.Contains(size, "x") {
				wide = w / 100
			}
			assert.InDelta(t, want, sum/area, pairs*wide+0.002, "%s on %s", size, raster)
		}
	}
	s, _, f := shot{spec: "window level=50 surround=10", raster: "480i", coding: colorimetry.YCbCr8, sampling: frame.S422}.take(t)
	assert.Equal(t, 0.5, middle(t, f, patch(t, s, "window")).Y)
	for _, side := range []string{"above", "below", "left", "right"} {
		assert.Equal(t, 0.1, middle(t, f, patch(t, s, "surround "+side)).Y, side)
	}
}

// TestRamp: a straight line from edge to edge of the analog picture, flat
// outside it, in either direction.
func TestRamp(t *testing.T) {
	for spec, ends := range map[string][2]float64{"ramp": {0, 1}, "ramp range=near-black": {0, 0.2}, "ramp range=60..20": {0.6, 0.2}} {
		_, _, f := shot{spec: spec, raster: "480i", coding: colorimetry.YCbCr8, sampling: frame.S422}.take(t)
		left, right := f.Raster.Window()
		require.Len(t, f.Planes[0].Rows, 1, "every row is the same")
		for i, got := range f.Planes[0].Rows[0] {
			k := min(max((float64(i)-left.Float64())/(right.Float64()-left.Float64()), 0), 1)
			require.InDelta(t, ends[0]+k*(ends[1]-ends[0]), got, 1e-12, "%s, sample %d", spec, i)
		}
	}
	_, _, f := shot{spec: "ramp direction=vertical range=10..100", raster: "240p", coding: colorimetry.YCbCr8, sampling: frame.S422}.take(t)
	for j := range 240 {
		want := 0.1 + 0.9*(float64(j)+0.5)/240 // 240p shows less than the picture: the ramp fits what it shows
		require.InDelta(t, want, f.Planes[0].Row(j)[0], 1e-12, "row %d", j)
		require.InDelta(t, want, f.Planes[0].Row(j)[719], 1e-12, "row %d", j)
	}
}

// TestReach: a level that a coding does not have is replaced by the nearest
// and named.
func TestReach(t *testing.T) {
	for _, tt := range []struct {
		spec   string
		coding *colorimetry.Coding
		patch  string
		y      float64
		absent string
	}{
		{"flat color=gray-109", colorimetry.YCbCr8, "field", 238.0 / 219, "8-bit Y'CbCr goes no further than 108.68 % of white"},
		{"flat color=gray-109", colorimetry.YCbCr10, "field", 1.09, ""},
		{"flat color=gray-109", colorimetry.RGB8, "field", 1, "8-bit full-range RGB has no code for a level above white"},
		{"flat color=gray--7", colorimetry.YCbCr8, "field", -0.07, ""},
		{"flat color=gray--7", colorimetry.RGB8, "field", 0, "8-bit full-range RGB has no code for a level below black"},
		{"window surround=-4", colorimetry.RGB8, "surround left", 0, "8-bit full-range RGB has no code for a level below black"},
		{"window level=105", colorimetry.RGB8, "window", 1, "8-bit full-range RGB has no code for a level above white"},
		{"window level=105", colorimetry.YCbCr8, "window", 1.05, ""},
	} {
		s, _, f := shot{spec: tt.spec, raster: "480i", coding: tt.coding, sampling: frame.S444}.take(t)
		p := patch(t, s, tt.patch)
		assert.Equal(t, tt.absent, p.Absent, "%s in %s", tt.spec, tt.coding.Name)
		assert.InDelta(t, tt.y, middle(t, f, p).Y, 1e-12, "%s in %s", tt.spec, tt.coding.Name)
	}
	s, _, _ := shot{spec: "ramp range=-4..104", raster: "480i", coding: colorimetry.RGB8, sampling: frame.S444}.take(t)
	p := patch(t, s, "ramp")
	assert.Equal(t, "8-bit full-range RGB has no code for a level below black", p.Absent)
	assert.Equal(t, []float64{0, 1}, []float64{p.Want.Y, p.To.Y})
}

// TestFlatColors: every name of a color, as the frame holds it. Codes of the
// 100 % colors: ITU-R BT.601-5 clause 3.5.3 (bars_codes_601.csv).
func TestFlatColors(t *testing.T) {
	checked := 0
	for _, r := range testtable.Table(t, "bars_codes_601.csv") {
		if r.Text(t, "bars") != "100/0/100/0" {
			continue
		}
		_, ten := tableCodes(t, r, "")
		q := shot{spec: "flat color=" + strings.ToLower(r.Text(t, "bar")), raster: "480i", coding: colorimetry.YCbCr10, sampling: frame.S422}
		assert.Equal(t, ten, q.codesOf(t, "field"), q.spec)
		checked++
	}
	assert.Equal(t, len(colorimetry.ColorNames()), checked)
}

// TestNotes: what a user must know of patches stated in IRE.
func TestNotes(t *testing.T) {
	m := colorimetry.CompositeM
	for _, tt := range []struct {
		spec, raster string
		wire         *colorimetry.Family
		want         string
	}{
		{"bars-eg1", "576i", nil, "-I, +Q and PLUGE are not standardized at 625 lines"},
		{"bars-eia189", "288p", colorimetry.PAL, "-I and +Q are not standardized at 625 lines"},
		{"bars-eg1", "480i", nil, "these are their levels for a wire with 7.5 IRE of setup"},
		{"pluge", "480i", nil, "PLUGE steps are stated in IRE"},
		{"bars-eg1", "480i", m, ""},
		{"bars-eia189", "240p", colorimetry.CompositeJ, ""},
		{"bars-eia189", "480i", colorimetry.LookupFamily("rgb-700"), "for RGB 700 mV they are those of one without setup."},
		{"pluge", "240p", colorimetry.LookupFamily("component-mii"), "they are those of one with 7.5 IRE of setup."},
		{"bars-eg1", "576i", colorimetry.LookupFamily("component-n10"), "not standardized at 625 lines"},
		{"pluge variant=bt814", "480i", nil, ""},
		{"pluge variant=analog", "480i", nil, "where black to white is 700 mV"},
	} {
		q := shot{spec: tt.spec, raster: tt.raster, coding: colorimetry.YCbCr8, sampling: frame.S422, plan: colorimetry.Plan{Wire: tt.wire, Player: tt.wire}}
		s, _, _ := q.take(t)
		if tt.want == "" {
			assert.Empty(t, s.Notes, "%s on %s", tt.spec, tt.raster)
			continue
		}
		require.Len(t, s.Notes, 1, "%s on %s", tt.spec, tt.raster)
		assert.Contains(t, s.Notes[0], tt.want)
	}
}
