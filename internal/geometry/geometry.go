// Package geometry makes numbers of ruler positions and of what an eye sees on
// a crosshatch: size, centering, overscan, linearity, pincushion, trapezoid,
// tilt and bow of the picture, and misconvergence of its guns.
//
// Lengths are mm on the glass; places of the pattern are picture heights from
// the middle of the picture, x right and y down. Which family of controls an
// error points to is common practice, told in general terms: every set differs,
// and its service sheet wins.
package geometry

import "math"

// A Point is a crossing of the crosshatch: where it should lie in the picture,
// and where it was read. Across or Down is NaN where it was not read.
type Point struct {
	X, Y         float64 // picture heights from the middle
	Across, Down float64 // mm from the left and from the upper edge of the visible screen
}

// ReadingError is the standard error of one ruler reading through the glass,
// mm, where the caller states none (common practice).
const ReadingError = 0.5

// A Screen is the visible part of the glass, and the picture that it should
// show.
type Screen struct {
	Width, Height float64 // mm
	// Picture is the width of the whole active picture in picture heights.
	Picture float64
	// Error is the standard error of one reading, mm; 0 for ReadingError.
	Error float64
}

// A Fit is the geometry of a raster, per cent of picture height unless its name
// says otherwise.
type Fit struct {
	Terms     []Term
	PictureMM float64 // picture height that the per cents count from, mm
	RMS       float64 // mm, of what the terms leave
	Worst     float64 // per cent of picture height: the farthest of a point from where a true raster would have it; 0 where too few were read
	Residuals []Residual
	Notes     []string
}

// A Term is one error of geometry.
type Term struct {
	Key, Name, Unit string
	Value, Sigma    float64
	Known           bool   // the points that were read show it
	Few             bool   // of a farthest point: points were read there, but too few to say how far one is off
	Means           string // the definition, and what a positive value looks like
	Controls        string // which family of controls it points to
	// Service says that the remedy is no knob: it is done inside the set, near
	// high voltage, by a trained person.
	Service bool
}

// A Residual is how far a point lies from its place in the best true raster, mm.
// A direction that was not read is 0.
type Residual struct{ X, Y, Right, Down float64 }

// Length is the distance in mm.
func (r Residual) Length() float64 { return math.Hypot(r.Right, r.Down) }

// Term returns the term of that key, or nil.
func (f *Fit) Term(key string) *Term {
	for i := range f.Terms {
		if f.Terms[i].Key == key {
			return &f.Terms[i]
		}
	}
	return nil
}

// Analyze fits the geometry of a raster to points by least squares. Across and
// down are fitted each for itself by polynomials of the place in the picture; a
// shape that the points cannot tell from simpler ones is left out, and whatever
// rests on it is not Known. Standard errors follow from the reading error, or
// from what the fit leaves where that is more.
func Analyze(points []Point, s Screen) (*Fit, error) {
	if err := check(points, s); err != nil {
		return nil, err
	}
	if s.Error == 0 {
		s.Error = ReadingError
	}
	m := fitPoints(points, s)
	if err := m.upright(s); err != nil {
		return nil, err
	}
	f := &Fit{PictureMM: m.height(s)}
	for _, t := range shapes(s) {
		f.Terms = append(f.Terms, t.term(m, f.PictureMM))
	}
	f.Terms = append(f.Terms, spacings(points, s)...)
	f.RMS = m.rms()
	f.trueRaster(points, s)
	f.remark(m, points, s)
	return f, nil
}
