package colorimetry

import (
	"math"

	"github.com/lucasb-eyer/go-colorful"
)

// A Luv is a color of CIE 1976 L*u*v*, lightness 100 at its white.
type Luv struct{ L, U, V float64 }

// Luv returns the color as it looks beside a white, both in the same unit. The
// white is always stated, and gives light.
func (c XYZ) Luv(white XYZ) Luv {
	l, u, v := colorful.XyzToLuvWhiteRef(c.X, c.Y, c.Z, [3]float64{white.X, white.Y, white.Z})
	return Luv{100 * l, 100 * u, 100 * v} // the library counts L* from 0 to 1
}

// Chroma returns du*v*, the distance without that of lightness (EBU Tech 3320
// v3 Annex B).
func (p Luv) Chroma(q Luv) float64 { return math.Hypot(p.U-q.U, p.V-q.V) }

// Distance returns dE*uv, that of lightness with it.
func (p Luv) Distance(q Luv) float64 { return math.Hypot(p.L-q.L, p.Chroma(q)) }
