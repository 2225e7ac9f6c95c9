package render

import (
	"context"
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/device"
	"backporch/internal/format"
	"backporch/internal/pixfmt"
	"backporch/pattern"
	"backporch/timing"
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

// TestHeldIsInThePicture: what a flat area is said to carry is what the picture
// has there, on every output, also where a level lies halfway between two of the
// device: half of white is between 3/7 and 4/7, and the brighter is taken.
func TestHeldIsInThePicture(t *testing.T) {
	for _, spec := range []string{"staircase risers=10", "vectors", "near-black"} {
		for _, dev := range []string{"pixel-320", "pixel-320-square", "pixel-320-625", "palette-16"} {
			d, err := device.Find(dev)
			require.NoError(t, err)
			for _, player := range d.Outputs {
				j := onDevice(t, dev, spec, "png")
				j.Plan = colorimetry.Plan{Wire: player, Player: player}
				carried, err := j.Carried(j.Raster, 0)
				require.NoError(t, err)
				for _, p := range j.Scene.Patches {
					if p.Kind != pattern.Level || p.Want != p.To {
						continue
					}
					held, err := j.Held(p.Want)
					require.NoError(t, err)
					i := int(math.Round(((p.X0+p.X1)/2 - j.Raster.Comb(0).X0) / j.Raster.Comb(0).DX))
					row := rowNear(j.Raster, (p.Y0+p.Y1)/2)
					for c, want := range [3]float64{held.Y, held.CB, held.CR} {
						plane := carried.Planes[c]
						assert.InDelta(t, want, plane.Rows[plane.Lines[row]][i], 1e-9, "%s, %s on %s: %s, component %d", spec, dev, player.Name, p.Name, c)
					}
				}
			}
		}
	}
	j := onDevice(t, "pixel-320", "staircase risers=10", "png")
	half, err := j.Held(colorimetry.Gray(0.5))
	require.NoError(t, err)
	assert.InDelta(t, 4.0/7, half.Y, 1e-12)
}

func rowNear(r *timing.Raster, y float64) (row int) {
	for j := range r.Height() {
		if math.Abs(r.Span(j).Y-y) < math.Abs(r.Span(row).Y-y) {
			row = j
		}
	}
	return row
}

// TestCarriedInWantedUnits: 7.5 IRE of setup asked of a device of 3 bits that
// adds none. Its nearest black is 1/7, 14.3 IRE, which is (1/7 - 0.075)/0.925 of
// the wanted range; white is 1.
func TestCarriedInWantedUnits(t *testing.T) {
	j := onDevice(t, "pixel-320", "bars-full set=100/0/100/0", "png")
	j.Plan = colorimetry.Plan{Wire: colorimetry.CompositeM, Player: j.Device.Outputs[0]}
	f, err := j.Carried(j.Raster, 0)
	require.NoError(t, err)
	row := f.Planes[0].Rows[f.Planes[0].Lines[120]]
	assert.InDelta(t, (1.0/7-0.075)/0.925, row[310], 1e-9)
	assert.InDelta(t, 1, row[20], 1e-9)
	held, err := j.Held(colorimetry.Gray(0))
	require.NoError(t, err)
	assert.InDelta(t, row[310], held.Y, 1e-9)
}

// TestPlayerDropsBeyond: a player that drops codes below black and above white
// loses both kinds of levels, says so, and the wire has black and white.
func TestPlayerDropsBeyond(t *testing.T) {
	d, err := device.Find("player-525-0")
	require.NoError(t, err)
	d.SubBlack = false
	q := request(t, "streaking white=105 black=-3", "480i", format.Choice{Name: "y4m"})
	q.Device, q.Frames = d, 1
	q.Plan = colorimetry.Plan{Wire: d.Outputs[0], Player: d.Outputs[0]}
	j, err := q.Layout()
	require.NoError(t, err)
	names := j.Lost.Names()
	assert.Contains(t, names, "long white bar")
	assert.Contains(t, names, "long black bar")
	assert.NotContains(t, names, "ground")
	for want, level := range map[float64]float64{1.05: 1, -0.03: 0} {
		held, err := j.Held(colorimetry.Gray(want))
		require.NoError(t, err)
		assert.InDelta(t, level, held.Y, 1e-9)
	}
}
