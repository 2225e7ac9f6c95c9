package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"backporch/pattern/frame"
)

// smeared returns a capture whose rows a filter has mixed, as filters against
// flicker do: a normal curve of that standard deviation in rows, in codes of 8
// bits.
func smeared(p *Picture, rows float64) *Picture {
	const reach = 6
	out := *p
	out.Raster = nil
	out.Planes[0] = make([]float32, len(p.Planes[0]))
	for j := range p.Height {
		for d := -reach; d <= reach; d++ {
			w := float32(math.Exp(-float64(d*d)/(2*rows*rows)) / (rows * math.Sqrt(2*math.Pi)))
			for x, v := range p.Row(0, min(max(j+d, 0), p.Height-1)) {
				out.Planes[0][j*p.Width+x] += w * v
			}
		}
	}
	for i, v := range out.Planes[0] {
		out.Planes[0][i] = float32(math.Round(float64(v)*219) / 219)
	}
	return &out
}

// TestFindSmeared: a filter down the picture does not move it.
func TestFindSmeared(t *testing.T) {
	for _, spec := range []string{"bars-eg1", "bars-rp219", "circles"} {
		s, v, p := sampled(t, spec, "480i", frame.S422)
		for _, rows := range []float64{0.7, 1.2} {
			at := Find(smeared(p, rows), s, v, p.Raster)
			right, down, wider, higher := at.Against(Nominal(p.Raster))
			assert.InDelta(t, 0, right, 0.05, spec)
			assert.InDelta(t, 0, down, 0.5, spec)
			assert.InDelta(t, 0, wider, 0.001, spec)
			assert.InDelta(t, 0, higher, 0.004, spec)
		}
	}
}
