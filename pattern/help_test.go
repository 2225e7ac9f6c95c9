package pattern

import (
	"math"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/require"
)

// A shot is a pattern on its way to a file, for tests.
type shot struct {
	spec     string
	raster   string
	coding   *colorimetry.Coding
	sampling frame.Sampling
	plan     colorimetry.Plan
}

// take lays the pattern out and samples frame 0.
func (q shot) take(t testing.TB) (*Scene, View, *frame.Frame) {
	t.Helper()
	p, err := Parse(q.spec)
	require.NoError(t, err)
	r := timing.Lookup(q.raster)
	require.NotNil(t, r, q.raster)
	v := NewView(r, q.coding, q.sampling, Shaped)
	v.Plan = q.plan
	s, err := p.Scene(v)
	require.NoError(t, err)
	f, err := Sample(s, r, q.sampling, 0)
	require.NoError(t, err)
	return s, v, f
}

// patch returns the one of that name.
func patch(t testing.TB, s *Scene, name string) Patch {
	t.Helper()
	var names []string
	for _, p := range s.Patches {
		if p.Name == name {
			return p
		}
		names = append(names, p.Name)
	}
	require.Failf(t, "no such patch", "%q; there are %q", name, names)
	return Patch{}
}

// middle returns the sample in the middle of a patch, read from the frame.
func middle(t testing.TB, f *frame.Frame, p Patch) colorimetry.Signal {
	t.Helper()
	c := f.Raster.Comb(0)
	across, down := f.Sampling.Step()
	i := int(math.Round(((p.X0+p.X1)/2 - c.X0) / c.DX))
	j := rowNear(f.Raster, (p.Y0+p.Y1)/2)
	return colorimetry.Signal{
		Y:  f.Planes[0].Row(j)[i],
		CB: f.Planes[1].Row(j / down)[i/across],
		CR: f.Planes[2].Row(j / down)[i/across],
	}
}

// rowNear returns the row of r whose middle is nearest to y.
func rowNear(r *timing.Raster, y float64) int {
	best := 0
	for j := range r.Height() {
		if math.Abs(r.Span(j).Y-y) < math.Abs(r.Span(best).Y-y) {
			best = j
		}
	}
	return best
}

// codesOf returns what a file holds in the middle of a patch: the sampled
// value, mapped and rounded.
func (q shot) codesOf(t testing.TB, name string) [3]uint16 {
	t.Helper()
	s, v, f := q.take(t)
	return q.coding.Codes(v.Plan.Map(middle(t, f, patch(t, s, name))))
}

// anyView is the usual view, for tests to which it does not matter.
func anyView(t testing.TB) View {
	t.Helper()
	r := timing.Lookup("480i")
	require.NotNil(t, r)
	return NewView(r, colorimetry.YCbCr8, frame.S422, Shaped)
}
