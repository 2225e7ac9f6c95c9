package pattern

import (
	"math"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// slowSample is Sample straight from the definition: every row of every plane
// is painted by itself, where it lies. Sample is judged by it.
func slowSample(s *Scene, r *timing.Raster, m frame.Sampling, n int) (planes [3][][]float64) {
	for c := range planes {
		across, down := m.Step()
		if colorimetry.Component(c) == colorimetry.Y {
			across, down = 1, 1
		}
		for k := range r.Height() / down {
			comb, span := r.Comb(k*down), r.Span(k*down)
			field := r.Lines[k*down].Field
			if down == 2 {
				span.Y, span.DY = chromaY(r, m, colorimetry.Component(c), k), 2*span.DY
				field = r.Lines[k].Field
			}
			comb.DX, comb.N = comb.DX*float64(across), comb.N/across
			t := n*r.Scan.Fields + field - 1
			dst := make([]float64, comb.N)
			b := 0
			for span.Y >= s.Bands[b].Bottom {
				b++
			}
			s.Bands[b].Paint(dst, colorimetry.Component(c), comb, span, t)
			planes[c] = append(planes[c], dst)
		}
	}
	return planes
}

// chromaY is where chroma row k of 4:2:0 lies. Progressive: halfway between
// rows 2k and 2k+1. Interlaced: in the field of the top row a quarter of the
// way from one of its lines to the next, in the other three quarters (ITU-T
// H.262: memory). In DV CR lies on the first line of the pair and CB on the
// second (IEC 61834-2: memory).
func chromaY(r *timing.Raster, m frame.Sampling, c colorimetry.Component, k int) float64 {
	if m == frame.S420 {
		return (r.Span(2*k).Y + r.Span(2*k+1).Y) / 2
	}
	field, pair := k%2, k/2           // of the chroma row, and which line pair of that field
	a := r.Span(4*pair + field).Y     // first line of the pair
	b := r.Span(4*pair + field + 2).Y // second
	if m == frame.S420DV {
		return map[colorimetry.Component]float64{colorimetry.CR: a, colorimetry.CB: b}[c]
	}
	return a + (b-a)*[]float64{0.25, 0.75}[field]
}

// running is a lattice at four times the subcarrier whose clock runs on over
// lines, on every picture line of the scan.
func running(t *testing.T, name string) *timing.Raster {
	t.Helper()
	r := *timing.Lookup(name).FullFrame()
	r.Name, r.Clock, r.Free = name+" at 4 fsc", r.Scan.System.Subcarrier.Mul(timing.Int(4)), true
	r.Start, r.Width = timing.Int(125), 768
	return &r
}

// TestSampleAgainstTwin compares every plane of every pattern, bit for bit, and
// would catch rows that are shared and should not be, chroma taken from the
// wrong row or time, and races.
func TestSampleAgainstTwin(t *testing.T) {
	type lattice struct {
		r *timing.Raster
		m frame.Sampling
	}
	lattices := []lattice{
		{timing.Lookup("480i"), frame.S422}, {timing.Lookup("576i-dv"), frame.S420Field}, {timing.Lookup("240p"), frame.S420},
		{timing.Lookup("486i"), frame.S444}, {running(t, "576i"), frame.S444},
		{timing.Lookup("480i-dv"), frame.S411}, {timing.Lookup("576i-dv"), frame.S420DV},
	}
	if testing.Short() {
		lattices = lattices[1:3]
	}
	list := map[string]*Scene{"moving": moving()}
	for _, e := range All() {
		p, _ := e.New()
		s, err := p.Scene(anyView(t))
		require.NoError(t, err)
		list[e.Name] = s
	}
	for name, s := range list {
		for _, l := range lattices {
			const n = 3
			f, err := Sample(s, l.r, l.m, n)
			require.NoError(t, err)
			want := slowSample(s, l.r, l.m, n)
			for c := range f.Planes {
				require.Len(t, f.Planes[c].Lines, len(want[c]))
				for k, row := range want[c] {
					for i, x := range row {
						if got := f.Planes[c].Row(k)[i]; math.Abs(got-x) > 1e-15 {
							t.Fatalf("%s on %s %v: %v of row %d sample %d is %v, want %v", name, l.r.Name, l.m, colorimetry.Component(c), k, i, got, x)
						}
					}
				}
			}
		}
	}
}

// moving is a scene that depends on everything: place, component and time.
func moving() *Scene {
	paint := func(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, t int) {
		for i := range dst {
			dst[i] = x.At(i)/4 + y.Y/4 + y.DY + float64(c)/32 + float64(t%6)/64
		}
	}
	return &Scene{Period: 3, Bands: []Band{
		{Bottom: -0.2, Paint: paint},
		{Bottom: 0.1, Uniform: true, Paint: func(dst []float64, c colorimetry.Component, x timing.Comb, _ timing.Span, t int) {
			paint(dst, c, x, timing.Span{}, t)
		}},
		{Bottom: endless, Paint: paint},
	}}
}

// TestChromaSites paints coordinates instead of a picture and reads them back:
// horizontally chroma sample i lies on luma sample 2i (ITU-R BT.601-5 table 2)
// or 4i (4:1:1, SMPTE 314M: memory), vertically where chromaY says, and each chroma row is of its own field's
// time.
func TestChromaSites(t *testing.T) {
	scene := func(paint func(i int, x timing.Comb, y timing.Span, t int) float64) *Scene {
		return &Scene{Period: 2, Bands: []Band{{Bottom: endless, Paint: func(dst []float64, _ colorimetry.Component, x timing.Comb, y timing.Span, t int) {
			for i := range dst {
				dst[i] = paint(i, x, y, t)
			}
		}}}}
	}
	across := scene(func(i int, x timing.Comb, _ timing.Span, _ int) float64 { return x.At(i) })
	down := scene(func(_ int, _ timing.Comb, y timing.Span, _ int) float64 { return y.Y })
	times := scene(func(_ int, _ timing.Comb, _ timing.Span, t int) float64 { return float64(t) })
	for _, r := range someRasters() {
		for _, m := range []frame.Sampling{frame.S444, frame.S422, frame.Subsample420(r), frame.S411, frame.S420DV} {
			if m.Check(r) != nil {
				continue
			}
			sx, sy := m.Step()
			for c := 1; c < 3; c++ {
				f, err := Sample(across, r, m, 0)
				require.NoError(t, err)
				require.Len(t, f.Planes[c].Row(0), r.Width/sx)
				for i, x := range f.Planes[c].Row(0) {
					require.InDelta(t, r.Comb(0).At(i*sx), x, 1e-12, "%s %v", r.Name, m)
				}
				f, err = Sample(down, r, m, 0)
				require.NoError(t, err)
				require.Len(t, f.Planes[c].Lines, r.Height()/sy)
				for k := range f.Planes[c].Lines {
					want := r.Span(k).Y
					if sy == 2 {
						want = chromaY(r, m, colorimetry.Component(c), k)
					}
					require.InDelta(t, want, f.Planes[c].Row(k)[0], 1e-12, "%s %v row %d", r.Name, m, k)
				}
				f, err = Sample(times, r, m, 5)
				require.NoError(t, err)
				for k := range f.Planes[c].Lines {
					want := 5*r.Scan.Fields + r.Lines[k].Field - 1
					require.Equal(t, float64(want), f.Planes[c].Row(k)[0], "%s %v row %d", r.Name, m, k)
				}
			}
		}
	}
}

// TestFieldOrder: of an interlaced frame the older field is field 1, whichever
// of the two holds the top row.
func TestFieldOrder(t *testing.T) {
	for name, top := range map[string]float64{"480i": 0, "480i-dv": 1, "576i": 0, "576i-dv": 1} {
		s := &Scene{Period: 9, Bands: []Band{{Bottom: endless, Uniform: true, Paint: func(dst []float64, _ colorimetry.Component, _ timing.Comb, _ timing.Span, t int) {
			fill(dst, float64(t))
		}}}}
		f, err := Sample(s, timing.Lookup(name), frame.S422, 4)
		require.NoError(t, err)
		assert.Equal(t, 8+top, f.Planes[0].Row(0)[0], name)
		assert.Equal(t, 9-top, f.Planes[0].Row(1)[0], name)
	}
}

// TestSampleSharesRows: a picture of few different lines is stored as few.
func TestSampleSharesRows(t *testing.T) {
	for spec, rows := range map[string]int{"bars-full": 1, "flat": 1, "bars-eg1": 3, "bars-rp219": 4, "near-black": 2, "window": 2} {
		_, _, f := shot{spec: spec, raster: "576i", coding: colorimetry.YCbCr8, sampling: frame.S422}.take(t)
		assert.Len(t, f.Planes[0].Rows, rows, spec)
	}
}

// TestSampleRefuses: what the raster cannot have, with the way out.
func TestSampleRefuses(t *testing.T) {
	s, _, _ := shot{spec: "flat", raster: "480i", coding: colorimetry.YCbCr8, sampling: frame.S422}.take(t)
	for _, tt := range []struct {
		r    *timing.Raster
		m    frame.Sampling
		want string
	}{
		{timing.Lookup("486i"), frame.S420Field, "raster 486i: 243 lines a field cannot be paired for 4:2:0 by field; use a 4:2:2 or 4:4:4 format, or raster 480i"},
		{timing.Lookup("480i"), frame.S420, "raster 480i is 525i, and 4:2:0 does not fit it; use 4:2:0 by field"},
		{timing.Lookup("240p"), frame.S420Field, "raster 240p is 525p/262, and 4:2:0 by field does not fit it; use 4:2:0"},
		{running(t, "480i"), frame.S422, "raster 480i at 4 fsc: its clock runs on over lines, so 4:2:2 has no place for chroma; use 4:4:4"},
		{running(t, "480i"), frame.S411, "raster 480i at 4 fsc: its clock runs on over lines, so 4:1:1 has no place for chroma; use 4:4:4"},
		{timing.Lookup("576i"), frame.S420DV, "raster 576i: 4:2:0 of DV has the samples and lines of raster 576i-dv alone; use that raster, or 4:2:0 by field"},
	} {
		f, err := Sample(s, tt.r, tt.m, 0)
		assert.Nil(t, f)
		assert.EqualError(t, err, tt.want)
	}
}
