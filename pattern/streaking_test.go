package pattern

import (
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestStreakingAreas: each bar has ground of the same lines at its left and its
// right and ground above it, all of one level, with room to see a streak; bars
// of one length are alike but for their level, and order swaps them.
func TestStreakingAreas(t *testing.T) {
	for _, raster := range []string{"480i", "576i", "240p", "288p"} {
		s, v, f := shot{spec: "streaking white=90 black=5 ground=40", raster: raster, coding: colorimetry.YCbCr10, sampling: frame.S422}.take(t)
		ns := v.ns(1)
		var length []float64
		for _, size := range []string{"long", "medium", "short"} {
			var bars []Patch
			for color, level := range map[string]float64{"white": 0.90, "black": 0.05} {
				name := size + " " + color + " bar"
				bar, left, right := patch(t, s, name), patch(t, s, "left of "+name), patch(t, s, "right of "+name)
				above := patch(t, s, "ground above "+name)
				assert.InDelta(t, level, middle(t, f, bar).Y, 1e-12, name)
				for _, p := range []Patch{left, right, above} {
					assert.Equal(t, 0.4, middle(t, f, p).Y, p.Name)
				}
				assert.Equal(t, [2]float64{bar.Y0, bar.Y1}, [2]float64{left.Y0, left.Y1})
				assert.Equal(t, [2]float64{bar.Y0, bar.Y1}, [2]float64{right.Y0, right.Y1})
				assert.Equal(t, bar.Y0, above.Y1)
				assert.Greater(t, (right.X1-right.X0)/ns, 9000.0, "%s: ns to its right", name)
				assert.Greater(t, (left.X1-left.X0)/ns, 9000.0, "%s: ns to its left", name)
				bars = append(bars, bar)
			}
			assert.InDelta(t, bars[0].X1-bars[0].X0, bars[1].X1-bars[1].X0, 1e-12)
			length = append(length, (bars[0].X1-bars[0].X0)/ns)
		}
		require.Len(t, length, 3)
		assert.Greater(t, length[0], 1.9*length[1])
		assert.Greater(t, length[1], 2.9*length[2])

		swapped, _, _ := shot{spec: "streaking order=black-first", raster: raster, coding: colorimetry.YCbCr10, sampling: frame.S422}.take(t)
		assert.Less(t, patch(t, s, "long white bar").Y0, patch(t, s, "long black bar").Y0)
		assert.Equal(t, patch(t, s, "long white bar").Y0, patch(t, swapped, "long black bar").Y0)
	}
}
