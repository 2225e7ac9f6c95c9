// Package colorimetry holds the colors of a test signal before, in and after
// a file: Y'CbCr and R'G'B' by ITU-R BT.601-5 clause 3.5, the codes of a
// file, the levels of the analog interfaces in mV and IRE, and what a file
// must hold for a wanted level when the player's own encoder is known.
//
// Levels are from SMPTE 170M-2004, ITU-R BT.1700 and ITU-R BT.470-6; each row
// of the table in families.go names its source. The package knows nothing of
// rasters: where on a line a level stands is the business of others.
package colorimetry

import "fmt"

// A Signal is a color before any coding or interface family: Y' is 0 at black
// and 1 at white, CB and CR are within ±0.5 for the colors of the R'G'B' cube.
// All three may exceed these limits.
type Signal struct{ Y, CB, CR float64 }

// Component selects one of the three of a [Signal].
type Component int

// The components, in file order.
const (
	Y Component = iota
	CB
	CR
	numComponents
)

var componentNames = [numComponents]string{"Y", "CB", "CR"}

func (c Component) String() string {
	if c < 0 || c >= numComponents {
		return fmt.Sprintf("Component(%d)", int(c))
	}
	return componentNames[c]
}

// Of returns that component of s.
func (s Signal) Of(c Component) float64 {
	switch c {
	case Y:
		return s.Y
	case CB:
		return s.CB
	default:
		return s.CR
	}
}

// Luma weights, ITU-R BT.601-5 clause 3.5.1: exact thousandths.
const (
	weightR = 0.299
	weightG = 0.587
	weightB = 0.114
)

// Ranges of B'-Y' and R'-Y' from their ends, BT.601-5 clause 3.5.2: a color
// difference is divided by them to fill ±0.5.
const (
	rangeB = 2 * (1 - weightB) // 1.772
	rangeR = 2 * (1 - weightR) // 1.402
)

// FromRGB returns the signal of R'G'B' components, 0 black and 1 white. Luma
// is formed as differences from G' so that gray stays gray to the last bit.
func FromRGB(r, g, b float64) Signal {
	y := g + float64(weightR*(r-g)) + float64(weightB*(b-g))
	return Signal{Y: y, CB: (b - y) / rangeB, CR: (r - y) / rangeR}
}

// Gray returns the neutral signal of luma y.
func Gray(y float64) Signal { return Signal{Y: y} }

// RGB returns the R'G'B' components; they leave 0 to 1 for signals outside
// the gamut.
func (s Signal) RGB() (r, g, b float64) {
	dr, db := float64(rangeR*s.CR), float64(rangeB*s.CB)
	return s.Y + dr, s.Y - (float64(weightR/weightG*dr) + float64(weightB/weightG*db)), s.Y + db
}

// Legal returns s with just enough luma added that no primary is below black:
// the color difference, and so the vector on the screen of a vectorscope,
// stays what it was.
func (s Signal) Legal() Signal {
	r, g, b := s.RGB()
	if least := min(r, g, b); least < 0 {
		s.Y -= least
	}
	return s
}
