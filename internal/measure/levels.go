package measure

import (
	"math"

	"backporch/colorimetry"
)

// A chain is what a source and the way from it do to a level, in the order in
// which the fields stand. The zero value of a whole number is no fault; see
// plain for the others.
type chain struct {
	bits   bits
	swap   bool
	matrix int  // +1 decoded by BT.709, -1 encoded by it
	span   int  // +1 squeezed, -1 stretched
	rgb    bool // the range was changed in R'G'B': color goes by the factor of luma
	setup  int  // +1 added, -1 missing

	gamma  float64 // on R'G'B', after the matrix
	gain   float64 // of luma and color, about black
	offset float64 // of luma, behind the gain
	color  float64 // of color besides
	phase  float64 // degrees
}

// plain is a chain without a fault.
func plain() chain { return chain{gamma: 1, gain: 1, color: 1} }

// A cut says where in the chain what lies beyond black and white is lost. Which
// it is depends on how a device computes, so a level is judged by whichever
// explains it.
type cut int

const (
	uncut     cut = iota
	before        // R'G'B' before anything
	decoded       // R'G'B' after the matrix
	within        // R'G'B' after the range was changed
	lumaIn        // luma there
	decodedIn     // as decoded, and luma after the range was changed
	after         // R'G'B' at the end
	lumaOut
	numCuts
)

// Setup of 7.5 IRE: black lies there and white stays, SMPTE 170M-2004 clause 5.
const setupLevel = 0.075

// The codes of studio range read as if they were of full range: ITU-R BT.601-5
// clause 3.5.3, 8 bits.
const (
	studioBlack  = 16.0 / 255
	studioLuma   = 219.0 / 255
	studioChroma = 224.0 / 255
)

// apply returns what becomes of a level.
func (k *chain) apply(s colorimetry.Signal, c cut) colorimetry.Signal {
	if c == before {
		s = clipRGB(s)
	}
	if k.bits != 0 {
		s = k.bits.round(s)
	}
	if k.swap {
		s.CB, s.CR = s.CR, s.CB
	}
	switch {
	case k.matrix > 0:
		s = decoded709(s)
	case k.matrix < 0:
		s = encoded709(s)
	}
	if k.gamma != 1 {
		r, g, b := s.RGB()
		s = colorimetry.FromRGB(power(r, k.gamma), power(g, k.gamma), power(b, k.gamma))
	}
	if c == decoded || c == decodedIn {
		s = clipRGB(s)
	}
	s = k.ranged(s)
	switch c {
	case within:
		s = clipRGB(s)
	case lumaIn, decodedIn:
		s.Y = min(max(s.Y, 0), 1)
	}
	switch {
	case k.setup > 0:
		s = colorimetry.Signal{Y: setupLevel + float64((1-setupLevel)*s.Y), CB: (1 - setupLevel) * s.CB, CR: (1 - setupLevel) * s.CR}
	case k.setup < 0:
		s = colorimetry.Signal{Y: (s.Y - setupLevel) / (1 - setupLevel), CB: s.CB / (1 - setupLevel), CR: s.CR / (1 - setupLevel)}
	}
	color := k.gain * k.color
	s = colorimetry.Signal{Y: k.offset + float64(k.gain*s.Y), CB: color * s.CB, CR: color * s.CR}
	if k.phase != 0 {
		s = turned(s, k.phase)
	}
	switch c {
	case after:
		s = clipRGB(s)
	case lumaOut:
		s.Y = min(max(s.Y, 0), 1)
	}
	return s
}

// ranged is the part of apply that mistakes the range.
func (k *chain) ranged(s colorimetry.Signal) colorimetry.Signal {
	color := studioChroma
	if k.rgb {
		color = studioLuma
	}
	switch {
	case k.span > 0:
		return colorimetry.Signal{Y: studioBlack + float64(studioLuma*s.Y), CB: color * s.CB, CR: color * s.CR}
	case k.span < 0:
		return colorimetry.Signal{Y: (s.Y - studioBlack) / studioLuma, CB: s.CB / color, CR: s.CR / color}
	}
	return s
}

// turned turns the color as it stands on a vectorscope.
func turned(s colorimetry.Signal, degrees float64) colorimetry.Signal {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	u, v := vector(s)
	s.CB, s.CR = unvector(float64(cos*u)-float64(sin*v), float64(sin*u)+float64(cos*v))
	return s
}

// power is x to the g, with the sign of x.
func power(x, g float64) float64 {
	if x < 0 {
		return -math.Pow(-x, g)
	}
	return math.Pow(x, g)
}

// Luma weights of ITU-R BT.709-5 item 3.2.
const (
	red709   = 0.2126
	green709 = 0.7152
	blue709  = 0.0722
)

// decoded709 returns the signal that comes of decoding by BT.709 what was
// encoded by BT.601.
func decoded709(s colorimetry.Signal) colorimetry.Signal {
	dr, db := 2*(1-red709)*s.CR, 2*(1-blue709)*s.CB
	return colorimetry.FromRGB(s.Y+dr, s.Y-(float64(red709*dr)+float64(blue709*db))/green709, s.Y+db)
}

// encoded709 returns the signal that comes of encoding by BT.709.
func encoded709(s colorimetry.Signal) colorimetry.Signal {
	r, g, b := s.RGB()
	y := g + float64(red709*(r-g)) + float64(blue709*(b-g))
	return colorimetry.Signal{Y: y, CB: (b - y) / (2 * (1 - blue709)), CR: (r - y) / (2 * (1 - red709))}
}

func clipRGB(s colorimetry.Signal) colorimetry.Signal {
	r, g, b := s.RGB()
	if min(r, g, b) >= 0 && max(r, g, b) <= 1 {
		return s
	}
	return colorimetry.FromRGB(min(max(r, 0), 1), min(max(g, 0), 1), min(max(b, 0), 1))
}

// inside reports whether the signal is of the R'G'B' cube, up to rounding.
func inside(s colorimetry.Signal) bool {
	const rim = 0.001
	r, g, b := s.RGB()
	return min(r, g, b) >= -rim && max(r, g, b) <= 1+rim
}
