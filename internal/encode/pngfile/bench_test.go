package pngfile

import (
	"bytes"
	"fmt"
	"image/png"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plain is the yardstick: the standard encoder at its default on the same
// picture as R'G'B'.
func plain(b *bytes.Buffer, r *pixfmt.RGBRows) error { return png.Encode(b, r.RGBA()) }

// simple are the pictures whose files must not be larger than the plain ones.
var simple = []string{"bars-full", "bars-eg1", "bars-split-red", "pluge", "crosshatch", "staircase", "window", "flat"}

// Files of bars, grids and PLUGE are no larger than those of the standard
// encoder without a palette; of 720 x 486 bars, no larger than 3 kB.
func TestSize(t *testing.T) {
	rasters := []string{"486i", "576i", "240p"}
	if testing.Short() {
		rasters = rasters[2:]
	}
	for _, spec := range simple {
		for _, raster := range rasters {
			f := sampled(t, spec, raster, colorimetry.RGB8)
			var got, want bytes.Buffer
			require.NoError(t, Encode(&got, f, colorimetry.RGB8, Meta{Shape: f.Raster.PixelShape()}))
			require.NoError(t, plain(&want, pixfmt.RoundRGB(f, colorimetry.RGB8)))
			assert.LessOrEqual(t, got.Len(), want.Len()+21, "%s on %s (pHYs is 21 bytes)", spec, raster)
			assert.Less(t, got.Len(), 5000, "%s on %s", spec, raster)
		}
	}
}

// BenchmarkPNG encodes a sampled frame, our way and, for comparison, by the
// standard encoder at its default from R'G'B'. bytes is the size of the file.
func BenchmarkPNG(b *testing.B) {
	for _, spec := range append(simple, "bars-eia189", "bars-rp219", "ramp", "near-black", "circles", "dots", "safe-area", "one-to-one") {
		f := sampled(b, spec, "486i", colorimetry.RGB8)
		run := func(name string, encode func(w *bytes.Buffer) error) {
			b.Run(fmt.Sprintf("%s/486i%s", spec, name), func(b *testing.B) {
				var w bytes.Buffer
				b.SetBytes(int64(3 * f.Raster.Width * f.Raster.Height()))
				b.ReportAllocs()
				for b.Loop() {
					w.Reset()
					if err := encode(&w); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(w.Len()), "bytes")
			})
		}
		run("", func(w *bytes.Buffer) error {
			return Encode(w, f, colorimetry.RGB8, Meta{Shape: f.Raster.PixelShape()})
		})
		rows := pixfmt.RoundRGB(f, colorimetry.RGB8)
		m := rows.RGBA()
		run("/plain", func(w *bytes.Buffer) error { return png.Encode(w, m) })
	}
}
