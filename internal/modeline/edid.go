package modeline

import (
	"fmt"
	"strings"

	"backporch/colorimetry"
	"backporch/timing"
)

// Size is that of an EDID without extensions, in bytes.
const Size = 128

// Vendor is the maker's code in an EDID: three letters that no maker had in
// the list of PNP identifiers of Debian's hwdata 0.368.
const Vendor = "CRT"

// MaxName is how many characters a display's name may have.
const MaxName = 13

// Input is the kind of link.
type Input int

// The links.
const (
	Analog Input = iota
	Digital

	numInputs
)

var inputNames = [numInputs]string{"analog", "digital"}

// InputNames lists the names that [ParseInput] takes.
func InputNames() []string { return append([]string(nil), inputNames[:]...) }

func (i Input) String() string {
	if i < 0 || i >= numInputs {
		return fmt.Sprintf("Input(%d)", int(i))
	}
	return inputNames[i]
}

// ParseInput is the inverse of String.
func ParseInput(name string) (Input, error) {
	for i, n := range inputNames {
		if strings.EqualFold(n, name) {
			return Input(i), nil
		}
	}
	return 0, fmt.Errorf("unknown input %q; use one of %s", name, strings.Join(inputNames[:], ", "))
}

// A Display is what an EDID says of a set.
type Display struct {
	Modes         []*Mode // one or two; the first is preferred
	Input         Input
	Setup         bool // analog: black is expected at 7.5 IRE
	Width, Height int  // of the picture, mm
	Name          string
}

// year of manufacture: of this layout, so that the same set has the same bytes.
const year = 2025

// leastClock is the least pixel clock, in units of ClockStep, that edid-decode
// does not take for invalid data.
const leastClock = 1000

// Check says what an EDID cannot hold, or nil.
func (e *Display) Check() error {
	if err := checkName(e.Name); err != nil {
		return err
	}
	if e.Setup && e.Input == Digital {
		return fmt.Errorf("a digital input has no setup: black is a code")
	}
	for _, m := range e.Modes {
		if m.Clock < leastClock {
			return fmt.Errorf("width %d: readers of an EDID take its pixel clock of %.2f MHz, below 10 MHz, for invalid data; use 540 pixels or more, or the modeline alone",
				m.H.Active, float64(m.Clock)/100)
		}
		if e.Setup && m.Raster.Scan.System == timing.System625 {
			return fmt.Errorf("7.5 IRE setup belongs to 525 lines, and %s has 625", m.Raster.Name)
		}
	}
	if m := e.Modes; len(m) == 2 && m[0].numbers() == m[1].numbers() {
		return fmt.Errorf("also %s: its mode is that of %s; name another raster, or none", m[1].Raster.Name, m[0].Raster.Name)
	}
	return checkSize(e.Width, e.Height)
}

// checkName says what is wrong with a display's name.
func checkName(name string) error {
	if name == "" || len(name) > MaxName || strings.TrimSpace(name) != name {
		return fmt.Errorf("name %q: an EDID takes 1 to %d characters without blanks at the ends", name, MaxName)
	}
	for _, c := range name {
		if c < ' ' || c > '~' {
			return fmt.Errorf("name %q: %q is no printable ASCII character", name, c)
		}
	}
	return nil
}

// EDID returns the bytes of EDID 1.3, whose sum is 0 modulo 256.
func (e *Display) EDID() (b [Size]byte, err error) {
	if n := len(e.Modes); n < 1 || n > 2 {
		panic("modeline: EDID of a display with no mode or over two")
	}
	if err := e.Check(); err != nil {
		return b, err
	}
	copy(b[:], []byte{0, 255, 255, 255, 255, 255, 255, 0})
	vendor := 0 // five bits a letter, A is 1, the first letter highest
	for _, c := range Vendor {
		vendor = vendor<<5 | int(c-'A'+1)
	}
	b[8], b[9] = byte(vendor>>8), byte(vendor)
	lines := e.Modes[0].Raster.Scan.Lines // the product: one a scan
	b[10], b[11] = byte(lines), byte(lines>>8)
	b[17] = year - 1990
	b[18], b[19] = 1, 3
	b[20] = e.inputByte()
	b[21], b[22] = byte((e.Width+5)/10), byte((e.Height+5)/10) // cm
	b[23] = gamma
	// RGB color; the first detailed timing is the preferred one. No power
	// saving by taking sync away: a set without sync runs free.
	b[24] = 1<<3 | 1<<1
	copy(b[25:35], e.chromaticities())
	// 35 to 37: no established timing; all of them are above 31 kHz.
	for i := 38; i < 54; i++ {
		b[i] = 1 // no standard timing either
	}
	blocks := make([][descriptorSize]byte, 0, 4)
	for _, m := range e.Modes {
		blocks = append(blocks, m.detailed(e.Width, e.Height))
	}
	blocks = append(blocks, e.rangeLimits(), label(e.Name))
	for len(blocks) < 4 {
		blocks = append(blocks, empty())
	}
	for i, d := range blocks {
		copy(b[54+i*descriptorSize:], d[:])
	}
	for _, x := range b[:Size-1] {
		b[Size-1] -= x
	}
	return b, nil
}

// inputByte is byte 20. Analog: bit 3 separate syncs; bits 6 and 5 white and
// sync of 0.700 and 0.300 V (00) or 0.714 and 0.286 V (01); bit 4 the setup.
// With setup the levels are those of RGB on the 140 IRE scale (Poynton 2003).
func (e *Display) inputByte() byte {
	switch {
	case e.Input == Digital:
		return 1 << 7
	case e.Setup:
		return 1<<5 | 1<<4 | 1<<3
	}
	return 1 << 3
}

// gamma is byte 23, 100 (exponent - 1): 2.4, of a tube by ITU-R BT.1886.
const gamma = 140

// chromaticities are bytes 25 to 34: ten bits each of red, green, blue and
// white, the lower two of them first. SMPTE C with 525 lines and EBU with 625.
func (e *Display) chromaticities() []byte {
	name := "smpte-c"
	if e.Modes[0].Raster.Scan.System == timing.System625 {
		name = "ebu"
	}
	p, err := colorimetry.ParsePrimaries(name)
	if err != nil {
		panic(err) // a name of the table
	}
	out := make([]byte, 2, 10)
	for i, c := range []colorimetry.XY{p.R, p.G, p.B, colorimetry.D65.XY} {
		for j, v := range []float64{c.X, c.Y} {
			n := int(float64(v*1024) + .5)
			out[i/2] |= byte(n&3) << (6 - 4*(i%2) - 2*j)
			out = append(out, byte(n>>2))
		}
	}
	return out
}
