package colorimetry

import (
	"fmt"
	"strings"
)

// Primaries are the chromaticities of the three phosphors of a tube.
type Primaries struct {
	Name, Title string
	R, G, B     XY
	Source      string
}

// primarySets is in listing order. Tubes differ from unit to unit: measured
// values of the set at hand are better than any of these.
var primarySets = []Primaries{
	{"smpte-c", "SMPTE C", XY{.630, .340}, XY{.310, .595}, XY{.155, .070}, "SMPTE 170M-2004 clause 4.1; ITU-R BT.601-7 item 2.6.1, 525 lines"},
	{"ebu", "EBU", XY{.64, .33}, XY{.29, .60}, XY{.15, .06}, "EBU Tech 3213-E (1975); ITU-R BT.601-7 item 2.6.1, 625 lines"},
	{"bt709", "BT.709", XY{.640, .330}, XY{.300, .600}, XY{.150, .060}, "ITU-R BT.709 items 1.3 and 1.4, as printed in BT.1886 appendix 2"},
	{"ntsc-1953", "NTSC 1953", XY{.67, .33}, XY{.21, .71}, XY{.14, .08}, "ITU-R BT.470-6 table 2 item 2.1"},
	// The middle of the published sets of P22 phosphors, within 0.01 of most.
	{"p22", "P22, typical", XY{.625, .340}, XY{.285, .605}, XY{.150, .065}, "a university table (secondary); common practice"},
	{"p22-japan", "P22, Japan", XY{.618, .350}, XY{.280, .605}, XY{.152, .063}, "ARIB TR-B9 v1.0 (secondary)"},
}

// AllPrimaries returns the table of primaries in listing order.
func AllPrimaries() []Primaries { return append([]Primaries(nil), primarySets...) }

// PrimariesNames lists the names that [ParsePrimaries] takes.
func PrimariesNames() (names []string) {
	for _, p := range primarySets {
		names = append(names, p.Name)
	}
	return names
}

// ParsePrimaries reads the name of a set, or six comma-separated numbers: x and
// y of red, green and blue.
func ParsePrimaries(text string) (Primaries, error) {
	for _, p := range primarySets {
		if strings.EqualFold(p.Name, text) {
			return p, nil
		}
	}
	if v, ok := numbers(text, 6); ok {
		p := Primaries{Name: text, Title: "measured", R: XY{v[0], v[1]}, G: XY{v[2], v[3]}, B: XY{v[4], v[5]}, Source: "as given"}
		if !p.R.real() || !p.G.real() || !p.B.real() || p.area() < 1e-3 {
			return Primaries{}, fmt.Errorf("primaries %q span no triangle of real colors; give x,y of red, green and blue", text)
		}
		return p, nil
	}
	return Primaries{}, fmt.Errorf("unknown primaries %q; use %s, or six numbers: x,y of red, green and blue", text, strings.Join(PrimariesNames(), ", "))
}

// real reports whether a chromaticity lies within the triangle of the diagram.
func (c XY) real() bool { return c.X > 0 && c.Y > 0 && c.X+c.Y < 1 }

func (p Primaries) area() float64 {
	d := (p.G.X-p.R.X)*(p.B.Y-p.R.Y) - (p.B.X-p.R.X)*(p.G.Y-p.R.Y)
	return max(d, -d) / 2
}

// CanMake reports a white that the primaries cannot make: it lies outside their
// triangle.
func (p Primaries) CanMake(w White) error {
	for _, luminance := range p.Matrix(w.XY)[1] {
		if !(luminance > 0) {
			return fmt.Errorf("white %s (x %.4f, y %.4f) lies outside the triangle of the primaries %s, which cannot make it; choose another white or other primaries", w.Name, w.X, w.Y, p.Name)
		}
	}
	return nil
}

// Matrix returns the normalized primary matrix of SMPTE RP 177-1993: linear
// R, G and B of 1 are the white w at a luminance of 1.
func (p Primaries) Matrix(w XY) Matrix {
	m := Matrix{
		{p.R.X, p.G.X, p.B.X},
		{p.R.Y, p.G.Y, p.B.Y},
		{1 - p.R.X - p.R.Y, 1 - p.G.X - p.G.Y, 1 - p.B.X - p.B.Y},
	}
	white := w.At(1)
	c := m.Inverse().Mul([3]float64{white.X, white.Y, white.Z})
	for i := range m {
		for j := range m[i] {
			m[i][j] *= c[j]
		}
	}
	return m
}
