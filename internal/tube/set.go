// Package tube is the model of a picture-tube monitor: a decoder with its
// switches and knobs, three guns, phosphors and a white. It says what light a
// picture gives, and shows it on an ordinary screen.
//
// The guns follow ITU-R BT.1886 (03/2011) Annex 1, each driven by its own one of
// R', G' and B'; a drive below cutoff gives no light and takes none from the
// other guns. The phosphors add up, by the matrix of SMPTE RP 177. Beam current
// limits, glare, spot size and convergence are no part of the model.
package tube

import (
	"fmt"
	"strconv"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/pattern/frame"
)

// A Set is a monitor.
type Set struct {
	Input     composite.Decoder
	Curve     colorimetry.Tube // of every gun: white and black luminance, gamma
	Primaries colorimetry.Primaries
	White     colorimetry.White // of equal drive
}

// String says what the tube is, for the head of a page.
func (s Set) String() string {
	f := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	return fmt.Sprintf("Tube: white %s cd/m², black %s cd/m², gamma %s, %s phosphors, white %s",
		f(s.Curve.White), f(s.Curve.Black), f(s.Curve.Gamma), s.Primaries.Title, s.White.Title)
}

// WhiteXY returns the chromaticity of equal drive.
func (s *Set) WhiteXY() (x, y float64) { return s.White.X, s.White.Y }

// Guns returns the light of the three guns for a decoded signal, each in cd/m2
// of the white that it would make with equal light of the others: R'G'B' of 1
// gives the luminance of white three times.
func (s *Set) Guns(c colorimetry.Signal) (light [3]float64) {
	r, g, b := c.RGB()
	return [3]float64{s.Curve.Light(r), s.Curve.Light(g), s.Curve.Light(b)}
}

// Luminance returns the luminance of light of the three guns, cd/m2.
func (s *Set) Luminance(light [3]float64) float64 {
	return s.Primaries.Matrix(s.White.XY).Mul(light)[1]
}

// Against returns the light of the guns for equal drive in parts of what a set
// with the same phosphors gives when it is aligned to another white, with equal
// green.
func (s *Set) Against(w colorimetry.White) (parts [3]float64) {
	// A gun's light for a unit of drive is its column of the matrix.
	mine, other := s.Primaries.Matrix(s.White.XY), s.Primaries.Matrix(w.XY)
	green := mine[1][1] / other[1][1]
	for g := range parts {
		parts[g] = mine[1][g] / other[1][g] / green
	}
	return parts
}

// Light returns the light of the three guns, as [Set.Guns] has it, for each
// distinct triple of rows of a 4:4:4 frame, in the order of [frame.Frame.Distinct].
func (s *Set) Light(f *frame.Frame) (rows [][][3]float64) {
	t := newCurveTable(s.Curve)
	triples, _ := f.Distinct()
	for _, k := range triples {
		y, cb, cr := f.Triple(k)
		row := make([][3]float64, len(y))
		for i := range row {
			r, g, b := colorimetry.Signal{Y: y[i], CB: cb[i], CR: cr[i]}.RGB()
			row[i] = [3]float64{t.light(r), t.light(g), t.light(b)}
		}
		rows = append(rows, row)
	}
	return rows
}
