package colorimetry

import "math"

// IRE is a level on the scale of 140 IRE to a volt: 0 is blanking, 100 is
// peak white of the 525-line composite signal (SMPTE 170M clause 15.4).
type IRE float64

// Millivolt is a level at a 75 ohm termination, relative to blanking.
type Millivolt float64

const millivoltPerIRE = 1000.0 / 140

// IRE returns m on the IRE scale.
func (m Millivolt) IRE() IRE { return IRE(m / millivoltPerIRE) }

// Millivolt returns i at a 75 ohm termination.
func (i IRE) Millivolt() Millivolt { return Millivolt(i * millivoltPerIRE) }

// Interface is the kind of cable that a [Family] describes.
type Interface int

// The interfaces. Y/C has the levels of composite.
const (
	Composite Interface = iota
	ComponentYPbPr
	ComponentRGB
	numInterfaces
)

var interfaceNames = [numInterfaces]string{"composite", "component", "RGB"}

func (k Interface) String() string {
	if k < 0 || k >= numInterfaces {
		return "unknown interface"
	}
	return interfaceNames[k]
}

// A Family is a row of the level table: the levels of an analog interface, in
// mV above blanking at a 75 ohm termination.
type Family struct {
	Name      string // as on the command line
	Title     string // as in messages
	Interface Interface
	Lines     int // 525 or 625 if the family belongs to one system, else 0

	Black, White, Sync Millivolt
	Chroma             Millivolt // peak to peak for a full ±0.5 of CB or CR; component only
	Burst              Millivolt // peak to peak; 0 where there is none
	Source             string

	ku, kv float64 // subcarrier factors of B'-Y' and R'-Y'; composite only
}

// Subcarrier factors. 525: the exact roots of "the tops of 75 % yellow and
// cyan are 100 IRE", printed in SMPTE 170M Annex A as 0.492111 and 0.877283.
// 625: as printed in ITU-R BT.470-6 table 2 item 2.5 and BT.1700.
const (
	ku525, kv525 = 0.49211104112248356, 0.87728321993817866
	ku625, kv625 = 0.493, 0.877
)

// Setup returns the height of black above blanking.
func (f *Family) Setup() Millivolt { return f.Black }

// Luma returns the level of s without its chroma; on RGB cables, of a neutral
// picture of that luma.
func (f *Family) Luma(s Signal) Millivolt {
	return f.Black + Millivolt(Millivolt(s.Y)*(f.White-f.Black))
}

// Vector returns the color of s as it stands on the cable. Composite: u and v
// are the amplitudes of the subcarrier along +(B'-Y') and +(R'-Y'). Component:
// u is PB and v is PR. RGB has none: both are 0.
func (f *Family) Vector(s Signal) (u, v Millivolt) {
	gu, gv := f.chromaGain()
	switch f.Interface {
	case Composite, ComponentYPbPr:
		return gu * Millivolt(s.CB), gv * Millivolt(s.CR)
	default:
		return 0, 0
	}
}

// Phasor returns the peak-to-peak subcarrier of s and its phase in degrees
// from +(B'-Y'), 0 up to but not including 360. Both are 0 for a neutral signal and off composite.
func (f *Family) Phasor(s Signal) (pp Millivolt, degrees float64) {
	if f.Interface != Composite {
		return 0, 0
	}
	u, v := f.Vector(s)
	pp = Millivolt(2 * math.Hypot(float64(u), float64(v)))
	if pp < 1e-9 {
		return 0, 0
	}
	degrees = math.Atan2(float64(v), float64(u)) * 180 / math.Pi
	if degrees < 0 {
		degrees += 360
	}
	if degrees >= 360 { // a hair below 0
		degrees = 0
	}
	return pp, degrees
}

// RGB returns the levels of the three cables of an RGB interface.
func (f *Family) RGB(s Signal) (r, g, b Millivolt) {
	x, y, z := s.RGB()
	level := func(x float64) Millivolt { return f.Black + Millivolt(Millivolt(x)*(f.White-f.Black)) }
	return level(x), level(y), level(z)
}

// chromaGain returns mV per unit of CB and CR. On RGB cables chroma goes with
// luma.
func (f *Family) chromaGain() (u, v Millivolt) {
	scale := f.White - f.Black
	switch f.Interface {
	case Composite:
		return scale * Millivolt(f.ku*rangeB), scale * Millivolt(f.kv*rangeR)
	case ComponentYPbPr:
		return f.Chroma, f.Chroma
	default:
		return scale, scale
	}
}

// Signal is the inverse of [Family.Luma] for a neutral level.
func (f *Family) Signal(m Millivolt) Signal {
	return Gray(float64((m - f.Black) / (f.White - f.Black)))
}
