package sinc

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestWeights: sines up to 0.34 of the rate are drawn where they are, levels
// stay, and a sample is itself.
func TestWeights(t *testing.T) {
	for _, at := range []float64{0, 0.25, 0.5, 0.75, 1 - 1.0/1024} {
		h := Weights(at)
		for _, rate := range []float64{0, 0.05, 0.2, 0.34} {
			for _, phase := range []float64{0, 1, 2} {
				got := 0.0
				for j, w := range h {
					got += w * math.Cos(2*math.Pi*rate*float64(j-Taps/2+1)+phase)
				}
				assert.InDelta(t, math.Cos(2*math.Pi*rate*at+phase), got, 2e-4, "at %v, %v of the rate", at, rate)
			}
		}
	}
	h := Weights(0)
	assert.InDelta(t, 1, h[Taps/2-1], 1e-12)
}

// TestBessel: I0(1) and I0(8), Abramowitz and Stegun table 9.8 (memory).
func TestBessel(t *testing.T) {
	assert.InDelta(t, 1.2660658778, bessel(1), 1e-9)
	assert.InDelta(t, 427.56411572, bessel(8), 1e-6)
}
