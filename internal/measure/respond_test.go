package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestResponse: the response of a filter that is known in closed form is found
// within three standard deviations and a hundredth, at every frequency that is
// given.
func TestResponse(t *testing.T) {
	cases := []struct {
		name string
		ill  ill
		gain func(mhz float64) float64
	}{
		{"bell", ill{Bandwidth, 3}, func(f float64) float64 { return math.Exp(-f * f / 9 * math.Ln2 / 2) }},
		{"peaking", ill{Sharpened, 40}, func(f float64) float64 { return 1 + 0.2*(1-math.Cos(2*math.Pi*f/13.5)) }},
		{"plain", ill{LumaGain, 3}, func(float64) float64 { return 1 }},
	}
	for _, pattern := range []string{"multiburst", "sweep", "chroma-delay", "bars-eg1"} {
		b := newBench(t, pattern, "480i")
		for _, c := range cases {
			p := b.play(t, []ill{c.ill}, false, 0.005, rand.New(rand.NewPCG(3, 4)))
			p.Raster = b.raster
			r, err := Measure(b.request(p))
			require.NoError(t, err)
			require.NotEmpty(t, r.Luma)
			for _, x := range r.Luma {
				assert.InDelta(t, c.gain(x.MHz), x.Gain, 0.015+3.5*x.Sigma, "%s, %s at %.2f MHz", pattern, c.name, x.MHz)
			}
		}
	}
}

// TestNumbersOfDetail: -3 dB, delay and rise, at three strengths.
func TestNumbersOfDetail(t *testing.T) {
	cases := []struct {
		pattern string
		ill     ill
		delta   float64
	}{
		{"multiburst", ill{Bandwidth, 1.8}, 0.15}, {"multiburst", ill{Bandwidth, 3}, 0.15}, {"multiburst", ill{Bandwidth, 4.2}, 0.2},
		{"sweep", ill{Bandwidth, 2.5}, 0.15}, {"tv-lines", ill{Bandwidth, 3.3}, 0.2}, {"line-pairs", ill{Bandwidth, 2.5}, 0.2},
		{"chroma-delay", ill{ChromaBandwidth, 0.6}, 0.1}, {"chroma-delay", ill{ChromaBandwidth, 1.3}, 0.1}, {"bars-eg1", ill{ChromaBandwidth, 1}, 0.1},
		{"chroma-delay", ill{ChromaLate, 50}, 6}, {"chroma-delay", ill{ChromaLate, -140}, 6}, {"bars-eg1", ill{ChromaLate, 250}, 8}, {"pulse-bar", ill{ChromaLate, -90}, 8},
		// The rise at half the clock is 30 and 60 %; at 5.4 MHz, where looking ends, 0.905 of it.
		{"multiburst", ill{Sharpened, 30}, 5}, {"multiburst", ill{Sharpened, 50}, 5}, {"sweep", ill{Sharpened, 60}, 5}, {"line-pairs", ill{Sharpened, 20}, 5},
	}
	for _, c := range cases {
		b := newBench(t, c.pattern, "480i")
		p := b.play(t, []ill{c.ill}, false, 0.003, rand.New(rand.NewPCG(5, 6)))
		p.Raster = b.raster
		r, err := Measure(b.request(p))
		require.NoError(t, err)
		f, ok := r.of(c.ill.fault)
		if assert.True(t, ok && f.Confidence >= sure, "%s %v: %s", c.pattern, c.ill, brief(r)) {
			want := c.ill.value
			if c.ill.fault == Sharpened {
				want *= 0.905
			}
			assert.InDelta(t, want, f.Value, c.delta, "%s %v", c.pattern, c.ill)
		}
	}
}
