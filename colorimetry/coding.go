package colorimetry

import "math"

// Model is what the three numbers of a [Coding] mean.
type Model int

// The models.
const (
	YCbCr Model = iota
	RGB
)

// A Coding is what a file can hold: three codes a sample.
type Coding struct {
	Name  string // as messages call it
	Model Model
	Bits  int // of the widest component

	zero [3]float64 // code of 0: black, or no color difference
	span [3]float64 // codes from 0 to 1
	min  [3]uint16  // least and greatest code in use
	max  [3]uint16
}

// studio returns a limited-range coding of ITU-R BT.601-5 clause 3.5.3 (8
// bits) and 3.4 (10 bits, the same scale with two more bits). Codes 0 and 255
// are reserved by table 2; 000-003h and 3FC-3FFh are by the 10-bit interface.
func studio(name string, m Model, bits int) *Coding {
	u := float64(int(1) << (bits - 8)) // codes to one of 8 bits
	k := &Coding{Name: name, Model: m, Bits: bits}
	for i := range k.zero {
		k.zero[i], k.span[i] = 16*u, 219*u
		if m == YCbCr && i > 0 {
			k.zero[i], k.span[i] = 128*u, 224*u
		}
		k.min[i], k.max[i] = uint16(u), uint16(255*u-1)
	}
	return k
}

func full(name string, bits [3]int) *Coding {
	k := &Coding{Name: name, Model: RGB}
	for i, n := range bits {
		k.Bits = max(k.Bits, n)
		k.max[i] = uint16(1<<n - 1)
		k.span[i] = float64(k.max[i])
	}
	return k
}

// The codings of the file formats.
var (
	YCbCr8      = studio("8-bit Y'CbCr", YCbCr, 8)
	YCbCr10     = studio("10-bit Y'CbCr", YCbCr, 10)
	RGB8        = full("8-bit full-range RGB", [3]int{8, 8, 8})
	RGB16       = full("16-bit full-range RGB", [3]int{16, 16, 16})
	RGB8Studio  = studio("8-bit studio-range RGB", RGB, 8)
	RGB16Studio = studio("16-bit studio-range RGB", RGB, 16)
	RGB565      = full("RGB 5:6:5", [3]int{5, 6, 5})
	RGB555      = full("RGB 5:5:5", [3]int{5, 5, 5})
)

// tie is how far below a half a code still counts as the half, so that an
// exact tie rounds up on every machine.
const tie = 1e-6

// Real returns the unrounded codes of s; they may lie outside what the coding
// can hold.
func (k *Coding) Real(s Signal) (c [3]float64) {
	c = [3]float64{s.Y, s.CB, s.CR}
	if k.Model == RGB {
		c[0], c[1], c[2] = s.RGB()
	}
	for i := range c {
		c[i] = k.zero[i] + float64(c[i]*k.span[i])
	}
	return c
}

// Codes returns the codes of s, rounded half up (up to 1e-6 code below a half
// counts as the half) and held within the codes in use.
func (k *Coding) Codes(s Signal) (c [3]uint16) {
	for i, v := range k.Real(s) {
		c[i] = k.round(i, v)
	}
	return c
}

// round gives not-a-number the least code: a color that was never worked out
// must not become a reserved code.
func (k *Coding) round(i int, v float64) uint16 {
	v = math.Floor(v + (0.5 + tie))
	switch {
	case v >= float64(k.max[i]):
		return k.max[i]
	case v > float64(k.min[i]):
		return uint16(v)
	default:
		return k.min[i]
	}
}

// holds reports whether v rounds to a code in use of component i.
func (k *Coding) holds(i int, v float64) bool {
	v = math.Floor(v + (0.5 + tie))
	return v >= float64(k.min[i]) && v <= float64(k.max[i])
}

// Holds reports whether the coding has codes for s, without clipping.
func (k *Coding) Holds(s Signal) bool {
	for i, v := range k.Real(s) {
		if !k.holds(i, v) {
			return false
		}
	}
	return true
}

// Signal returns what codes stand for.
func (k *Coding) Signal(c [3]uint16) Signal {
	var v [3]float64
	for i := range c {
		v[i] = (float64(c[i]) - k.zero[i]) / k.span[i]
	}
	if k.Model == RGB {
		return FromRGB(v[0], v[1], v[2])
	}
	return Signal{v[0], v[1], v[2]}
}

// Range returns the least and the greatest code in use for component i of the
// coding, and the code of black (or of no color difference).
func (k *Coding) Range(i int) (least, greatest uint16, zero float64) {
	return k.min[i], k.max[i], k.zero[i]
}

// Named returns the same coding under another name, for messages.
func (k *Coding) Named(name string) *Coding {
	n := *k
	n.Name = name
	return &n
}
