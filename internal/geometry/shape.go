package geometry

import "math"

// A need is a shape that must be in the fit for a term to be known.
type need struct {
	c channel
	p power
}

// A shape is a term before it has a value: which fitted places make it.
type shape struct {
	Term
	probes []probe
	offset float64 // mm, added to the sum of the probes
	needs  []need
	// turned adds what a turn of the picture would take away: the slope of the
	// middle row, its mm for the picture's width made mm for its height.
	turned bool
	// scale turns mm into the unit of the term.
	scale func(m *model, height float64) float64
}

// term gives the shape its value in this fit.
func (h shape) term(m *model, height float64) Term {
	t := h.Term
	for _, n := range h.needs {
		if !m.has(n.c, n.p) {
			return t
		}
	}
	if t.Key == "aspect" {
		t.Value, t.Sigma, t.Known = aspect(m, h.offset)
		return t
	}
	probes := h.probes
	if h.turned {
		k := m.size(down) / m.size(across)
		probes = append(append([]probe(nil), probes...), probe{down, 1, 0, k}, probe{down, -1, 0, -k})
	}
	value, sigma, ok := m.sum(probes)
	if !ok {
		return t
	}
	k := h.scale(m, height)
	t.Value, t.Sigma, t.Known = (value+h.offset)*k, sigma*math.Abs(k), true
	return t
}

// aspect is the one term that is no sum of places: fitted width over fitted
// height, against what the picture should have, per cent.
func aspect(m *model, picture float64) (value, sigma float64, ok bool) {
	w, sw, clear := m.sum(edgeToEdge(across))
	h, sh, too := m.sum(edgeToEdge(down))
	if !clear || !too {
		return 0, 0, false
	}
	ratio := w / h / picture
	return 100 * (ratio - 1), 100 * ratio * math.Hypot(sw/w, sh/h), true
}

func edgeToEdge(c channel) []probe {
	if c == across {
		return []probe{{c, 1, 0, 1}, {c, -1, 0, -1}}
	}
	return []probe{{c, 0, 1, 1}, {c, 0, -1, -1}}
}

func millimeters(*model, float64) float64 { return 1 }

// ofHeight makes per cents of picture height.
func ofHeight(_ *model, height float64) float64 { return 100 / height }

// ofSize makes per cents of the picture's own width or height.
func ofSize(c channel) func(*model, float64) float64 {
	return func(m *model, _ float64) float64 { return 100 / m.size(c) }
}

// ofScreen makes per cents of the visible screen.
func ofScreen(size float64) func(*model, float64) float64 {
	return func(*model, float64) float64 { return 100 / size }
}

// sReach is the greatest value of t - t^3 between 0 and 1, at t = 1/sqrt 3: how
// far an S puts a line from its place when the middle and the edges are right.
const sReach = 0.38490017945975052 // 2/(3 sqrt 3)

// cubic is a set of probes that sees t^3 of 1 as sReach and nothing of 1, t, t^2.
// at gives the place on the line for a t between -1 and 1.
func cubic(c channel, at func(t float64) (u, v float64)) (list []probe) {
	const k = sReach / 0.75 // odd part at 1 less twice that at 1/2 is 3/4 of t^3
	for _, p := range []struct{ t, share float64 }{{1, k / 2}, {-1, -k / 2}, {0.5, -k}, {-0.5, k}} {
		u, v := at(p.t)
		list = append(list, probe{c, u, v, p.share})
	}
	return list
}

// quadratic sees t^2 of 1 as 1 and nothing of 1, t, t^3.
func quadratic(c channel, at func(t float64) (u, v float64)) (list []probe) {
	for _, p := range []struct{ t, share float64 }{{1, 0.5}, {-1, 0.5}, {0, -1}} {
		u, v := at(p.t)
		list = append(list, probe{c, u, v, p.share})
	}
	return list
}

// negative turns the sign of a set of probes.
func negative(list []probe) []probe {
	out := append([]probe(nil), list...)
	for i := range out {
		out[i].share = -out[i].share
	}
	return out
}

// Lines through the picture along which shapes are probed.
func middleRow(t float64) (u, v float64)    { return t, 0 }
func middleColumn(t float64) (u, v float64) { return 0, t }
func leftSide(t float64) (u, v float64)     { return -1, t }
func rightSide(t float64) (u, v float64)    { return 1, t }
func topSide(t float64) (u, v float64)      { return t, -1 }
func bottomSide(t float64) (u, v float64)   { return t, 1 }
