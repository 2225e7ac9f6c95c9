package pattern

import (
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/require"
)

// BenchmarkGeometry lays out and samples the geometry patterns at 480i, 4:4:4.
func BenchmarkGeometry(b *testing.B) {
	for _, e := range crosshatchEntries {
		b.Run(e.Name+"/480i", func(b *testing.B) {
			r := timing.Lookup("480i")
			v := NewView(r, colorimetry.YCbCr10, frame.S444, Shaped)
			p, _ := e.New()
			b.SetBytes(int64(3 * 8 * r.Width * r.Height()))
			b.ReportAllocs()
			for b.Loop() {
				s, err := p.Scene(v)
				require.NoError(b, err)
				_, err = Sample(s, r, frame.S444, 0)
				require.NoError(b, err)
			}
		})
	}
}
