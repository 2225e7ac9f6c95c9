package render

import (
	"context"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/device"
	"backporch/internal/format"
	"backporch/internal/pixfmt"
	"backporch/pattern"
)

// onDevice lays a pattern out for a device with colors of its own.
func onDevice(t *testing.T, dev, spec, name string) *Job {
	t.Helper()
	d, err := device.Parse(dev)
	require.NoError(t, err)
	d.Formats = append(d.Formats, "rgb24")
	q := request(t, spec, "480i", format.Choice{Name: name})
	q.Device, q.Raster, q.Edges, q.Frames = d, d.Rasters[0], pattern.Hard, 2
	if name == "png" {
		q.Frames = 1
	}
	j, err := q.Layout()
	require.NoError(t, err)
	return j
}

// A stream for a device has its colors, frame by frame, as a picture has.
func TestStreamHasColorsOfDevice(t *testing.T) {
	for _, spec := range []string{"ramp", "moving-bar surround=30"} {
		j := onDevice(t, "pixel-320 bits=222", spec, "rgb24")
		w := &writes{}
		require.NoError(t, j.Write(context.Background(), w))
		size := 3 * j.Raster.Width * j.Raster.Height()
		require.Equal(t, 2*size, w.data.Len())
		for i, b := range w.data.Bytes() {
			require.Zero(t, b%85, "2 bits are 0, 85, 170 and 255: byte %d", i)
		}
		for n := range 2 {
			x, err := j.Indexed(n)
			require.NoError(t, err)
			var want []byte
			for _, line := range x.Lines {
				for _, v := range x.Rows[line] {
					c := x.Palette[v]
					want = append(want, c[0], c[1], c[2])
				}
			}
			assert.Equal(t, want, w.data.Bytes()[n*size:(n+1)*size], "%s, frame %d", spec, n)
		}
	}
}

// The picture of a device is kept from call to call, and of one frame only; who
// asks for frames at the same time gets each with its own report.
func TestDeviceFramesAtOnce(t *testing.T) {
	j := onDevice(t, "pixel-320 bits=222", "moving-bar surround=30", "png")
	first, err := j.Indexed(0)
	require.NoError(t, err)
	again, err := j.Indexed(j.Scene.Period)
	require.NoError(t, err)
	assert.Same(t, first, again, "the picture repeats")

	var wait sync.WaitGroup
	got := make([]*pixfmt.Indexed, 4)
	for n := range got {
		wait.Go(func() {
			got[n], _ = j.Indexed(n)
			m, err := j.Merge()
			assert.NoError(t, err)
			assert.Zero(t, m.Merged)
			r, err := j.Honesty()
			assert.NoError(t, err)
			assert.Equal(t, m.Needed, r.Merge.Needed)
		})
	}
	wait.Wait()
	for n, x := range got {
		want, err := j.Indexed(n)
		require.NoError(t, err)
		assert.Equal(t, want, x, "frame %d", n)
	}
}
