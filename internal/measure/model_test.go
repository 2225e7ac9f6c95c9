package measure

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/timing"
)

// TestDefinitionIsSample: at the raster's own place the definition is what the
// pattern samples, to the last bit.
func TestDefinitionIsSample(t *testing.T) {
	for _, name := range []string{"circles", "bars-eg1", "moving-bar", "field-order"} {
		for _, raster := range []string{"480i", "576i", "240p"} {
			s, _, p := sampled(t, name, raster, 0)
			d, err := Definition(p, Nominal(p.Raster), s, p.Raster, 0)
			require.NoError(t, err)
			assert.Equal(t, p.Planes, d.Planes, "%s %s", name, raster)
		}
	}
}

// TestDefinitionElsewhere: at another place it is what a raster of that clock,
// start and those lines samples; rows a half apart are means of two.
func TestDefinitionElsewhere(t *testing.T) {
	for _, name := range []string{"circles", "bars-eg1", "one-to-one"} {
		s := shot{spec: name, raster: "480i", w: 700, h: 480, lattice: lattice{12.3, 0.98, 4, 1}}
		clock, start := s.exact()
		sc, _, p, truth := s.take(t)
		r := timing.Lookup("480i")
		d, err := Definition(p, truth, sc, r, 0)
		require.NoError(t, err)
		f := *r
		f.Clock, f.Start, f.Width = clock, start, s.w
		at := f.Comb(0)
		assert.InDelta(t, at.X0, -truth.X0/truth.DX, 1e-9, "the place is that of the raster")
		for c := colorimetry.Y; c <= colorimetry.CR; c++ {
			var worst float64
			for j := range s.h {
				for i, v := range d.Row(c, j)[2 : s.w-20] {
					if e := float64(abs32(v - p.Row(c, j)[i+2])); e > worst {
						worst = e
					}
				}
			}
			// The capture of the test was rounded to codes of 8 bits.
			assert.Less(t, worst, 0.51/219, "%s %v", name, c)
		}
	}
	s, _, p := sampled(t, "circles", "480i", 0)
	at := Nominal(p.Raster)
	at.Y0 -= 0.5
	d, err := Definition(p, at, s, p.Raster, 0)
	require.NoError(t, err)
	for j := range p.Height - 1 {
		for i, v := range d.Row(colorimetry.Y, j) {
			require.InDelta(t, (p.Row(colorimetry.Y, j)[i]+p.Row(colorimetry.Y, j+1)[i])/2, v, 1e-5)
		}
	}
	assert.InDelta(t, p.Row(colorimetry.Y, 479)[300]/2, d.Row(colorimetry.Y, 479)[300], 1e-5, "black below the last row")
}
