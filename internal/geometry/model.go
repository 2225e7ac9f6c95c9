package geometry

import (
	"math"
	"slices"
)

// A channel is what was read: mm across or mm down.
type channel int

const (
	across channel = iota
	down
)

// A power is a shape u^U v^V. u and v are -1 and 1 at the edges of the picture.
type power struct{ U, V int }

func (p power) at(u, v float64) float64 {
	w := 1.0
	for range p.U {
		w *= u
	}
	for range p.V {
		w *= v
	}
	return w
}

// powers are the shapes of places across, the simplest first; those down are
// the same with u and v changed over. A shape is offered only after those that
// it could be taken for. The square of both lets one side bend without the
// middle.
func powers(c channel) []power {
	list := []power{{0, 0}, {1, 0}, {0, 1}, {2, 0}, {1, 1}, {0, 2}, {1, 2}, {2, 1}, {3, 0}, {0, 3}, {2, 2}, {1, 4}}
	if c == down {
		for i, p := range list {
			list[i] = power{p.V, p.U}
		}
	}
	return list
}

// orders say how simple each shape is. A place that is off is no simpler than a
// line that leans: both are 1.
func orders(list []power) (o []int) {
	for _, p := range list {
		o = append(o, max(1, p.U+p.V))
	}
	return o
}

// A model is both channels fitted.
type model struct {
	fit   [2]*solver
	terms [2][]power // of the kept columns
	where [2][]int   // which point each reading is
}

func fitPoints(points []Point, s Screen) *model {
	m := &model{}
	for _, c := range []channel{across, down} {
		var y []float64
		for i, p := range points {
			if v := p.read(c); !math.IsNaN(v) {
				y, m.where[c] = append(y, v), append(m.where[c], i)
			}
		}
		var columns [][]float64
		for _, t := range powers(c) {
			col := make([]float64, 0, len(y))
			for _, i := range m.where[c] {
				col = append(col, t.at(points[i].uv(s.Picture)))
			}
			columns = append(columns, col)
		}
		m.fit[c] = solve(columns, orders(powers(c)), y, s.Error)
		for _, k := range m.fit[c].kept {
			m.terms[c] = append(m.terms[c], powers(c)[k])
		}
	}
	return m
}

func (p Point) read(c channel) float64 {
	if c == across {
		return p.Across
	}
	return p.Down
}

// uv is the place in the picture, -1 to 1 from edge to edge.
func (p Point) uv(picture float64) (u, v float64) { return 2 * p.X / picture, 2 * p.Y }

// has reports whether the points show a shape, and no other in its place.
func (m *model) has(c channel, p power) bool {
	i := slices.Index(m.terms[c], p)
	return i >= 0 && !m.fit[c].vague[i]
}

// A probe takes a share of the fitted place at u, v.
type probe struct {
	c           channel
	u, v, share float64
}

// sum is a weighted sum of fitted places, mm, and its standard error; ok is
// false where it rests on a shape that may be another.
func (m *model) sum(probes []probe) (value, sigma float64, ok bool) {
	variance, ok := 0.0, true
	for _, c := range []channel{across, down} {
		w := make([]float64, len(m.terms[c]))
		for _, p := range probes {
			if p.c != c {
				continue
			}
			for i, t := range m.terms[c] {
				w[i] += float64(p.share * t.at(p.u, p.v))
			}
		}
		value += dot(w, m.fit[c].b)
		variance += m.fit[c].variance(w)
		ok = ok && m.fit[c].tells(w)
	}
	return value, math.Sqrt(variance), ok
}

// size is the fitted size of the picture along its middle, mm.
func (m *model) size(c channel) float64 {
	v, _, _ := m.sum(edgeToEdge(c))
	return v
}

// height is the picture height that per cents count from: as fitted, else from
// the fitted width, else that of the screen.
func (m *model) height(s Screen) float64 {
	switch {
	case m.has(down, power{0, 1}):
		return m.size(down)
	case m.has(across, power{1, 0}):
		return m.size(across) / s.Picture
	}
	return s.Height
}

func (m *model) rms() float64 {
	sum, n := 0.0, 0
	for _, f := range m.fit {
		sum += dot(f.left, f.left)
		n += len(f.left)
	}
	return math.Sqrt(sum / float64(n))
}
