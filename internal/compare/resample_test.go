package compare_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/compare"
	"backporch/internal/composite"
	"backporch/pattern/frame"
	"backporch/timing"
)

// sine is a picture of one frequency on every line, as a function of time.
func sine(r *timing.Raster, hz float64) *frame.Frame {
	f := &frame.Frame{Raster: r, Sampling: frame.S444}
	for c := range f.Planes {
		var in frame.Interner
		f.Planes[c].Lines = make([]int32, len(r.Lines))
		for j := range r.Lines {
			comb := r.Comb(j)
			row := make([]float64, comb.N)
			if c == 0 {
				for i := range row {
					row[i] = wave(comb.At(i), hz, r.Scan.System)
				}
			}
			f.Planes[c].Lines[j] = in.Add(row)
		}
		f.Planes[c].Rows = in.Rows()
	}
	return f
}

func wave(x, hz float64, s *timing.System) float64 {
	us := x / s.HeightsPerMicrosecond().Float64()
	return 0.5 + 0.4*math.Sin(2*math.Pi*hz/1e6*us)
}

// TestFrame: the picture of a variant on the samples of a file is that of the
// wire, at the same places, up to 5.5 MHz; lines and field order are the
// raster's.
func TestFrame(t *testing.T) {
	for _, tt := range []struct {
		wire, raster string
		hz           []float64
	}{
		{"yc-j", "480i", []float64{0.1e6, 3e6, 5.5e6}},
		{"yc-j", "486i", []float64{3e6}},
		{"yc-j", "240p", []float64{3e6}},
		{"yc-pal", "576i", []float64{5.5e6}},
		{"yc-pal", "288p", []float64{5.5e6}},
		{"component-n10", "480i-dv", []float64{5.5e6}},
	} {
		t.Run(tt.raster, func(t *testing.T) {
			if testing.Short() && tt.raster != "486i" && tt.raster != "288p" {
				t.Skip("the quick part has one raster of each kind")
			}
			raster := timing.Lookup(tt.raster)
			for _, hz := range tt.hz {
				q := request(t, "flat", tt.raster, compare.Gain)
				q.Wire, q.Values = composite.Lookup(tt.wire), []float64{100}
				q.Carried = func(r *timing.Raster) (*frame.Frame, error) { return sine(r, hz), nil }
				res := run(t, q)
				f := res.Frame(&res.Outcomes[0])
				require.Len(t, f.Planes[0].Lines, raster.Height())
				e := raster.Picture()
				worst := 0.0
				for j := range raster.Lines {
					if l := raster.Lines[j].Number; l == 263 || l == 283 || l == 23 || l == 623 {
						continue // half lines
					}
					c := raster.Comb(j)
					for i := range c.N {
						if x := c.At(i); x > e.X0+0.05 && x < e.X1-0.05 {
							worst = max(worst, math.Abs(f.Planes[0].Row(j)[i]-wave(x, hz, raster.Scan.System)))
						}
					}
				}
				assert.Less(t, worst, 0.4*0.012, "%v Hz: 0.1 dB is 1.2 %% of the amplitude", hz)
			}
		})
	}
}

// TestFrameLevels: a level is the same in the file as on the wire, also beyond
// the picture; what the set makes of it is what drives the tube.
func TestFrameLevels(t *testing.T) {
	res := run(t, levels(t, compare.Setup, 0.5))
	want := map[string]float64{
		"source 7.5, set 7.5": 0.5, "source 0, set 0": 0.5,
		"source 7.5, set 0": 0.5375, "source 0, set 7.5": 0.459459, // as in setup_mismatch.csv
	}
	for i := range res.Outcomes {
		o := &res.Outcomes[i]
		f := res.Frame(o)
		for _, j := range []int{0, 1, 240, 479} {
			for _, x := range []int{0, 360, 719} {
				tolerance := 1e-4
				if x != 360 {
					tolerance = 0.02 // near blanking, where the signal comes up
				}
				assert.InDelta(t, want[o.Name], f.Planes[0].Row(j)[x], tolerance, "%s row %d sample %d", o.Name, j, x)
			}
		}
	}
}

// TestFrameOfGun: where one gun is lit alone, a file drives the others with
// black.
func TestFrameOfGun(t *testing.T) {
	q := request(t, "bars-full", "480i", compare.Gain)
	q.Values, q.Gun = []float64{100}, compare.BlueOnly
	res := run(t, q)
	f := res.Frame(&res.Outcomes[0])
	want := []float64{0.75, 0, 0.75, 0, 0.75, 0, 0.75, 0} // B' of the bars, by their definition
	for i, blue := range want {
		x := 45 + 90*i
		s := colorimetry.Signal{Y: f.Planes[0].Row(200)[x], CB: f.Planes[1].Row(200)[x], CR: f.Planes[2].Row(200)[x]}
		r, g, b := s.RGB()
		assert.InDelta(t, 0, r, 1e-9, "bar %d", i)
		assert.InDelta(t, 0, g, 1e-9, "bar %d", i)
		assert.InDelta(t, blue, b, 5e-4, "bar %d", i)
	}
}

// TestClipped: twice the color drives 75 % bars above white; the gray bars stay.
// The drives follow from R'G'B' = Y' + 2(R'G'B' - Y'), SMPTE 170M Annex A.3:
// yellow 83.6, cyan 97.4, green 106, magenta 119, red 128, blue 141 % at most.
func TestClipped(t *testing.T) {
	q := request(t, "bars-full", "480i", compare.Burst)
	q.Values = []float64{50, 100}
	res := run(t, q)
	assert.Empty(t, res.Clipped(find(t, res, "burst 50 %, control off")))
	assert.Empty(t, res.Clipped(find(t, res, "burst 100 %, control on")))
	assert.Equal(t, []string{"green", "magenta", "red", "blue"}, res.Clipped(find(t, res, "burst 50 %, control on")))
}

func TestInFiles(t *testing.T) {
	white := run(t, levels(t, compare.ColorTemperature, 0, 1))
	assert.ErrorContains(t, white.InFiles(), "the files would all be alike")
	gain := run(t, levels(t, compare.Gain, 0, 1))
	assert.NoError(t, gain.InFiles())
}
