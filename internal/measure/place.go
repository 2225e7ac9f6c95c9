package measure

import (
	"math"

	"backporch/timing"
)

// A Place says where in the capture the picture lies: sample X0 + DX*x shows x,
// and row Y0 + DY*y shows y, in picture heights from the middle of the analog
// picture.
type Place struct {
	X0, DX float64 // samples; samples in a picture height
	Y0, DY float64 // rows; rows in a picture height

	// How sure it is. Score is the correlation of luma with the definition at
	// this place, 0 to 1; Sure is the probability, 0 to 1, that it is no other
	// place; SigmaX and SigmaY are standard deviations in samples and rows at
	// the edges of the picture. XKnown and YKnown are false for a direction in
	// which the pattern has nothing to be found by: then the nominal place is
	// taken.
	Score, Sure    float64
	SigmaX, SigmaY float64
	XKnown, YKnown bool
}

// Nominal returns the place of a picture that was captured sample by sample on
// a raster.
func Nominal(r *timing.Raster) Place {
	c := r.Comb(0)
	top, bottom := r.Span(0), r.Span(r.Height()-1)
	dy := float64(r.Height()-1) / (bottom.Y - top.Y)
	return Place{
		X0: -c.X0 / c.DX, DX: 1 / c.DX,
		Y0: -top.Y * dy, DY: dy,
		Score: 1, Sure: 1, XKnown: true, YKnown: true,
	}
}

// Sample returns the place of x and y in samples and rows.
func (p Place) Sample(x, y float64) (column, row float64) {
	return p.X0 + float64(p.DX*x), p.Y0 + float64(p.DY*y)
}

// Against returns how the place differs from another: the shift of the middle
// of the picture in samples and rows, and the scales less 1. Positive shifts
// are to the right and down.
func (p Place) Against(q Place) (right, down, wider, higher float64) {
	return p.X0 - q.X0, p.Y0 - q.Y0, p.DX/q.DX - 1, p.DY/q.DY - 1
}

// span returns the whole samples within [a, b], those that lie less than margin
// inside left out, cut to 0..n-1; last < first when there are none.
func span(a, b, margin float64, n int) (first, last int) {
	first = max(0, int(math.Ceil(a+margin-1e-6)))
	last = min(n-1, int(math.Floor(b-margin+1e-6)))
	return first, last
}
