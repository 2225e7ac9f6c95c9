package pattern

import (
	"fmt"
	"math"
	"strconv"

	"backporch/colorimetry"
	"backporch/timing"
)

// An uprightWedge is a whole number of upright waves about X that come closer
// from Top to Bottom: their frequency rises evenly with y.
type uprightWedge struct {
	X, Top, Bottom float64
	F0, F1         float64 // cycles a picture height of a Comb, at Top and Bottom
	Cycles         float64
	Peak, Gate     float64
}

// frequency is that of the wedge at y.
func (w uprightWedge) frequency(y float64) float64 {
	return blend(w.F0, w.F1, (y-w.Top)/(w.Bottom-w.Top))
}

// add adds a row: there the wedge is a packet.
func (w uprightWedge) add(dst []float64, x timing.Comb, y float64) {
	f := w.frequency(y)
	half := w.Cycles / f / 2
	packet{X0: w.X - half, X1: w.X + half, Cycles: f, Peak: w.Peak, Gate: w.Gate}.add(dst, x)
}

// wedgeText is the room beside a wedge for its marks, in cells of numerals.
const wedgeText = 22

// uprightWedge lays out wedge i of n over these steps.
func (v View) uprightWedge(i, n int, steps []int, at [2]float64, perTVL, peak float64) (uprightWedge, []tile) {
	x0, x1 := v.tvSlot(i, n)
	text := wedgeText * v.numeralCell()
	least, most := steps[0], steps[len(steps)-1]
	w := uprightWedge{Top: at[0], Bottom: at[1], Peak: peak, Gate: v.Edge[0],
		F0: float64(float64(least) * perTVL), F1: float64(float64(most) * perTVL)}
	w.Cycles = max(2, math.Floor(0.8*(x1-x0-text)*w.F0))
	w.X = x0 + text + (x1-x0-text)/2
	var marks []tile
	line, cell := v.fieldLine(), v.numeralCell()
	for _, n := range steps {
		y := blend(w.Top, w.Bottom, float64(n-least)/float64(most-least))
		y = min(max(y, w.Top+line), w.Bottom-line)
		name := strconv.Itoa(n)
		top, bottom := v.level(y)
		m0, m1 := v.upright(x0+text-2.5*cell, 4*cell)
		up := min(max(y-numeralLines*line/2, w.Top), w.Bottom-numeralLines*line)
		marks = append(marks, tile{m0, top, m1, bottom, white})
		marks = append(marks, v.numeral(name, m0-float64(float64(numeralWidth(name)+1)*cell), up, white)...)
	}
	return w, marks
}

// A lyingGroup is a whole number of lying waves between Top and Bottom, which
// begin with phase zero, between X0 and X1.
type lyingGroup struct {
	X0, X1, Top, Bottom float64
	F                   float64 // cycles a picture height
	Peak, Gate          float64
}

func (v View) lyingGroup(lines int, x0, x1 float64, at [2]float64, peak float64) lyingGroup {
	g := lyingGroup{X0: x0, X1: x1, F: float64(lines) / 2, Peak: peak, Gate: v.Edge[0]}
	high := max(1, math.Floor((at[1]-at[0])*g.F)) / g.F
	g.Top = (at[0]+at[1])/2 - high/2
	g.Bottom = g.Top + high
	return g
}

func (g lyingGroup) add(dst []float64, x timing.Comb, y float64) {
	if y < g.Top || y > g.Bottom {
		return
	}
	level := float64(g.Peak * turn(float64((y-g.Top)*g.F)))
	window := packet{X0: g.X0, X1: g.X1, Gate: g.Gate}
	for i, at := range window.places(x, len(dst)) {
		dst[i] += float64(level * window.gate(at))
	}
}

// patch names the group; limit is that of the raster, in TV lines.
func (g lyingGroup) patch(v View, lines int, limit float64) Patch {
	q := area(fmt.Sprintf("%d TV lines down", lines), g.X0+g.Gate/2, v.rowEdge(g.Top), g.X1-g.Gate/2, v.rowEdge(g.Bottom), colorimetry.Gray(0.5-g.Peak), "")
	q.Kind, q.To = Line, colorimetry.Gray(0.5+g.Peak)
	if float64(lines) > limit*(1+1e-9) {
		q.Absent, q.Way = fmt.Sprintf("more than the %.0f TV lines that %d rows hold", limit, v.Shown.Height()), "a raster with more rows holds it"
		q.Want, q.To = colorimetry.Gray(0.5), colorimetry.Gray(0.5)
	}
	return q
}

// A lyingWedge is a whole number of lying waves about Y that come closer from
// X0 to X1: their frequency rises evenly with x.
type lyingWedge struct {
	Y, X0, X1  float64
	F0, F1     float64 // cycles a picture height, at X0 and X1
	Cycles     float64
	Peak, Gate float64
	Rim        float64 // of its upper and lower side, picture heights
}

func (w lyingWedge) add(dst []float64, x timing.Comb, y float64) {
	window := packet{X0: w.X0, X1: w.X1, Gate: w.Gate}
	for i, at := range window.places(x, len(dst)) {
		f := blend(w.F0, w.F1, min(max((at-w.X0)/(w.X1-w.X0), 0), 1))
		half := w.Cycles / f / 2
		p := packet{X0: w.Y - half, X1: w.Y + half, Gate: w.Rim}
		dst[i] += float64(float64(w.Peak*window.gate(at)*p.gate(y)) * turn(float64((y-p.X0)*f)))
	}
}

// lyingWedge lays out wedge i of n over these steps.
func (v View) lyingWedge(i, n int, steps []int, at [2]float64, peak float64) (lyingWedge, []tile) {
	x0, x1 := v.tvSlot(i, n)
	line, cell := v.fieldLine(), v.numeralCell()
	least, most := steps[0], steps[len(steps)-1]
	// The lower part of the strip holds the marks.
	text := (numeralLines + 6) * line
	// Where the marks of two wedges meet, three cells stay between their numbers.
	widest := float64(max(numeralWidth(strconv.Itoa(least)), numeralWidth(strconv.Itoa(most)))+3) * cell
	rim := max((x1-x0)*0.06, widest/2)
	w := lyingWedge{Y: (at[0] + at[1] - text) / 2, X0: x0 + rim, X1: x1 - rim, Peak: peak, Gate: v.Edge[0],
		F0: float64(least) / 2, F1: float64(most) / 2, Rim: wedgeGate * v.Shown.Span(0).DY}
	w.Cycles = max(2, math.Floor((at[1]-at[0]-text)*w.F0))
	var marks []tile
	axis := at[1] - text + line
	for _, n := range steps {
		x := blend(w.X0, w.X1, float64(n-least)/float64(most-least))
		m0, m1 := v.upright(x, v.ns(lineWidth))
		marks = append(marks, tile{m0, v.rowEdge(axis), m1, v.rowEdge(axis + 3*line), white})
		marks = append(marks, v.numeralAbout(strconv.Itoa(n), x, axis+4*line, white)...)
	}
	return w, marks
}
