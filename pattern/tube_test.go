package pattern

import (
	"fmt"
	"math"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/require"
)

// A tube is the luma of a picture as it lies on the screen: places are picture
// heights from the middle, circles are round. It knows only samples, where
// they lie by the raster, and the aspect of the screen.
type tube struct {
	r       *timing.Raster
	comb    timing.Comb
	stretch float64
	luma    frame.Plane
	frame   *frame.Frame
	scene   *Scene
	view    View
}

// onTube renders a pattern in 4:4:4. change may alter the view before.
func onTube(t testing.TB, spec string, r *timing.Raster, aspect float64, change ...func(*View)) *tube {
	t.Helper()
	p, err := Parse(spec)
	require.NoError(t, err)
	v := NewView(r, colorimetry.YCbCr10, frame.S444, Shaped)
	v.Aspect = aspect
	for _, f := range change {
		f(&v)
	}
	s, err := p.Scene(v)
	require.NoError(t, err)
	f, err := Sample(s, r, frame.S444, 0)
	require.NoError(t, err)
	return &tube{r: r, comb: r.Comb(0), stretch: aspect / (4.0 / 3), luma: f.Planes[0], frame: f, scene: s, view: v}
}

// everyTube calls f for every raster and both aspects.
func everyTube(t *testing.T, f func(t *testing.T, r *timing.Raster, aspect float64)) {
	for _, r := range timing.Rasters() {
		for name, aspect := range map[string]float64{"4x3": Aspect4x3, "16x9": Aspect16x9} {
			t.Run(fmt.Sprint(r.Name, "/", name), func(t *testing.T) { f(t, r, aspect) })
		}
	}
}

// x is the place of sample i, y that of row j, dy the pitch of the rows.
func (u *tube) x(i int) float64 { return u.comb.At(i) * u.stretch }
func (u *tube) y(j int) float64 { return u.r.Span(j).Y }
func (u *tube) dy() float64     { return u.r.Span(0).DY }

// A cut is samples along a straight line, at equal steps.
type cut struct {
	from, step float64
	v          []float64
}

// across is row j as a cut.
func (u *tube) across(j int) cut {
	return cut{u.x(0), u.x(1) - u.x(0), u.luma.Row(j)}
}

// down is the cut at place x, from all rows.
func (u *tube) down(x float64) cut {
	c := cut{u.y(0), u.dy(), make([]float64, u.r.Height())}
	for j := range c.v {
		c.v[j] = u.across(j).at(x)
	}
	return c
}

// at interpolates between the samples with the cubic through the nearest four.
func (c cut) at(place float64) float64 {
	u := (place - c.from) / c.step
	i := min(max(int(math.Floor(u)), 1), len(c.v)-3)
	u -= float64(i)
	a, b, d, e := c.v[i-1], c.v[i], c.v[i+1], c.v[i+2]
	return -a*u*(u-1)*(u-2)/6 + b*(u+1)*(u-1)*(u-2)/2 - d*(u+1)*u*(u-2)/2 + e*(u+1)*u*(u-1)/6
}

// crossings returns where the cut passes a level between two places.
func (c cut) crossings(level, from, to float64) (list []float64) {
	const fine = 64
	step := c.step / fine
	for x := from; x < to; x += step {
		if a, b := c.at(x)-level, c.at(x+step)-level; (a < 0) != (b < 0) {
			list = append(list, x+step*a/(a-b))
		}
	}
	return list
}

// centroid is the center of gravity of what lies between two places.
func (c cut) centroid(from, to float64) float64 {
	var sum, moment float64
	for i, v := range c.v {
		if x := c.from + float64(i)*c.step; x > from && x < to {
			sum += v
			moment += v * x
		}
	}
	return moment / sum
}

// runs returns the centers of the stretches above half white, in order.
func (c cut) runs(level float64) (list []float64) {
	edges := c.crossings(level, c.from+c.step, c.from+float64(len(c.v)-2)*c.step)
	for i := 0; i+1 < len(edges); i++ {
		if mid := (edges[i] + edges[i+1]) / 2; c.at(mid) > level {
			list = append(list, mid)
		}
	}
	return list
}
