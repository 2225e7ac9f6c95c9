package cli

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/compare"
	"backporch/internal/composite"
)

// parseCompare returns the options of a command line without running it.
func parseCompare(t *testing.T, args ...string) (got *compareOptions) {
	t.Helper()
	cmd := newCompare(&Streams{}, func(_ context.Context, o *compareOptions) error {
		got = o
		return nil
	})
	cmd.SetArgs(args)
	require.NoError(t, cmd.Execute())
	require.NotNil(t, got, "the command did not run")
	return got
}

func TestCompareFlags(t *testing.T) {
	o := parseCompare(t, "bars-full", "set=75/0/75/0", "--axis", "phase", "--values", "-10,5", "--blue-only", "--luminance", "80", "--black", "0.1", "-o", "x.png", "--width", "720", "--force")
	assert.Equal(t, []string{"bars-full", "set=75/0/75/0"}, o.Words)
	assert.Equal(t, [3]bool{false, false, true}, o.Only)
	assert.Equal(t, "x.png", o.Output)
	assert.Equal(t, 720, o.Width)
	assert.True(t, o.Force)

	q, err := o.request()
	require.NoError(t, err)
	assert.Equal(t, "bars-full set=75/0/75/0", q.Spec)
	assert.Equal(t, compare.Phase, q.Axis)
	assert.Equal(t, []float64{-10, 5}, q.Values)
	assert.Equal(t, compare.BlueOnly, q.Gun)
	assert.Equal(t, 80.0, q.Set.Curve.White)
	assert.Equal(t, 0.1, q.Set.Curve.Black)
	assert.Equal(t, "smpte-c", q.Set.Primaries.Name)
	assert.True(t, q.Choose)
}

// The usual axis is what the wire has to compare, and the wire that of the
// raster.
func TestCompareDefaults(t *testing.T) {
	tests := []struct {
		args      []string
		axis      compare.Axis
		wire      string
		primaries string
	}{
		{nil, compare.Setup, "composite-m", "smpte-c"},
		{[]string{"--wire", "yc-j"}, compare.Setup, "yc-j", "smpte-c"},
		{[]string{"--raster", "288p"}, compare.Phase, "pal", "ebu"},
		{[]string{"--wire", "component-n10"}, compare.Component, "component-n10", "smpte-c"},
		{[]string{"--wire", "component-n10", "--raster", "576i"}, compare.Component, "component-n10", "ebu"},
		{[]string{"--wire", "rgb-700", "--primaries", "bt709"}, compare.ColorTemperature, "rgb-700", "bt709"},
		{[]string{"--axis", "component"}, compare.Component, "composite-m", "smpte-c"},
		{[]string{"--axis", "gain", "--setup", "0"}, compare.Gain, "composite-j", "smpte-c"},
	}
	for _, tt := range tests {
		q, err := parseCompare(t, append([]string{"bars-eg1"}, tt.args...)...).request()
		require.NoError(t, err, "%v", tt.args)
		assert.Equal(t, tt.axis, q.Axis, "%v", tt.args)
		assert.Equal(t, tt.wire, q.Wire.Name, "%v", tt.args)
		assert.Equal(t, tt.primaries, q.Set.Primaries.Name, "%v", tt.args)
	}
	q, err := parseCompare(t, "pluge", "--separation", "comb3").request()
	require.NoError(t, err)
	assert.Equal(t, composite.Comb3, q.Set.Input.Separation)
	assert.False(t, q.Choose)
}

func TestSlug(t *testing.T) {
	for name, want := range map[string]string{
		"phase -5°, delay line":       "phase-minus-5-delay-line",
		"phase +5°":                   "phase-plus-5",
		"source Betacam 7.5, set N10": "source-betacam-7.5-set-n10",
		"burst 50 %, control on":      "burst-50-control-on",
	} {
		assert.Equal(t, want, slug(name))
	}
}
