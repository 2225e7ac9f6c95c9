package measure

import (
	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/timing"
)

// A Request is a picture and what it ought to be.
type Request struct {
	Picture *Picture
	Name    string // of the pattern in the catalogue
	Scene   *pattern.Scene
	View    pattern.View
	Raster  *timing.Raster // that the player was given a file of

	// Expect returns what the capture must hold where a level is wanted; nil:
	// the same.
	Expect func(colorimetry.Signal) colorimetry.Signal

	// Region, if not empty, is where the analog picture lies in the capture:
	// columns and rows X0, Y0, X1, Y1 of its edges. Nothing is searched then.
	Region [4]float64

	// Correct, if not nil, takes out what the capture device is known to do,
	// from each measured level.
	Correct func(colorimetry.Signal) colorimetry.Signal
}

// A Result is all that was found of a picture.
type Result struct {
	Place    Place
	Nominal  Place // where it would lie without a fault
	Patches  []Patch
	Luma     []Response // none if the pattern has too little detail
	Chroma   []Response
	Findings []Finding // most certain first
	Unseen   []Unseen  // in the order of the faults
}
