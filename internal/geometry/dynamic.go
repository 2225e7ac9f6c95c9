package geometry

import (
	"fmt"
	"math"
	"slices"
)

// A drift is a way in which one gun's raster differs from the green one.
type drift struct {
	key, name, means string
	c                channel
	p                power
	gain             float64 // from the coefficient to the value
	inline, delta    string
}

// drifts lists them. In-line tubes have the yoke wedged and tilted, magnets or
// strips at its edge and few knobs; delta guns have a parabola and a tilt per
// gun and direction (common practice). A yoke whose middle lies above or below
// the row of guns makes red and blue cross, on the rows and on the columns alike;
// one that lies beside it makes one of them larger, in width and height.
func drifts() []drift {
	const (
		yoke    = "strips or magnets at the edge of the yoke, and its sideways tilt (wedges)"
		up      = "tilting the yoke up and down (wedges)"
		bridge  = "tilting the yoke sideways (wedges); horizontal convergence amplitude or differential coil where the set has one"
		vBridge = "tilting the yoke sideways (wedges); vertical convergence amplitude or balance of the yoke coils where the set has one"
		corners = "strips of magnetic rubber at the yoke, corner by corner"
	)
	return []drift{
		{"width", "raster width", "edge to edge wider than green; below 0 narrower", across, power{1, 0}, 2, bridge, "horizontal tilt of the radial and lateral convergence"},
		{"height", "raster height", "top to bottom taller than green; below 0 shorter", down, power{0, 1}, 2, vBridge, "vertical tilt of the radial convergence"},
		{"slope", "slope of the rows", "right end of the middle row lower than its left end against green", down, power{1, 0}, 2, up, "horizontal tilt of the radial convergence"},
		{"lean", "lean of the columns", "lower end of the middle column right of its upper end against green", across, power{0, 1}, 2, up, "vertical tilt of the lateral and radial convergence"},
		{"stretch-across", "stretch across", "mean of both sides right of the middle against green", across, power{2, 0}, 1, yoke, "horizontal parabola (amplitude)"},
		{"stretch-down", "stretch down", "mean of top and bottom below the middle against green", down, power{0, 2}, 1, up, "vertical parabola (amplitude)"},
		{"bow-rows", "bow of the rows", "ends of the middle row below its middle against green", down, power{2, 0}, 1, up, "horizontal parabola (amplitude)"},
		{"bow-columns", "bow of the columns", "ends of the middle column right of its middle against green", across, power{0, 2}, 1, yoke, "vertical parabola (amplitude)"},
		{"keystone-across", "trapezoid of the sides", "bottom edge wider than the top edge against green", across, power{1, 1}, 4, yoke, "magnets or coils of the corners where the set has them"},
		{"keystone-down", "trapezoid of top and bottom", "right edge taller than the left edge against green", down, power{1, 1}, 4, yoke, "magnets or coils of the corners where the set has them"},
		{"corners-across", "pincushion of the sides", "corners farther out than the middles of the sides against green, each side", across, power{1, 2}, 1, corners, "magnets or coils of the corners where the set has them"},
		{"corners-down", "pincushion of top and bottom", "corners farther out than the middles of top and bottom against green, each", down, power{2, 1}, 1, corners, "magnets or coils of the corners where the set has them"},
	}
}

