package crosscheck

import (
	"bytes"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/format"
	"backporch/internal/goldentest"
	"backporch/internal/render"
	"backporch/internal/scope"
	"backporch/pattern"
	"backporch/timing"

	"github.com/stretchr/testify/require"
)

// signalOf encodes frames of a pattern on a wire.
func signalOf(t *testing.T, spec, raster, wire string, frames int) *composite.Wave {
	t.Helper()
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	f, err := format.Resolve(format.Choice{Name: "y4m", Depth: 10})
	require.NoError(t, err)
	w := composite.Lookup(wire)
	q := render.Request{Pattern: p, Spec: spec, Raster: timing.Lookup(raster), Aspect: timing.R(4, 3), Plan: colorimetry.Plan{Wire: w.Family}, Clip: true, Format: f, Frames: 1}
	job, err := q.Layout()
	require.NoError(t, err)
	e, err := composite.NewEncoder(w, job.Raster.Scan, composite.Standard)
	require.NoError(t, err)
	signal, err := e.Encode(0, frames, job.Carried)
	require.NoError(t, err)
	return signal
}

// TestScopePictures compares pictures with those kept, which were looked at:
// what a technician's own instrument should show.
func TestScopePictures(t *testing.T) {
	for _, tt := range []struct {
		name, spec, raster, wire string
		o                        scope.Options
	}{
		{"scope-line", "bars-full", "480i", "composite-m", scope.Options{View: scope.Line}},
		{"scope-line-no-setup", "bars-full", "480i", "composite-j", scope.Options{View: scope.Line}},
		{"scope-lines-staircase", "staircase", "576i", "pal", scope.Options{View: scope.Lines}},
		{"scope-field-pluge", "pluge", "480i", "composite-m", scope.Options{View: scope.Field}},
		{"scope-vector", "bars-full", "480i", "composite-m", scope.Options{View: scope.Vector}},
		{"scope-vector-625", "bars-full", "576i", "pal", scope.Options{View: scope.Vector}},
		{"scope-parade", "bars-full", "576i", "component-n10", scope.Options{View: scope.Parade}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			tt.o.Title, tt.o.Subtitle, tt.o.Width = tt.spec, tt.raster, 720
			frames := 1
			if tt.o.View == scope.Field {
				frames = 2
			}
			p, err := scope.Draw(signalOf(t, tt.spec, tt.raster, tt.wire, frames), tt.o)
			require.NoError(t, err)
			goldentest.PNG(t, tt.name+".png", p.Image())
			if tt.name == "scope-line" {
				var b bytes.Buffer
				require.NoError(t, p.WriteSVG(&b))
				goldentest.Bytes(t, tt.name+".svg", b.Bytes())
			}
		})
	}
}
