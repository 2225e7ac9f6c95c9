package pattern

import (
	"math"
	"math/cmplx"
	"testing"

	"backporch/colorimetry"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestLinePairs reads every sample of every area: levels alternate exactly, as
// wide as named, on samples and rows of the raster itself.
func TestLinePairs(t *testing.T) {
	for _, r := range []*timing.Raster{timing.Lookup("480i"), timing.Lookup("576i"), timing.Lookup("240p"), small()} {
		s := onRaster(t, "line-pairs dark=10 light=90", r, 1, 0, colorimetry.Plan{})
		c := r.Comb(0)
		for _, rows := range []bool{false, true} {
			for wide := 1; wide <= 4; wide++ {
				q := patch(t, s.Scene, pairsName(wide, rows))
				i0, i1 := int(math.Ceil((q.X0-c.X0)/c.DX)), int(math.Floor((q.X1-c.X0)/c.DX))
				j0, j1 := s.nearestRow(q.Y0), s.nearestRow(q.Y1)
				require.Greater(t, i1-i0, 30, q.Name)
				require.Greater(t, j1-j0, 40, q.Name)
				assert.Zero(t, (i1-i0+1)%(2*wide), "%s %s: whole pairs across", r.Name, q.Name)
				assert.Zero(t, (j1-j0)%(2*wide), "%s %s: whole pairs down", r.Name, q.Name)
				for j := j0; j < j1; j++ {
					for i := i0; i <= i1; i++ {
						n := i - i0
						if rows {
							n = j - j0
						}
						want := 0.9
						if n/wide%2 == 1 {
							want = 0.1
						}
						if got := s.frame.Planes[0].Row(j)[i]; math.Abs(got-want) > 1e-12 {
							t.Fatalf("%s %s: sample %d of row %d is %v, want %v", r.Name, q.Name, i, j, got, want)
						}
					}
				}
				if !rows {
					assert.InDelta(t, r.Clock.Float64()/float64(2*wide), q.Hz, 1e-6)
				}
			}
		}
	}
	_, err := (&LinePairs{Dark: 60, Light: 40}).Scene(anyView(t))
	assert.EqualError(t, err, "dark: 60 % is not darker than 40 %; use less than the level of light")
}

// TestAlternate: between the samples the wave has nothing above half the
// clock, by its spectrum at eight times the samples.
func TestAlternate(t *testing.T) {
	for wide := 1; wide <= 4; wide++ {
		const times = 8
		n := 2 * wide * times
		for k := range n/2 + 1 {
			var sum complex128
			for i := range n {
				u := (float64(i) + 0.5) / times // never a whole number
				sum += complex(alternate(u, wide), 0) * cmplx.Rect(1, -2*math.Pi*float64(k)*u/float64(2*wide))
			}
			if k > wide {
				assert.InDelta(t, 0, cmplx.Abs(sum)/float64(n), 1e-12, "%d wide, %d times its frequency", wide, k)
			}
		}
		for i := -20; i < 20; i++ {
			want := 1.0
			if ((i%(2*wide))+2*wide)%(2*wide) >= wide {
				want = 0
			}
			assert.Equal(t, want, alternate(float64(i), wide), "%d wide at %d", wide, i)
			assert.InDelta(t, want, alternate(float64(i)+2e-6, wide), 2e-5, "%d wide beside %d: continuous", wide, i)
		}
	}
}
