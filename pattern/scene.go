// Package pattern is the catalogue of test pictures. A pattern is defined once
// in continuous terms: across the line as a function of time, down the picture
// as a function of the active lines, with levels as real numbers. Laid out on
// a [View] it becomes a [Scene] of bands and named patches; [Sample] turns a
// scene into samples on any raster.
//
// Coordinates are picture heights from the middle of the analog picture, x
// right and y down, so that x*x + y*y is a circle on a 4:3 tube.
//
// Sources stand in each entry of the catalogue, and beside each figure.
package pattern

import (
	"math"

	"backporch/colorimetry"
	"backporch/timing"
)

// A Pattern is a struct whose fields are its options, all explicit. It is safe
// for concurrent use as long as nobody changes them.
type Pattern interface {
	// Scene lays the pattern out. The error says which option does not fit the
	// view, and what would.
	Scene(v View) (*Scene, error)
}

// A Scene is a laid-out pattern.
type Scene struct {
	Bands   []Band // top to bottom; the outer two have no end
	Patches []Patch
	Period  int      // frames until it repeats; 1 for a still
	Notes   []string // what the user should know of this picture, in sentences

	keep []timing.Extent // numerals, scales and wedges: a caption covers them only where there is no other place
}

// A Band is a part of the picture from the Bottom of the one before to its own.
type Band struct {
	Bottom  float64
	Uniform bool // its rows differ only by their Comb

	// Paint fills one component of a row at field time t (0, 1, 2 ...). It
	// depends on nothing else, and may run concurrently.
	Paint func(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, t int)
}

// A Kind is what a patch is to be measured as.
type Kind string

// The kinds. A ramp goes from Want to To across, a ramp-down from the top to
// the bottom; what changes in time is Want first and then To.
const (
	Level    Kind = "level"
	Ramp     Kind = "ramp"
	RampDown Kind = "ramp-down"
	Packet   Kind = "packet"
	Line     Kind = "line"
	Pulse    Kind = "pulse"
	Changing Kind = "changing"
)

// A Patch is a named area with one meaning.
type Patch struct {
	Name           string
	Kind           Kind
	Absent         string // why the view cannot hold it; Want is then the substitute
	Way            string // out of Absent; "" if it is another coding
	X0, Y0, X1, Y1 float64
	Hz             float64 // of a packet
	Want, To       colorimetry.Signal
}

// Interior returns the patch without the edges that belong half to its
// neighbors: there its samples are exact. A sample that lies on a hard edge
// belongs to the neighbor or to the patch, so it counts for neither.
func (p Patch) Interior(v View) Patch {
	const rim = 1e-9 // picture heights
	e := max(v.Edge[0], v.Edge[1])/2 + rim
	p.X0, p.X1 = p.X0+e, p.X1-e
	return p
}

// still returns a scene that does not move.
func still(bands []Band, patches ...Patch) *Scene {
	return &Scene{Bands: bands, Patches: patches, Period: 1}
}

// endless is the Bottom of the last band.
var endless = math.Inf(1)
