package report

import (
	"math"
	"slices"
	"strconv"
)

// An axis runs from Min to Max. Its values stand at round places.
type axis struct {
	name     string // with its unit
	min, max float64
	log      bool
	ticks    []float64 // nil: round places are found
	decimals int
}

// A plot is a drawing with two axes.
type plot struct {
	*drawing
	x, y           axis
	left, top      float64 // of the area between the axes
	wide, high     float64
	legendBaseline float64
}

// newPlot draws the axes of a figure that is w units wide and h high.
func newPlot(w, h float64, x, y axis, title, desc string) *plot {
	x, y = x.filled(), y.filled()
	p := &plot{drawing: newDrawing(w, h, title, desc), x: x, y: y, left: 24, top: 10}
	widest := 0.0
	for _, t := range y.ticks {
		widest = max(widest, textWidth(y.label(t)))
	}
	p.left += widest + 4
	p.wide, p.high = w-p.left-14, h-p.top-64
	p.legendBaseline = h - 8
	grid := style{width: 0.6, ink: "#bbb"}
	for _, t := range x.ticks {
		px := p.px(t)
		p.line(px, p.top, px, p.top+p.high, grid)
	}
	for _, t := range y.ticks {
		py := p.py(t)
		p.line(p.left, py, p.left+p.wide, py, grid)
		p.text(p.left-5, py+4, "end", y.label(t))
	}
	last := math.Inf(-1) // labels that would touch the one before are left out
	for _, t := range x.ticks {
		px, half := p.px(t), textWidth(x.label(t))/2
		if px-half < last+5 {
			continue
		}
		last = px + half
		p.text(px, p.top+p.high+16, "middle", x.label(t))
	}
	p.rect(p.left, p.top, p.wide, p.high, style{width: 1})
	p.text(p.left+p.wide/2, p.top+p.high+34, "middle", x.name)
	p.upright(12, p.top+p.high/2, y.name)
	return p
}

// px and py are places of values on the paper.
func (p *plot) px(v float64) float64 { return p.left + p.wide*p.x.share(v) }
func (p *plot) py(v float64) float64 { return p.top + p.high*(1-p.y.share(v)) }

// inside reports whether a point lies between the axes.
func (p *plot) inside(x, y float64) bool {
	sx, sy := p.x.share(x), p.y.share(y)
	return finite(sx, sy) && sx >= -1e-9 && sx <= 1+1e-9 && sy >= -1e-9 && sy <= 1+1e-9
}

// curve joins those of the points that lie inside, and marks them.
func (p *plot) curve(points [][2]float64, m mark, k look) {
	var run [][2]float64
	for _, q := range points {
		if p.inside(q[0], q[1]) {
			run = append(run, [2]float64{p.px(q[0]), p.py(q[1])})
		}
	}
	p.path(run, false, k.line)
	if m < 0 {
		return
	}
	for _, q := range run {
		p.mark(q[0], q[1], m, k)
	}
}

// A box is a part of the paper: from its left upper corner to its right lower.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) meets(o box) bool { return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1 }

// label writes a word beside a mark, on whichever side nothing else stands, and
// appends the place that it takes. Where there is no room nothing is written.
func (p *plot) label(taken []box, x, y float64, s string) []box {
	w := textWidth(s)
	for _, at := range [][2]float64{{x + 6, y - 5}, {x + 6, y + 14}, {x - 6 - w, y - 5}, {x - 6 - w, y + 14}, {x + 9, y + 4.5}, {x - 9 - w, y + 4.5}} {
		b := box{at[0] - 1, at[1] - fontSize + 2, at[0] + w + 1, at[1] + 2}
		if b.x0 < p.left || b.x1 > p.left+p.wide || b.y0 < p.top || b.y1 > p.top+p.high {
			continue
		}
		if !slices.ContainsFunc(taken, b.meets) {
			p.text(at[0], at[1], "start", s)
			return append(taken, b)
		}
	}
	return taken
}

// band shades what lies between two values of the upright axis.
func (p *plot) band(low, high float64) {
	low, high = max(low, p.y.min), min(high, p.y.max)
	if !(low < high) {
		return
	}
	p.rect(p.left, p.py(high), p.wide, p.py(low)-p.py(high), style{width: 0.8, dash: "2 2", ink: "#777", fill: "#eee"})
}

// share is where on the axis a value lies, 0 to 1.
func (a axis) share(v float64) float64 {
	if a.log {
		if v <= 0 {
			return math.Inf(-1)
		}
		return math.Log(v/a.min) / math.Log(a.max/a.min)
	}
	return (v - a.min) / (a.max - a.min)
}

func (a axis) label(v float64) string {
	if a.log {
		return strconv.FormatFloat(v, 'g', 4, 64)
	}
	s := strconv.FormatFloat(v, 'f', a.decimals, 64)
	if f, err := strconv.ParseFloat(s, 64); err == nil && f == 0 {
		return strconv.FormatFloat(0, 'f', a.decimals, 64) // no negative zero
	}
	return s
}

// filled is the axis with round values where none were given: 1, 2 or 5 times
// a power of ten apart, five or so of them.
func (a axis) filled() axis {
	if a.ticks != nil {
		return a
	}
	step := math.Pow(10, math.Floor(math.Log10((a.max-a.min)/4)))
	for _, m := range []float64{1, 2, 5, 10} {
		if (a.max-a.min)/(step*m) <= 5.5 {
			step *= m
			break
		}
	}
	a.decimals = max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	for n := math.Ceil(a.min/step - 1e-9); n*step <= a.max+step*1e-9; n++ {
		a.ticks = append(a.ticks, n*step)
	}
	return a
}

// widen makes room for a value.
func (a *axis) widen(v float64) {
	if finite(v) {
		a.min, a.max = min(a.min, v), max(a.max, v)
	}
}
