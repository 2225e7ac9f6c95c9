package compare_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"backporch/internal/compare"
)

// BenchmarkCompare makes a whole comparison, page included. The last two have a
// different row on every line: from the lattice of 625 lines, and from the
// pattern.
func BenchmarkCompare(b *testing.B) {
	for _, bb := range []struct {
		name, pattern, raster string
		axis                  compare.Axis
	}{
		{"setup", "pluge", "480i", compare.Setup},
		{"component", "bars-full", "480i", compare.Component},
		{"phase", "bars-full", "480i", compare.Phase},
		{"gain", "bars-full", "480i", compare.Gain},
		{"burst", "bars-full", "480i", compare.Burst},
		{"color-temperature", "bars-full", "480i", compare.ColorTemperature},
		{"tv-lines", "crosshatch", "480i", compare.TVLines},
		{"phase-625", "bars-full", "576i", compare.Phase},
		{"setup-circles", "circles", "480i", compare.Setup},
	} {
		b.Run(bb.name, func(b *testing.B) {
			q := request(b, bb.pattern, bb.raster, bb.axis)
			b.ReportAllocs()
			for b.Loop() {
				r, err := compare.Run(q)
				require.NoError(b, err)
				_, err = r.Page(compare.UsualWidth)
				require.NoError(b, err)
			}
		})
	}
}
