package report

import "backporch/internal/job"

// Given is what the readings of a set are held against.
type Given struct {
	Set  *job.Set
	Plan *job.Plan // tolerances; nil: nothing is judged
	// Guns is the last reading of the red, green and blue fields: the light of
	// these guns is taken instead of the set's named primaries. Nil: none.
	Guns *job.Measurement
	// Gamma is that of the tube, for bars of the blue gun alone; 0: 2.4.
	Gamma float64
	// Nominal says where a crossing of the crosshatch belongs: picture heights
	// from the middle of the picture, x right and y down. Column and row count
	// from the middle lines. Nil: geometry cannot be judged.
	Nominal func(column, row int) (x, y float64)
	Picture float64 // width of the whole picture in picture heights
	Lines   int     // lines of the picture, both fields, for line widths; 0: not known
	System  string  // "525" or "625"
}
