package colorimetry

import "github.com/lucasb-eyer/go-colorful"

// A Lab is a color of CIE 1976 L*a*b*, lightness 100 at its white.
type Lab struct{ L, A, B float64 }

// Lab returns the color as it looks beside a white, both in the same unit. The
// white is always stated: a color has no L*a*b* of its own.
func (c XYZ) Lab(white XYZ) Lab {
	l, a, b := colorful.XyzToLabWhiteRef(c.X, c.Y, c.Z, [3]float64{white.X, white.Y, white.Z})
	return Lab{100 * l, 100 * a, 100 * b} // the library counts L* from 0 to 1
}
