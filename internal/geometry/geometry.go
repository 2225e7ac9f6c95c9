// Package geometry makes numbers of ruler positions and of what an eye sees on
// a crosshatch: size, centering, overscan, linearity, pincushion, trapezoid,
// tilt and bow of the picture, and misconvergence of its guns.
//
// Lengths are mm on the glass; places of the pattern are picture heights from
// the middle of the picture, x right and y down.
package geometry

// A Point is a crossing of the crosshatch: where it should lie in the picture,
// and where it was read. Across or Down is NaN where it was not read.
type Point struct {
	X, Y         float64 // picture heights from the middle
	Across, Down float64 // mm from the left and from the upper edge of the visible screen
}

// A Screen is the visible part of the glass, and the picture that it should
// show.
type Screen struct {
	Width, Height float64 // mm
	// Picture is the width of the whole active picture in picture heights.
	Picture float64
}

// A Fit is the geometry of a raster, per cent of picture height unless its name
// says otherwise.
type Fit struct {
	Terms     []Term
	RMS       float64 // mm, of what the terms leave
	Worst     float64 // per cent of picture height: the farthest of a point from where a true raster would have it
	Residuals []Residual
	Notes     []string
}

// A Term is one error of geometry.
type Term struct {
	Key, Name, Unit string
	Value, Sigma    float64
	Known           bool   // the points that were read show it
	Controls        string // which family of controls it points to
}

// A Residual is how far a point lies from its place in the best true raster, mm.
type Residual struct{ X, Y, Right, Down float64 }

// Analyze fits the geometry of a raster to points by least squares.
func Analyze(points []Point, s Screen) (*Fit, error) { return &Fit{}, nil }
