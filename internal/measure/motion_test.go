package measure

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// reel is frames of a moving pattern; order says of each frame which frame the
// field of the top row, and that of the other, are taken from.
func reel(t testing.TB, spec, raster string, order [][2]int, fault string, noise float64) (*pattern.Scene, *timing.Raster, []*Picture) {
	r := timing.Lookup(raster)
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	sc, err := p.Scene(pattern.NewView(r, colorimetry.YCbCr8, frame.S422, pattern.Shaped))
	require.NoError(t, err)
	take := func(n int) *Picture {
		f, err := pattern.Sample(sc, r, frame.S444, n)
		require.NoError(t, err)
		return OfFrame(f)
	}
	var list []*Picture
	rnd := rand.New(rand.NewPCG(9, 9))
	for _, o := range order {
		a, b := take(o[0]), take(o[1])
		for c := range a.Planes {
			for j := 1; j < a.Height && r.Scan.Interlaced(); j += 2 {
				copy(a.Planes[c][j*a.Width:(j+1)*a.Width], b.Planes[c][j*a.Width:])
			}
		}
		s := shot{fault: fault, noise: noise}
		s.spoil(a, rnd)
		list = append(list, a)
	}
	return sc, r, list
}

// TestFieldTimes: the time of each field is read off a moving picture, in any
// order, with noise and faults of levels. Field 1 is the older (SMPTE 170M figure
// 7); of 480i-dv the top row belongs to field 2.
func TestFieldTimes(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tests := []struct {
		name  string
		order [][2]int
	}{
		{"as it should be", [][2]int{{0, 0}, {1, 1}, {2, 2}}},
		{"dropped and repeated", [][2]int{{0, 0}, {0, 0}, {2, 2}, {4, 4}}},
		{"fields a frame apart", [][2]int{{1, 0}, {2, 1}, {3, 2}}},
	}
	for _, spec := range []string{"moving-bar", "count", "field-order", "moving-bar step=3 direction=left"} {
		for _, raster := range []string{"480i", "480i-dv", "576i", "240p"} {
			r := timing.Lookup(raster)
			if spec == "field-order" && !r.Scan.Interlaced() {
				continue // it does not move there
			}
			for i, tt := range tests {
				sc, r, frames := reel(t, spec, raster, tt.order, []string{"", "squeezed", "gamma"}[i], 0.01*float64(i))
				times, sure, ok := FieldTimes(frames, Nominal(r), sc, r)
				require.True(t, ok, "%s %s", spec, raster)
				var want []int
				for _, o := range tt.order {
					if r.Scan.Fields == 1 {
						want = append(want, o[0])
						continue
					}
					want = append(want, 2*o[0]+r.Lines[0].Field-1, 2*o[1]+r.Lines[1].Field-1)
				}
				for k := range want {
					want[k] %= sc.Period * r.Scan.Fields
				}
				assert.Equal(t, want, times, "%s %s: %s", spec, raster, tt.name)
				assert.Greater(t, sure, 0.9, "%s %s: %s", spec, raster, tt.name)
			}
		}
	}
}

// TestFieldTimesRefused: what does not move, and what was scaled, tells no time;
// a picture of something else is not sure.
func TestFieldTimesRefused(t *testing.T) {
	sc, r, frames := reel(t, "circles", "480i", [][2]int{{0, 0}}, "", 0)
	_, _, ok := FieldTimes(frames, Nominal(r), sc, r)
	assert.False(t, ok)
	moving, _, bars := reel(t, "moving-bar", "480i", [][2]int{{0, 0}}, "", 0)
	at := Nominal(r)
	at.DY *= 1.1
	_, _, ok = FieldTimes(bars, at, moving, r)
	assert.False(t, ok, "rows were scaled")
	_, sure, ok := FieldTimes(frames, Nominal(r), moving, r)
	assert.True(t, ok)
	assert.Less(t, sure, 0.7, "circles are no moving bars")
}