// dynamicTerms fits the offsets of one gun over the screen.
func dynamicTerms(gun string, of map[string]*Offset, t Tube) (terms []Term) {
	var zones []Zone
	for _, z := range Zones() {
		if of[z.Name] != nil {
			zones = append(zones, z)
		}
	}
	if len(zones) == 0 {
		return nil
	}
	var fits [2]*solver
	var kept [2][]power
	for _, c := range []channel{across, down} {
		y := make([]float64, 0, len(zones))
		for _, z := range zones {
			if o := of[z.Name]; c == across {
				y = append(y, o.Right)
			} else {
				y = append(y, o.Down)
			}
		}
		var columns [][]float64
		all := powers(c)[:8] // nine zones lie on three columns and rows: no cubes
		for _, p := range all {
			col := make([]float64, 0, len(zones))
			for _, z := range zones {
				col = append(col, p.at(z.U, z.V))
			}
			columns = append(columns, col)
		}
		fits[c] = solve(columns, orders(all), y, t.Error)
		for _, k := range fits[c].kept {
			kept[c] = append(kept[c], all[k])
		}
	}
	for _, d := range drifts() {
		term := Term{Key: gun + "-" + d.key, Name: fmt.Sprintf("%s, %s", upper(gun), d.name), Unit: unitMM, Means: d.means, Controls: d.inline, Service: true}
		if t.Delta {
			term.Controls, term.Service = d.delta, false
		}
		if i := slices.Index(kept[d.c], d.p); i >= 0 {
			w := make([]float64, len(kept[d.c]))
			w[i] = d.gain
			if !fits[d.c].tells(w) {
				terms = append(terms, term)
				continue
			}
			term.Known = true
			term.Value, term.Sigma = d.gain*fits[d.c].b[i], math.Sqrt(fits[d.c].variance(w))
		}
		terms = append(terms, term)
	}
	return terms
}

func upper(gun string) string {
	if gun == "red" {
		return "Red"
	}
	return "Blue"
}

// remark says which controls the static part points to, and in which order.
func (m *Misconvergence) remark(t Tube) {
	note := func(format string, args ...any) { m.Notes = append(m.Notes, fmt.Sprintf(format, args...)) }
	if !m.RedKnown && !m.BlueKnown {
		note("The middle was not read: what is static and what grows toward the edges cannot be told apart.")
	}
	less := math.Max(t.Error, 0.0005*t.Height) // what is not worth a move (common practice)
	switch {
	case t.Delta:
		for _, g := range []struct {
			gun   string
			v     Vector
			known bool
		}{{"Red", m.Red, m.RedKnown}, {"Blue", m.Blue, m.BlueKnown}} {
			if g.known && math.Hypot(g.v.Right, g.v.Down) > less {
				note("%s in the middle (%s from green): static magnets of the convergence assembly. Radial magnets move red and green aslant and blue up and down; the blue lateral magnet moves blue sideways. First red onto green, then blue onto both.", g.gun, where(g.v))
			}
		}
	case m.RedKnown && m.BlueKnown:
		// With green in the middle of the row, four poles move red and blue against
		// each other and six poles move both the same way (common practice).
		four := Vector{(m.Red.Right - m.Blue.Right) / 2, (m.Red.Down - m.Blue.Down) / 2}
		six := Vector{(m.Red.Right + m.Blue.Right) / 2, (m.Red.Down + m.Blue.Down) / 2}
		if math.Hypot(four.Right, four.Down) > less {
			note("Red and blue lie apart in the middle (red %s from halfway): the pair of four-pole rings, which move red and blue against each other. First red onto blue.", where(four))
		}
		if math.Hypot(six.Right, six.Down) > less {
			note("Red and blue together lie %s from green in the middle: the pair of six-pole rings, which move both the same way. After the four-pole rings.", where(six))
		}
	case m.RedKnown != m.BlueKnown:
		note("Only one of red and blue was read in the middle: which pair of rings it needs cannot be told.")
	}
	if m.HasDynamic && m.Dynamic.MM > less {
		note("At %s %.2f mm stay when the middle is right: dynamic convergence. Put the middle right first; a move of rings or yoke spoils purity, so look at it again.", m.DynamicAt, m.Dynamic.MM)
	}
	if len(m.Notes) > 0 && (m.RedKnown || m.BlueKnown) {
		note("Rings and yoke sit on the neck, next to high voltage and the weakest glass: one hand, insulated tool, nothing that slips. It is service work.")
	}
}

// where says a vector in words.
func where(v Vector) string {
	side, height := "right", "down"
	if v.Right < 0 {
		side = "left"
	}
	if v.Down < 0 {
		height = "up"
	}
	return fmt.Sprintf("%.2f mm %s and %.2f mm %s", math.Abs(v.Right), side, math.Abs(v.Down), height)
}
