package colorimetry

import "errors"

// MPCD is one minimum perceptible color difference on the CIE 1960 diagram.
const MPCD = 0.0004

// A Temperature is the correlated color temperature of a chromaticity and its
// distance from the Planckian locus in CIE 1960 u, v, positive above it (green).
type Temperature struct{ Kelvin, Duv float64 }

// MPCD returns the distance in minimum perceptible color differences of CIE
// 1960, 0.0004 each.
func (t Temperature) MPCD() float64 { return t.Duv / MPCD }

// Temperature returns the correlated color temperature by direct search on the
// locus of the 5 nm color-matching functions.
func (c XY) Temperature() (Temperature, error) { return Temperature{}, errors.New("not built yet") }

// Robertson returns the same by the method of Robertson 1968.
func (c XY) Robertson() (Temperature, error) { return Temperature{}, errors.New("not built yet") }

// BlackBody returns the chromaticity of a black body.
func BlackBody(kelvin float64) XY { return XY{} }

// A Luv is a color of CIE 1976 L*u*v*, lightness 100 at its white.
type Luv struct{ L, U, V float64 }

// Luv returns the color as it looks beside a white, both in the same unit.
func (c XYZ) Luv(white XYZ) Luv { return Luv{} }

// Chroma returns du*v*, the distance without that of lightness (EBU Tech 3320
// v3 Annex B).
func (p Luv) Chroma(q Luv) float64 { return 0 }
