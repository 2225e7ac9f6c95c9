package measure

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// sampled lays a pattern out on a raster and samples it.
func sampled(t testing.TB, spec, raster string, m frame.Sampling) (*pattern.Scene, pattern.View, *Picture) {
	r := timing.Lookup(raster)
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	v := pattern.NewView(r, colorimetry.YCbCr8, m, pattern.Shaped)
	s, err := p.Scene(v)
	require.NoError(t, err)
	f, err := pattern.Sample(s, r, m, 0)
	require.NoError(t, err)
	return s, v, OfFrame(f)
}

// TestPatchesOfTheDefinition: measured on its own samples every level and ramp
// is what the pattern wants, on any raster and sampling.
func TestPatchesOfTheDefinition(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	for _, raster := range []string{"480i", "576i", "240p", "486i"} {
		for _, m := range []frame.Sampling{frame.S444, frame.S422, frame.Subsample420(timing.Lookup(raster))} {
			if m.Check(timing.Lookup(raster)) != nil {
				continue
			}
			for _, e := range pattern.All() {
				s, v, p := sampled(t, e.Name, raster, m)
				for _, got := range Patches(p, Nominal(p.Raster), s, v, nil) {
					if got.Kind != pattern.Level && got.Kind != pattern.Ramp && got.Kind != pattern.RampDown {
						continue
					}
					name := raster + " " + m.String() + " " + e.Name + ": " + got.Name
					if !assert.True(t, got.Measured(), name) {
						continue
					}
					for c := colorimetry.Y; c <= colorimetry.CR; c++ {
						assert.InDelta(t, got.Expect.Of(c), got.Got.Of(c), 1e-4, "%s %v", name, c)
						if got.Kind != pattern.Level {
							assert.InDelta(t, got.ExpectTo.Of(c), got.GotTo.Of(c), 2e-3, "%s %v", name, c)
						}
					}
				}
			}
		}
	}
}

// TestChroma: a vector of SMPTE 170M-2004 table A.3: the 75 % yellow bar lies at
// 167.1 degrees and has 0.4475 of U'V' at 0.75 (ITU-R BT.601-5 clause 3.5:
// R'-Y' and B'-Y').
func TestChroma(t *testing.T) {
	yellow := colorimetry.FromRGB(0.75, 0.75, 0)
	cyan := colorimetry.FromRGB(0, 0.75, 0.75)
	gain, degrees, ok := Chroma(yellow, cyan)
	require.True(t, ok)
	assert.InDelta(t, 283.5-167.1, degrees, 0.1, "table A.3: cyan 283.5, yellow 167.1")
	assert.InDelta(t, 0.632/0.447, gain, 0.005, "table A.3: 88 and 62 IRE peak to peak")
	_, _, ok = Chroma(colorimetry.Gray(1), cyan)
	assert.False(t, ok)
}
