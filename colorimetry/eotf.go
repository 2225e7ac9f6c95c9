package colorimetry

import (
	"fmt"
	"math"
)

// A Tube is the transfer of a picture tube by ITU-R BT.1886 (03/2011) Annex 1:
//
//	L = a max(V + b, 0)^gamma
//
// with a and b such that V = 1 gives White and V = 0 gives Black. The
// recommendation has a gamma of 2.4.
type Tube struct {
	White, Black float64 // cd/m2
	Gamma        float64

	a, b float64
}

// mostWhite is the luminance of white, cd/m2, beyond which there is no tube.
const mostWhite = 1e6

// NewTube returns a tube. White is above black and at most 1e6 cd/m2, black not
// negative, gamma 0.1 to 10; the error names what is not.
func NewTube(white, black, gamma float64) (Tube, error) {
	switch {
	case !(gamma >= 0.1 && gamma <= 10):
		return Tube{}, fmt.Errorf("a gamma of %g makes no tube; BT.1886 has 2.4", gamma)
	case !(black >= 0):
		return Tube{}, fmt.Errorf("%g cd/m2 of black is less than none; use 0 or more", black)
	case !(white > black):
		return Tube{}, fmt.Errorf("%g cd/m2 of white must be more than the %g of black", white, black)
	case white > mostWhite:
		return Tube{}, fmt.Errorf("%g cd/m2 of white is more than any tube gives; use %g at most", white, float64(mostWhite))
	}
	w, k := math.Pow(white, 1/gamma), math.Pow(black, 1/gamma)
	return Tube{white, black, gamma, math.Pow(w-k, gamma), k / (w - k)}, nil
}

// Light returns the luminance of a signal level, 0 black to 1 white, cd/m2.
func (t Tube) Light(v float64) float64 {
	return t.a * math.Pow(max(v+t.b, 0), t.Gamma)
}
