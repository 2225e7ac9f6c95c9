package measure

import (
	"math"

	"backporch/colorimetry"
)

// bits is how finely a source holds color: 3 to 6 bits for each of R', G' and
// B', or bits565. Negative: the lower bits of 8 were cut off, where otherwise the
// nearest level is taken. 0 is as finely as may be.
type bits int

// bits565 is five bits of R' and B' and six of G'.
const bits565 bits = 565

// coarse lists what is tried. Seven bits and more are no fault that patches
// could show apart from the rounding of a file.
func coarse() []bits { return []bits{3, 4, 5, 6, bits565, -3, -4, -5, -6, -bits565} }

// value is what a finding says of it.
func (n bits) value() float64 {
	n = max(n, -n)
	if n == bits565 {
		return 5
	}
	return float64(n)
}

// round returns the color that comes of s.
func (n bits) round(s colorimetry.Signal) colorimetry.Signal {
	r, g, b := s.RGB()
	cut := n < 0
	n = max(n, -n)
	k := n
	if n == bits565 {
		k, n = 6, 5
	}
	return colorimetry.FromRGB(n.level(r, cut), k.level(g, cut), n.level(b, cut))
}

// level returns one of the 2^n levels from 0 to 1: the nearest, a tie going up,
// or that of the upper bits of an 8-bit code.
func (n bits) level(v float64, cut bool) float64 {
	const tie = 1e-6
	most := float64(int(1)<<n - 1)
	k := math.Floor(float64(v*most) + 0.5 + tie)
	if cut {
		k = math.Floor(math.Floor(float64(v*255)+0.5+tie) / float64(int(1)<<(8-n)))
	}
	return min(max(k, 0), most) / most
}
