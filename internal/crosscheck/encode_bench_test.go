package crosscheck

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// everyRow is a frame in which all rows of all components differ.
func everyRow(r *timing.Raster) *frame.Frame {
	f := &frame.Frame{Raster: r, Sampling: frame.S444}
	for c := range f.Planes {
		p := &f.Planes[c]
		for j := range r.Height() {
			row := make([]float64, r.Width)
			for i := range row {
				row[i] = 0.4 * math.Sin(float64(i*(j+1)*(c+1))/9000)
				if c == 0 {
					row[i] += 0.5
				}
			}
			p.Rows, p.Lines = append(p.Rows, row), append(p.Lines, int32(j))
		}
	}
	return f
}

// sampled is a pattern on an encoder's lattice, or everyRow for "every-row".
func sampled(b testing.TB, spec string, shown *timing.Raster, lattice *timing.Raster) *frame.Frame {
	if spec == "every-row" {
		return everyRow(lattice)
	}
	p, err := pattern.Parse(spec)
	require.NoError(b, err)
	s, err := p.Scene(pattern.NewView(shown, colorimetry.YCbCr10, frame.S422, pattern.Shaped))
	require.NoError(b, err)
	f, err := pattern.Sample(s, lattice, frame.S444, 0)
	require.NoError(b, err)
	return f
}

// BenchmarkEncode measures signal from a sampled frame, every sample of it
// written, on one core. Its own unit is times real time.
//
//   - still: the same frame again and again.
//   - moving: a new frame each time, so that nothing can be used again.
//   - first: a new frame for each sequence of frames.
func BenchmarkEncode(b *testing.B) {
	for _, wire := range []string{"composite-m", "yc-m", "component-n10", "pal", "yc-pal"} {
		w := composite.Lookup(wire)
		raster := timing.Lookup("480i")
		if w.Family.Lines == 625 {
			raster = timing.Lookup("576i")
		}
		for _, spec := range []string{"bars-full", "circles", "every-row"} {
			e, err := composite.NewEncoder(w, raster.Scan, composite.Standard)
			require.NoError(b, err)
			sequence := w.Sequence(raster.Scan)
			f := sampled(b, spec, raster, e.Lattice(0))
			for mode, life := range map[string]int{"still": math.MaxInt, "moving": 1, "first": sequence} {
				b.Run(wire+"/"+spec+"/"+mode, func(b *testing.B) {
					var dst [][]float32
					g, n := f, 0
					for b.Loop() {
						if n%life == 0 {
							c := *f
							g = &c
						}
						for c := range dst {
							dst[c] = dst[c][:0]
						}
						dst = e.Append(dst, g, n)
						n++
					}
					samples := 0
					for _, c := range dst {
						samples += len(c)
					}
					b.SetBytes(int64(4 * samples))
					b.ReportMetric(float64(b.N)/raster.FrameRate().Float64()/b.Elapsed().Seconds(), "x-realtime")
				})
			}
		}
	}
}
