package crosscheck

import (
	"bytes"
	"io"
	"testing"

	"backporch/internal/ffmpeg"
	"backporch/internal/format"
	"backporch/internal/oracle"

	"github.com/stretchr/testify/require"
)

// TestBMP reads a BMP of every pattern on every raster by the converter, all
// of one size in one process, and holds every pixel to the code of the
// definition. Without a palette a few show that it is left out.
func TestBMP(t *testing.T) {
	oracle.Need(t, "ffmpeg")
	tool, err := ffmpeg.Find(t.Context())
	require.NoError(t, err)
	all := batches(t, specs(), rasters(), format.Choice{Name: "bmp"})
	for _, b := range append(all, batches(t, specs()[:3], rasters()[:2], format.Choice{Name: "bmp24"})...) {
		r, w := io.Pipe()
		done := make(chan error, 1)
		go func() {
			err := tool.Run(t.Context(), &reel{jobs: b.jobs}, w, "-f", "bmp_pipe", "-i", "pipe:0",
				"-fps_mode", "passthrough", "-f", "rawvideo", "-pix_fmt", "rgb24", "pipe:1")
			_ = w.CloseWithError(err)
			done <- err
		}()
		size := 3 * b.w * b.h
		picture := make([]byte, size)
		for _, j := range b.jobs {
			_, err := io.ReadFull(r, picture)
			require.NoError(t, err, "%s on %s", j.Spec, j.Raster.Name)
			checkRGB(t, j, twinOf(j, j.Raster), rgbDepths(j), b.w, b.h, func(i, x, y int) uint16 {
				return uint16(picture[3*(y*b.w+x)+i])
			})
		}
		rest, err := io.Copy(io.Discard, r)
		require.NoError(t, err)
		require.Zero(t, rest, "more pictures than were written")
		require.NoError(t, <-done)
	}
}

// TestBMPHead: the file begins with BM and its own size, 32 bits little endian
// (memory); readers of small devices go by it, the converter does not.
func TestBMPHead(t *testing.T) {
	b := shot{spec: "ramp", raster: rasters()[0], choice: format.Choice{Name: "bmp"}}.bytes(t)
	require.True(t, bytes.HasPrefix(b, []byte("BM")))
	require.EqualValues(t, len(b), uint32(b[2])|uint32(b[3])<<8|uint32(b[4])<<16|uint32(b[5])<<24, "size in the head")
}
