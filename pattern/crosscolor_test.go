package pattern

import (
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestCrossColorPhase fits the gratings at the subcarrier on lines of two
// frames. The phase of slanted ones from 0H to 0H is that of the subcarrier:
// 455/2 cycles a line (SMPTE 170M-2004 clause 11), 1135/4 + 1/625 (ITU-R
// BT.1700 Annex 1 Part B table 2), 228 for the raster made so; that of upright
// ones is the same everywhere. It would catch lines counted by rows, fields
// taken for frames, and the 25 Hz offset left out.
func TestCrossColorPhase(t *testing.T) {
	for _, tt := range []struct {
		raster string
		cycles float64 // a line
		lines  int     // a frame
		period int
		fscMHz float64
	}{
		{"480i", 227.5, 525, 2, 5.0 * 63 / 88},
		{"480i-dv", 227.5, 525, 2, 5.0 * 63 / 88},
		{"576i", 283.75 + 1.0/625, 625, 4, 4.43361875},
		{"240p", 227.5, 262, 1, 5.0 * 63 / 88},
		{"240p-263", 227.5, 263, 2, 5.0 * 63 / 88},
		{"240p-228", 228, 262, 1, 5.0 * 63 / 88},
		{"288p-313", 283.75, 313, 4, 4.43361875},
	} {
		r := timing.Lookup(tt.raster)
		s := onRaster(t, "cross-color", r, 1, 0, colorimetry.Plan{})
		assert.Equal(t, tt.period, s.Period, tt.raster)
		for _, upright := range []bool{true, false} {
			q := patch(t, s.Scene, crossName(0, !upright))
			from, to := s.times(q)
			rows := []int{}
			for j := range r.Height() {
				if y := r.Span(j).Y; y > q.Y0 && y < q.Y1 && len(rows) < 9 {
					rows = append(rows, j)
				}
			}
			base, have := 0.0, false
			for n := range 3 {
				f, err := Sample(s.Scene, r, frame.S444, n)
				require.NoError(t, err)
				at := shown{s.Scene, s.View, f}
				for _, j := range rows {
					x, y := at.span(j, from, to)
					w := fit(t, x, y, tt.fscMHz)
					assert.InEpsilon(t, tt.fscMHz, w.Frequency, 1e-5, "%s %s row %d", tt.raster, q.Name, j)
					passed := 0.0
					if !upright {
						passed = float64(r.Lines[j].Number+n*tt.lines) * tt.cycles
					}
					// Phase at a time after 0H, less what the subcarrier has gone since line 0.
					phase := w.Phase + w.Frequency*30 - passed
					if !have {
						base, have = phase, true
					}
					assert.InDelta(t, 0, apart(phase, base), 1e-4, "%s %s frame %d line %d", tt.raster, q.Name, n, r.Lines[j].Number)
				}
			}
		}
	}
}

// TestCrossColorStill: without carry every frame is the same.
func TestCrossColorStill(t *testing.T) {
	r := timing.Lookup("576i")
	s := onRaster(t, "cross-color carry=false", r, 1, 0, colorimetry.Plan{})
	assert.Equal(t, 1, s.Period)
	moving := onRaster(t, "cross-color", r, 1, 0, colorimetry.Plan{})
	assert.Equal(t, s.frame.Planes, moving.frame.Planes, "frame 0")
	f, err := Sample(s.Scene, r, frame.S444, 3)
	require.NoError(t, err)
	assert.Equal(t, s.frame.Planes, f.Planes)
	g, err := Sample(moving.Scene, r, frame.S444, 3)
	require.NoError(t, err)
	assert.NotEqual(t, s.frame.Planes, g.Planes)
}

// TestCrossColorGray: there is no chroma at all in the picture.
func TestCrossColorGray(t *testing.T) {
	s := onRaster(t, "cross-color", timing.Lookup("480i"), 1, 0, colorimetry.Plan{})
	for c := 1; c < 3; c++ {
		for _, row := range s.frame.Planes[c].Rows {
			for _, x := range row {
				require.Zero(t, x)
			}
		}
	}
}
