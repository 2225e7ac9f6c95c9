package report

import (
	"fmt"
	"math"
	"slices"

	"backporch/colorimetry"
	"backporch/internal/meter"
)

// A series is one set of gray steps under a name; steps nil: none was read.
type series struct {
	name  string
	steps *meter.Steps
}

// perUV is du*v* of a difference in u'v' at L* = 100 (EBU Tech 3320 v3 clause 5.7:
// 1300 du'v').
const perUV = 1300

// plotChromaticity is the places of gray steps on the u'v' diagram around the
// target, with the circle that white has to lie in.
func plotChromaticity(target colorimetry.White, limit *float64, all [2]series) (figure, bool) {
	t := target.UV1976()
	half := 0.006
	radius := 0.0
	if limit != nil {
		radius = *limit / perUV
		half = max(half, 1.3*radius)
	}
	n := 0
	for _, s := range all {
		for _, st := range judgedSteps(s.steps) {
			half = max(half, 1.12*math.Abs(st.UV.U-t.U), 1.12*math.Abs(st.UV.V-t.V))
			n++
		}
	}
	if n == 0 {
		return figure{}, false
	}
	draw := func(ratio float64) *plot {
		return newPlot(narrowDrawing, plotHigh, axis{name: "u'", min: t.U - ratio*half, max: t.U + ratio*half}, axis{name: "v'", min: t.V - half, max: t.V + half},
			"Color of gray steps on the u'v' diagram", fmt.Sprintf("Target %s at u' %.4f v' %.4f; %s", target.Name, t.U, t.V, seriesWords(all)))
	}
	p := draw(1)
	p = draw(max(1, p.wide/p.high)) // a step is as long across as up
	if radius > 0 {
		p.ellipse(p.px(t.U), p.py(t.V), p.px(t.U+radius)-p.px(t.U), p.py(t.V)-p.py(t.V+radius), style{width: 1, dash: "2 2", ink: "#555", fill: "#eee"})
	}
	cross := style{width: 1}
	p.line(p.px(t.U)-8, p.py(t.V), p.px(t.U)+8, p.py(t.V), cross)
	p.line(p.px(t.U), p.py(t.V)-8, p.px(t.U), p.py(t.V)+8, cross)
	k := looks(all[0].name, all[1].name)
	items := []legendItem{}
	var taken []box // by marks, and then by labels
	for _, s := range all {
		for _, st := range judgedSteps(s.steps) {
			taken = append(taken, box{p.px(st.UV.U) - 4, p.py(st.UV.V) - 4, p.px(st.UV.U) + 4, p.py(st.UV.V) + 4})
		}
	}
	for i, s := range all {
		var points [][2]float64
		for _, st := range judgedSteps(s.steps) {
			points = append(points, [2]float64{st.UV.U, st.UV.V})
		}
		if len(points) == 0 {
			continue
		}
		p.curve(points, disc, k[i])
		items = append(items, legendItem{k[i], disc, s.name})
		steps := judgedSteps(s.steps)
		slices.Reverse(steps) // white is named first
		var named [][2]float64
		for _, st := range steps {
			if p.inside(st.UV.U, st.UV.V) && apart(named, p.px(st.UV.U), p.py(st.UV.V)) {
				named = append(named, [2]float64{p.px(st.UV.U), p.py(st.UV.V)})
				taken = p.label(taken, p.px(st.UV.U), p.py(st.UV.V), fmt.Sprintf("%.0f", 100*st.Level))
			}
		}
	}
	p.legend(p.left, p.legendBaseline, items)
	c := "Color of each gray step of 1 cd/m2 or more; the number is the signal in per cent, the cross the target " + target.Name + "."
	if radius > 0 {
		c += fmt.Sprintf(" Dotted: %.4g du*v* from the target for white.", *limit)
	}
	return figure{SVG: p.html(), Caption: c}, true
}

// apart reports whether a place is so far from those that have a name that two
// names cannot be taken for each other.
func apart(named [][2]float64, x, y float64) bool {
	for _, q := range named {
		if math.Hypot(q[0]-x, q[1]-y) < 20 {
			return false
		}
	}
	return true
}

// plotTracking is the distance of the steps from the set's own white.
func plotTracking(limit *float64, all [2]series) (figure, bool) {
	y := axis{name: "du*v* from own white", min: 0, max: 1}
	if limit != nil {
		y.widen(1.5 * *limit)
	}
	n := 0
	for _, s := range all {
		for _, st := range judgedSteps(s.steps) {
			y.widen(1.1 * st.Track)
			n++
		}
	}
	if n == 0 {
		return figure{}, false
	}
	p := newPlot(narrowDrawing, plotHigh, axis{name: "Signal, %", min: 0, max: 100}, y, "Gray tracking", seriesWords(all))
	if limit != nil {
		p.band(0, *limit)
	}
	k := looks(all[0].name, all[1].name)
	var items []legendItem
	for i, s := range all {
		var points [][2]float64
		for _, st := range judgedSteps(s.steps) {
			points = append(points, [2]float64{100 * st.Level, st.Track})
		}
		if len(points) > 0 {
			p.curve(points, disc, k[i])
			items = append(items, legendItem{k[i], disc, s.name})
		}
	}
	p.legend(p.left, p.legendBaseline, items)
	c := "Gray tracking: how far each step is from the set's own white."
	if limit != nil {
		c += fmt.Sprintf(" Shaded: within tolerance, up to %.4g.", *limit)
	}
	return figure{SVG: p.html(), Caption: c}, true
}

// judgedSteps are the steps that are bright enough to have a color to an eye.
func judgedSteps(s *meter.Steps) (list []meter.Step) {
	if s == nil {
		return nil
	}
	for _, st := range s.Steps {
		if st.Judged && finite(st.Level, st.UV.U, st.UV.V, st.Track) {
			list = append(list, st)
		}
	}
	return list
}

// seriesWords say in words what the drawing shows.
func seriesWords(all [2]series) (words string) {
	for _, s := range all {
		if s.steps == nil || len(s.steps.Steps) == 0 {
			continue
		}
		if words != "" {
			words += "; "
		}
		words += fmt.Sprintf("%s: %d steps, white at u' %.4f v' %.4f, worst tracking %.2f du*v*",
			s.name, len(s.steps.Steps), s.steps.White.UV.U, s.steps.White.UV.V, s.steps.WorstTrack)
	}
	return words
}
