package pattern

import (
	"math"

	"backporch/colorimetry"
	"backporch/timing"
)

// A step is where a row takes a new level. The change is a raised cosine in
// time, centered on X.
type step struct {
	X    float64
	To   colorimetry.Signal
	Edge [3]float64 // full width for each component; 0 is a hard step
}

// A row is a function of x: First, then steps in ascending order. Where the
// edges of neighbors overlap their changes add up.
type row struct {
	First colorimetry.Signal
	Steps []step
}

// rise is the raised cosine: 0 at u = 0, 1 at u = 1.
func rise(u float64) float64 {
	switch {
	case u <= 0:
		return 0
	case u >= 1:
		return 1
	}
	return 0.5 - float64(0.5*math.Cos(math.Pi*u))
}

// paint fills dst. Samples outside every edge get their level to the last bit.
func (r row) paint(dst []float64, c colorimetry.Component, x timing.Comb, _ timing.Span, _ int) {
	level, from := r.First.Of(c), 0
	for _, s := range r.Steps {
		to := clampIndex(math.Ceil((s.X-x.X0)/x.DX), len(dst))
		fill(dst[from:max(from, to)], level)
		level, from = s.To.Of(c), max(from, to)
	}
	fill(dst[from:], level)

	level = r.First.Of(c)
	for _, s := range r.Steps {
		change := s.To.Of(c) - level
		level = s.To.Of(c)
		if w := s.Edge[c]; w > 0 && change != 0 {
			addEdge(dst, x, s.X, w, change)
		}
	}
}

// addEdge turns a hard step of that height at place at into a raised cosine of
// width w, by what it differs from the step.
func addEdge(dst []float64, x timing.Comb, at, w, change float64) {
	left := at - w/2
	step := clampIndex(math.Ceil((at-x.X0)/x.DX), len(dst))
	from := clampIndex(math.Ceil((left-x.X0)/x.DX), len(dst))
	for i := from; i < len(dst); i++ {
		u := (x.At(i) - left) / w
		if u >= 1 {
			return
		}
		if i < step {
			dst[i] += float64(change * rise(u))
		} else {
			dst[i] -= float64(change * (1 - rise(u)))
		}
	}
}

func clampIndex(f float64, n int) int { return int(min(max(f, 0), float64(n))) }

func fill(dst []float64, v float64) {
	for i := range dst {
		dst[i] = v
	}
}

// band returns the row as a uniform band that ends at bottom.
func (r row) band(bottom float64) Band {
	return Band{Bottom: bottom, Uniform: true, Paint: r.paint}
}

// A bar is a part of a row with one level, named if it is a patch.
type bar struct {
	Name   string // "" for what is not worth measuring
	Until  float64
	Want   colorimetry.Signal
	Absent string
}

// bars lays a row out from left to right between top and bottom: edges and
// patches. The first bar begins at x0 and the last ends at its Until; outside,
// their levels go on.
func (v View) bars(x0, top, bottom float64, list ...bar) (Band, []Patch) {
	r := row{First: list[0].Want}
	var patches []Patch
	for i, b := range list {
		if b.Name != "" {
			patches = append(patches, Patch{Name: b.Name, Kind: Level, Absent: b.Absent,
				X0: x0, Y0: top, X1: b.Until, Y1: bottom, Want: b.Want, To: b.Want})
		}
		if i+1 < len(list) {
			r.Steps = append(r.Steps, step{b.Until, list[i+1].Want, v.Edge})
		}
		x0 = b.Until
	}
	return r.band(bottom), patches
}

// hold returns want as the view's coding can hold it: itself, or the
// substitute and the reason why the wanted one is absent. What only the plan
// puts out of reach is left alone: that is for the plan to report.
func (v View) hold(want, substitute colorimetry.Signal) (colorimetry.Signal, string) {
	if v.Coding == nil || v.Coding.Holds(v.Plan.Map(want)) || v.Coding.Holds(want) {
		return want, ""
	}
	reason := "a color outside the R'G'B' cube"
	if want.CB == 0 && want.CR == 0 {
		reason = "a level below black"
		if want.Y > 1 {
			reason = "a level above white"
		}
	}
	return substitute, v.Coding.Name + " has no code for " + reason
}
