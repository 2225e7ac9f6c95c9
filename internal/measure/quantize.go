package measure

import (
	"math"

	"backporch/colorimetry"
)

// bits is how finely a source holds color: 3 to 6 bits for each of R', G' and
// B', or bits565. 0 is as finely as may be.
type bits int

// bits565 is five bits of R' and B' and six of G'.
const bits565 bits = 565

// coarse lists what is tried. Seven bits and more are no fault that patches
// could show apart from the rounding of a file.
func coarse() []bits { return []bits{3, 4, 5, 6, bits565} }

// value is what a finding says of it.
func (n bits) value() float64 {
	if n == bits565 {
		return 5
	}
	return float64(n)
}

// round returns the nearest color that there is.
func (n bits) round(s colorimetry.Signal) colorimetry.Signal {
	r, g, b := s.RGB()
	k := n
	if n == bits565 {
		k, n = 6, 5
	}
	return colorimetry.FromRGB(n.level(r), k.level(g), n.level(b))
}

// level returns the nearest of the 2^n levels from 0 to 1; a tie goes up.
func (n bits) level(v float64) float64 {
	most := float64(int(1)<<n - 1)
	return min(max(math.Floor(float64(v*most)+0.5+1e-6), 0), most) / most
}
