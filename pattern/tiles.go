package pattern

import (
	"math"
	"slices"

	"backporch/colorimetry"
)

// A tile is a rectangle of one level. Y0 and Y1 lie between rows, as
// [View.LineAt] and View.row give them; any side may be infinite.
type tile struct {
	X0, Y0, X1, Y1 float64
	To             colorimetry.Signal
}

// tileBands lays tiles on a ground, later ones over earlier ones. Sides that
// stand upright get the view's edges, narrowed between neighbors as narrowEdge
// says.
func (v View) tileBands(ground colorimetry.Signal, tiles []tile) []Band {
	var cuts []float64
	for _, t := range tiles {
		for _, y := range []float64{t.Y0, t.Y1} {
			if !math.IsInf(y, 0) {
				cuts = append(cuts, y)
			}
		}
	}
	slices.Sort(cuts)
	near := v.Shown.Span(0).DY / 1000 // cuts lie whole rows apart
	cuts = slices.CompactFunc(cuts, func(a, b float64) bool { return math.Abs(b-a) < near })
	cuts = append(cuts, endless)

	var s stack
	top := math.Inf(-1)
	var cover []tile
	for _, bottom := range cuts {
		cover = cover[:0]
		inside := top + near
		if math.IsInf(top, -1) {
			inside = min(bottom, 0) - near
		}
		for _, t := range tiles {
			if t.Y0 < inside && inside < t.Y1 {
				cover = append(cover, t)
			}
		}
		s = s.add(bottom, v.tileRow(ground, cover))
		top = bottom
	}
	return s.bands(v.Shown.Span(0).DY)
}

// tileRow is what a row through all of these tiles shows.
func (v View) tileRow(ground colorimetry.Signal, cover []tile) row {
	var at []float64
	for _, t := range cover {
		at = append(at, t.X0, t.X1)
	}
	slices.Sort(at)
	at = slices.Compact(at)

	r := row{First: ground}
	level := func(x float64) colorimetry.Signal {
		for _, t := range slices.Backward(cover) {
			if t.X0 <= x && x < t.X1 {
				return t.To
			}
		}
		return ground
	}
	last := ground
	for _, x := range at {
		switch to := level(x); {
		case math.IsInf(x, -1):
			r.First, last = to, to
		case to != last && !math.IsInf(x, 1):
			r.Steps = append(r.Steps, step{X: x, To: to})
			last = to
		}
	}
	for i := range r.Steps {
		w := math.Inf(1)
		if i > 0 {
			w = r.Steps[i].X - r.Steps[i-1].X
		}
		if i+1 < len(r.Steps) {
			w = min(w, r.Steps[i+1].X-r.Steps[i].X)
		}
		for c := range r.Steps[i].Edge {
			r.Steps[i].Edge[c] = narrowEdge(v.Edge[c], w)
		}
	}
	return r
}

// narrowEdge is the width of the edges of something w wide where an edge by
// itself is e wide. Between e/2 and e it is w, and two such edges make a
// sin-squared pulse of half-amplitude width w,
//
//	p(t) = (1 + cos(pi t/w))/2, |t| <= w
//
// wider things have a flat top. Below e/2 the edges stay, and the pulse falls
// short of its level. Hard edges (e = 0) stay hard.
func narrowEdge(e, w float64) float64 { return min(e, max(w, e/2)) }

// upright returns the sides of an upright line w wide around x. Where edges
// are hard, pixels are visible: the line then covers whole samples of the
// shown raster, the same number everywhere.
func (v View) upright(x, w float64) (x0, x1 float64) {
	if v.Edge[0] > 0 {
		return x - w/2, x + w/2
	}
	c := v.Shown.Comb(0)
	n := max(1, math.Round(w/c.DX))
	left := c.X0 - c.DX/2
	k := math.Round((x-left)/c.DX - n/2 + 1e-6) // a tie falls the same way for every line
	return left + float64(k*c.DX), left + float64((k+n)*c.DX)
}

// nudge decides between two rows that are equally near, the same way for every
// line and on every machine.
func (v View) nudge(y float64) float64 { return y + float64(v.Shown.Span(0).DY*1e-6) }

// rowEdge returns the place between rows that is nearest to y.
func (v View) rowEdge(y float64) float64 { return v.row(v.nearestRow(v.nudge(y))) }

// level returns top and bottom of the rows of a horizontal line at y. It is
// LineAt, except that a tie falls the same way for every line.
func (v View) level(y float64) (top, bottom float64) {
	return v.LineAt(v.nudge(y))
}
