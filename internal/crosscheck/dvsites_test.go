package crosscheck

import (
	"bytes"
	"math"
	"os/exec"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/encode/y4m"
	"backporch/internal/format"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/require"
)

// TestSitesByAScaler lets y4mscaler of mjpegtools, which knows where the chroma
// of each tag lies, bring chroma to every luma sample, and holds that to the
// picture. On a slope every interpolator is exact, so what differs by more than
// the rounding of both is in the wrong place: CR and CB on each other's lines
// would be 2.5 codes off, chroma of 4:1:1 in the middle of its four samples 3.
// The scaler (2.1.0) bears out that CR comes first, which is from memory.
//
// The scaler is not one of the tools that must be there.
func TestSitesByAScaler(t *testing.T) {
	scaler, err := exec.LookPath("y4mscaler")
	if err != nil {
		t.Skip("y4mscaler is not installed; this test asks it where chroma lies")
	}
	slopes := map[string]func(x, y float64) float64{
		"down":   func(_, y float64) float64 { return 3.2 * y },
		"across": func(x, _ float64) float64 { return 4.7 * x },
	}
	for _, p := range dvPictures {
		r := timing.Lookup(p.raster)
		f, err := format.Resolve(format.Choice{Name: "y4m", Chroma: p.chroma})
		require.NoError(t, err)
		for name, slope := range slopes {
			t.Run(p.raster+" "+name, func(t *testing.T) {
				s := &pattern.Scene{Period: 1, Bands: []pattern.Band{{Bottom: math.Inf(1), Paint: func(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, _ int) {
					for i := range dst {
						dst[i] = 0.5
						if c != colorimetry.Y {
							dst[i] = min(max(slope(x.At(i), y.Y), -0.4), 0.4)
						}
					}
				}}}}
				fr, err := pattern.Sample(s, r, f.Sampling(r), 0)
				require.NoError(t, err)
				b, err := f.Header(r, format.Meta{})
				require.NoError(t, err)
				b = f.AppendFrame(b, fr)

				z, err := y4m.NewReader(bytes.NewReader(pipeRaw(t, scaler, b, "-v", "0", "-O", "chromass=444", "-S", "option=linear")))
				require.NoError(t, err)
				got, err := z.Next()
				require.NoError(t, err)
				want, err := pattern.Sample(s, r, frame.S444, 0)
				require.NoError(t, err)
				compared := 0
				for c := 1; c < 3; c++ {
					for j := 4; j < r.Height()-4; j++ {
						for i, v := range want.Planes[c].Row(j) {
							if math.Abs(v) > 0.35 || i < 16 || i >= r.Width-16 {
								continue // near the ends of the slope or of the line, as are the first and last rows
							}
							compared++
							require.InDelta(t, scale(c, v, 8), float64(got.Row(c, j)[i]), 1.01, "component %d, row %d, sample %d", c, j, i)
						}
					}
				}
				require.Greater(t, compared, 50_000)
			})
		}
	}
}
