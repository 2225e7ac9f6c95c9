package compare_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/compare"
	"backporch/internal/composite"
	"backporch/internal/format"
	"backporch/internal/render"
	"backporch/internal/tube"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// request is a comparison of a plain file on the usual wire of a raster, on a
// tube of 100 cd/m2 without light at black and with a gamma of 2.4.
func request(t testing.TB, spec, raster string, axis compare.Axis) compare.Request {
	t.Helper()
	pt, err := pattern.Parse(spec)
	require.NoError(t, err)
	r := timing.Lookup(raster)
	require.NotNil(t, r)
	f, err := format.Resolve(format.Choice{Name: "y4m", Depth: 10})
	require.NoError(t, err)
	job, err := (&render.Request{Pattern: pt, Raster: r, Aspect: timing.R(4, 3), Format: f, Frames: 1}).Layout()
	require.NoError(t, err)
	return compare.Request{
		Spec: spec, Scene: job.Scene, View: job.View, Aspect: job.Aspect,
		Carried: func(l *timing.Raster) (*frame.Frame, error) { return job.Carried(l, 0) },
		Wire:    composite.Usual(r.Scan), Options: composite.Standard,
		Set: set(t, 100, 0, 2.4), Axis: axis,
	}
}

func set(t testing.TB, white, black, gamma float64) tube.Set {
	t.Helper()
	c, err := colorimetry.NewTube(white, black, gamma)
	require.NoError(t, err)
	p, err := colorimetry.ParsePrimaries("smpte-c")
	require.NoError(t, err)
	return tube.Set{Curve: c, Primaries: p, White: colorimetry.D65}
}
