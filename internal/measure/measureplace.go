package measure

import (
	"fmt"
	"math"

	"backporch/timing"
)

// What is spoken of: half a sample, half a row, half a per cent. Common
// practice: a set's own geometry is aligned to a per cent at best.
const (
	leastShift = 0.5
	leastShape = 0.5
)

// nominal returns where the picture would lie without a fault: of the usual ways
// to put a raster into a capture of that size (sample for sample, all of it,
// without margins, square samples between pillars) the one that is nearest to
// where it was found. Which was meant, the capture does not say.
func nominal(p *Picture, r *timing.Raster, at Place) Place {
	if p.Raster != nil {
		return Nominal(p.Raster)
	}
	var best Place
	least := math.Inf(1)
	for _, l := range likely(p, r) {
		q := l.place(r)
		right, down, wider, higher := at.Against(q)
		far := math.Abs(right)/float64(p.Width) + math.Abs(down)/float64(p.Height) + math.Abs(wider) + math.Abs(higher)
		if far < least {
			best, least = q, far
		}
	}
	return best
}

// findPlace returns where the picture lies: as the request says, as the lattice
// of the samples says, or as it is found.
func findPlace(q *Request) (Place, error) {
	p := q.Picture
	if q.Region != [4]float64{} {
		return regionPlace(q.Region, p, q.Raster)
	}
	if p.Raster != nil {
		return Nominal(p.Raster), nil
	}
	return Find(p, q.Scene, q.View, q.Raster), nil
}

// regionPlace returns the place of an analog picture whose edges are at columns
// and rows of the capture.
func regionPlace(r [4]float64, p *Picture, raster *timing.Raster) (Place, error) {
	text := fmt.Sprintf("region %g,%g,%g,%g", r[0], r[1], r[2], r[3])
	for _, v := range r {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Place{}, fmt.Errorf("%s is no rectangle; give columns and rows X0,Y0,X1,Y1 of the edges of the picture", text)
		}
	}
	w, h := r[2]-r[0], r[3]-r[1]
	const least = 16
	if w < least || h < least {
		return Place{}, fmt.Errorf("%s is %g columns wide and %g rows high; give X0,Y0,X1,Y1 with X1 right of X0 and Y1 below Y0, at least %d apart", text, w, h, least)
	}
	if r[2] <= 0 || r[3] <= 0 || r[0] >= float64(p.Width) || r[1] >= float64(p.Height) {
		return Place{}, fmt.Errorf("%s lies outside the capture of %d by %d samples; give columns and rows within it", text, p.Width, p.Height)
	}
	e := raster.Picture()
	dx, dy := w/(e.X1-e.X0), h/(e.Y1-e.Y0)
	// Edges of rows and samples lie half a step before their middle.
	return Place{
		X0: r[0] - float64(dx*e.X0), DX: dx, Y0: r[1] - 0.5 - float64(dy*e.Y0), DY: dy,
		Score: 1, Sure: 1, SigmaX: 0.5, SigmaY: 0.5, XKnown: true, YKnown: true,
	}, nil
}

// displaced says how the place differs from the nominal one.
func displaced(at, nominal Place, p *Picture) []Finding {
	right, down, wider, higher := at.Against(nominal)
	var out []Finding
	add := func(f Fault, value, sigma, least float64) {
		sigma = max(sigma, 0.02)
		c := at.Sure * normal((math.Abs(value)-least)/sigma)
		out = append(out, Finding{Fault: f, Confidence: c, Value: value, Sigma: sigma})
	}
	if at.XKnown {
		add(Shifted, right, at.SigmaX, leastShift)
	}
	if at.YKnown {
		add(ShiftedY, down, at.SigmaY, leastShift)
	}
	if at.XKnown && at.YKnown {
		// The edges of the picture are known to a standard deviation, so the scale
		// is to that over half of the picture.
		sx, sy := 200*at.SigmaX/float64(p.Width), 200*at.SigmaY/float64(p.Height)
		add(Shape, 100*((1+wider)/(1+higher)-1), math.Hypot(sx, sy), leastShape)
	}
	return out
}
