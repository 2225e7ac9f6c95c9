package cli

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestScopeFlags(t *testing.T) {
	called := false
	cmd := newScope(&Streams{}, func(_ context.Context, o *scopeOptions) error {
		called = true
		assert.Equal(t, []string{"bars-full", "set=75/0/75/0"}, o.Words)
		assert.Equal(t, "vector", o.View)
		assert.Equal(t, 100, o.Line)
		assert.Equal(t, 3, o.Field)
		assert.Equal(t, 100, o.Targets)
		assert.Equal(t, "yc-m", o.Wire)
		assert.Equal(t, "narrow", o.Chroma)
		assert.Equal(t, "off", o.Burst)
		assert.Equal(t, "a.svg", o.Output)
		assert.Equal(t, 1080, o.Width)
		return nil
	})
	cmd.SetArgs([]string{"bars-full", "set=75/0/75/0", "--view", "vector", "--line", "100", "--field", "3", "--targets", "100",
		"--wire", "yc-m", "--chroma", "narrow", "--burst", "off", "-o", "a.svg"})
	require.NoError(t, cmd.Execute())
	assert.True(t, called, "the command did not run")
}

// BenchmarkScopeCommand is all that a person waits for but the start of the
// program: laying out, sampling, encoding, drawing, packing.
func BenchmarkScopeCommand(b *testing.B) {
	for _, args := range [][]string{
		{"bars-full"}, {"bars-full", "--view", "lines"}, {"bars-full", "--view", "field"}, {"bars-full", "--view", "vector"},
		{"bars-full", "--raster", "576i", "--view", "lines"}, {"bars-full", "--raster", "576i", "--view", "vector"},
		{"circles", "--raster", "576i", "--view", "lines"},
	} {
		name := ""
		for _, a := range args {
			if a[0] != '-' {
				name += "/" + a
			}
		}
		b.Run(name[1:], func(b *testing.B) {
			for b.Loop() {
				code, _, errs := run(b, append(append([]string{"scope"}, args...), "-o", "-")...)
				require.Equal(b, exitDone, code, errs)
			}
		})
	}
}
