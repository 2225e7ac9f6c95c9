package pattern

import (
	"fmt"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// laid lays a spelling out on a raster, 10-bit 4:2:2, and returns a function
// that samples a frame of it.
func laid(t testing.TB, spec, raster string) (*Scene, View, func(n int) *frame.Frame) {
	t.Helper()
	s, v, f := shot{spec: spec, raster: raster, coding: colorimetry.YCbCr10, sampling: frame.S422}.take(t)
	return s, v, func(n int) *frame.Frame {
		g, err := Sample(s, f.Raster, frame.S422, n)
		require.NoError(t, err)
		return g
	}
}

// TestBounce reads both levels in time: 1:1, high first, changing between
// frames only, in both fields alike (EBU Tech 3209 clause 6.2.2: black and white
// 1:1, period 1 to 10 s).
func TestBounce(t *testing.T) {
	for _, tt := range []struct {
		spec, raster string
		half         int
	}{
		// 1 s is 29.97 frames of 525 lines and 25 of 625: 2 x 15 and 2 x 13.
		{"bounce", "480i", 15}, {"bounce", "576i", 13}, {"bounce", "240p", 30},
		{"bounce period=10s low=15 high=85", "576i", 125},
		{"bounce period=20", "480i", 10}, {"bounce period=2 fast", "480i", 1},
	} {
		t.Run(tt.spec+" "+tt.raster, func(t *testing.T) {
			s, v, at := laid(t, tt.spec, tt.raster)
			q := patch(t, s, "changing level")
			require.Equal(t, 2*tt.half, s.Period)
			for _, n := range []int{0, tt.half - 1, tt.half, 2*tt.half - 1, 2 * tt.half, 7 * tt.half} {
				want := q.Want
				if n/tt.half%2 == 1 {
					want = q.To
				}
				f := at(n)
				for _, j := range []int{0, 1, v.Shown.Height() - 1} {
					row := f.Planes[0].Row(j)
					assert.Equal(t, want.Y, row[0], "frame %d row %d", n, j)
					assert.Equal(t, want.Y, row[len(row)-1], "frame %d row %d", n, j)
				}
			}
		})
	}
}

// TestBounceWindow: about the window the low level stays.
func TestBounceWindow(t *testing.T) {
	s, _, at := laid(t, "bounce area=window low=10 high=90", "480i")
	q := patch(t, s, "changing level")
	for n, want := range map[int]float64{0: 0.9, 15: 0.1} {
		assert.Equal(t, want, middle(t, at(n), q).Y)
		assert.Equal(t, 0.1, middle(t, at(n), patch(t, s, "surround above")).Y)
		assert.Equal(t, 0.1, at(n).Planes[0].Row(240)[10])
	}
}

// TestBounceField: ITU-R BT.1439 figure 3, half of each field low and half
// high (half period 10 ms at 50 fields, 8.33 ms at 60): the cut is half way
// down, and nothing moves.
func TestBounceField(t *testing.T) {
	s, v, at := laid(t, "bounce shape=field", "576i")
	assert.Equal(t, 1, s.Period)
	f, rows := at(0), v.Shown.Height()
	for j := range rows {
		want := 0.0
		if j >= rows/2 {
			want = 1
		}
		require.Equal(t, want, f.Planes[0].Row(j)[360], "row %d", j)
	}
}

// TestBounceLimit: no faster than three changes a second unless asked; the
// limit itself, and one frame less, on every raster. Half of the three flashes
// that general limits allow (memory).
func TestBounceLimit(t *testing.T) {
	for _, r := range timing.Rasters() {
		v := NewView(r, colorimetry.YCbCr8, frame.S422, Shaped)
		least := 2
		for r.FrameRate().Float64()/float64(least/2) > 3 {
			least += 2
		}
		lay := func(frames int, fast bool) (*Scene, error) {
			p := &Bounce{High: 100, Period: fmt.Sprint(frames), Shape: "square", Area: "full", Fast: fast}
			return p.Scene(v)
		}
		s, err := lay(least, false)
		require.NoError(t, err, r.Name)
		assert.Contains(t, s.Notes[0], "photosensitive epilepsy")
		_, err = lay(least-2, false)
		require.Error(t, err, r.Name)
		assert.Contains(t, err.Error(), fmt.Sprintf("; use %d frames or more, or fast=true", least))
		s, err = lay(least-2, true)
		require.NoError(t, err, r.Name)
		assert.Contains(t, s.Notes[0], "CAUTION: ")
	}
	e, err := Find("bounce")
	require.NoError(t, err)
	assert.Contains(t, e.Still, "photosensitive epilepsy")
}
