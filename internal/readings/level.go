package readings

import (
	"math"

	"backporch/colorimetry"
)

// A Level is what a steady color is on a cable, in mV above blanking at a 75
// ohm termination. Fields that the interface does not have are 0.
type Level struct {
	Luma    colorimetry.Millivolt // of composite, Y/C and component
	Chroma  colorimetry.Millivolt // subcarrier, peak to peak
	Degrees float64               // of the subcarrier, from +(B'-Y'); on 625 lines where V is positive
	Low     colorimetry.Millivolt // lowest and highest point of a composite signal
	High    colorimetry.Millivolt
	PB, PR  colorimetry.Millivolt
	R, G, B colorimetry.Millivolt
}

// On returns the level of a signal on a family's cable: for composite the
// equation of SMPTE 170M clause 10 or of ITU-R BT.470-6 items 2.5 and 2.9.
func On(f *colorimetry.Family, s colorimetry.Signal) (l Level) {
	switch f.Interface {
	case colorimetry.ComponentRGB:
		l.R, l.G, l.B = f.RGB(s)
	case colorimetry.ComponentYPbPr:
		l.Luma = f.Luma(s)
		l.PB, l.PR = f.Vector(s)
	default:
		l.Luma = f.Luma(s)
		l.Chroma, l.Degrees = f.Phasor(s)
		l.Low, l.High = l.Luma-l.Chroma/2, l.Luma+l.Chroma/2
	}
	return l
}

// A Glow is a tube that is aligned: its transfer, its phosphors and its white.
type Glow struct {
	Tube      colorimetry.Tube
	Primaries colorimetry.Primaries
	White     colorimetry.White
}

// Light returns the light of a signal on a set whose levels match the wire:
// luminance in per cent of white, and chromaticity (false where there is no
// light at all).
func (g Glow) Light(s colorimetry.Signal) (percent float64, xy colorimetry.XY, ok bool) {
	r, gr, b := s.RGB()
	t := g.Tube
	light := func(v float64) float64 { return t.Light(tidy(v)) / t.White }
	c := g.Primaries.Matrix(g.White.XY).XYZ(light(r), light(gr), light(b))
	xy, ok = c.XY()
	return 100 * c.Y, xy, ok
}

// tidy drops the last bits that the way from Y'CbCr leaves: a gray is one.
func tidy(v float64) float64 { return math.Round(v*1e12) / 1e12 }
