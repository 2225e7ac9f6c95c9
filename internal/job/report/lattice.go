package report

import (
	"fmt"
	"html/template"
	"math"

	"backporch/internal/geometry"
)

// The boxes to write on: a quarter of one is 12 by 4.5 mm on paper, which a pencil
// needs for "123.5".
const (
	boxWide, boxHigh = 100, 36
	boxOff           = 6 // from the crossing that it belongs to
)

// latticeDrawing is the crosshatch as it is counted, with room for mm at some
// of its crossings, before and after the work.
func (s *Worksheet) latticeDrawing() template.HTML {
	wide := s.Given.aspect()
	const high = 390
	d := newDrawing(wideDrawing, 24+high+4, "Crosshatch to note ruler positions on", "Lines are numbered from the middle; circles are the crossings to read. Each has a box for before, above, and after the work.")
	p := d.lowPanel(24, 20, 680, high, wide, "")
	columns, rows := s.lines(wide)
	thin := style{width: 0.6, ink: "#999"}
	for _, c := range columns {
		x, _ := s.place(c, 0)
		px, _ := p.at(x, 0)
		d.line(px, p.y, px, p.y+p.h, thin)
	}
	for _, r := range rows {
		_, y := s.place(0, r)
		_, py := p.at(0, y)
		d.line(p.x, py, p.x+p.w, py, thin)
	}
	x0, y0 := s.place(0, 0)
	x1, y1 := s.place(1, 1)
	shownColumns := some(columns, (x1-x0)*p.w/wide, boxWide+6, boxWide+6)
	// Boxes lie toward the middle row, and that of the middle row below it.
	shownRows := some(rows, (y1-y0)*p.h, boxHigh+boxOff+8, 2*(boxHigh+boxOff)+4)
	for _, c := range shownColumns {
		x, _ := s.place(c, 0)
		px, _ := p.at(x, 0)
		d.text(px, p.y-6, "middle", fmt.Sprint(c))
		for _, r := range shownRows {
			x, y := s.place(c, r)
			px, py := p.at(x, y)
			bx, by := min(max(px-boxWide/2, p.x+3), p.x+p.w-3-boxWide), py+boxOff
			if r > 0 {
				by = py - boxOff - boxHigh
			}
			d.rect(bx, by, boxWide, boxHigh, style{width: 0.8, fill: "#fff"})
			d.line(bx, by+boxHigh/2, bx+boxWide, by+boxHigh/2, style{width: 0.5, ink: "#777"})
			d.line(bx+boxWide/2, by+3, bx+boxWide/2, by+boxHigh-3, style{width: 0.5, ink: "#999", dash: "2 2"})
			d.ellipse(px, py, 4, 4, style{width: 1.2, fill: "#fff"})
		}
	}
	for _, r := range shownRows {
		_, y := s.place(0, r)
		_, py := p.at(0, y)
		d.text(p.x-4, py+4, "end", fmt.Sprint(r))
	}
	return d.html()
}

// place is where a crossing belongs; without a pattern lines stand a tenth of
// the picture's height apart.
func (s *Worksheet) place(column, row int) (x, y float64) {
	if s.Given.Nominal != nil {
		return s.Given.Nominal(column, row)
	}
	return 0.1 * float64(column), 0.1 * float64(row)
}

// lines are the numbers of the lines that lie in the picture.
func (s *Worksheet) lines(wide float64) (columns, rows []int) {
	for n := -40; n <= 40; n++ {
		if x, _ := s.place(n, 0); finite(x) && math.Abs(x) < 0.49*wide {
			columns = append(columns, n)
		}
		if _, y := s.place(0, n); finite(y) && math.Abs(y) < 0.49 {
			rows = append(rows, n)
		}
	}
	return columns, rows
}

// some are five of the lines or three, as many as leave room for a box between
// them: the middle one, and outer ones that overscan leaves to be seen. apart is
// the room between neighbors, need that between two lines with boxes, and middle
// that beside the middle one.
func some(lines []int, apart, need, middle float64) []int {
	if len(lines) < 3 {
		return lines
	}
	last := lines[len(lines)-1]
	if last >= 4 {
		last-- // the outermost may lie behind the edge of the screen
	}
	half := (last + 1) / 2
	if float64(half)*apart < middle || float64(last-half)*apart < need {
		return []int{-last, 0, last}
	}
	return []int{-last, -half, 0, half, last}
}

// zoneDrawing is the screen with room at each zone, before and after the work.
func (s *Worksheet) zoneDrawing() template.HTML {
	wide := s.Given.aspect()
	const high, zoneWide, zoneHigh = 252, 212, 77
	d := newDrawing(wideDrawing, high+8, "Screen to note misconvergence on", "Nine zones with room for the offsets of the red and the blue lines, right and down, before and after the work.")
	p := d.lowPanel(20, 4, 680, high, wide, "")
	thin := style{width: 0.5, ink: "#777"}
	for _, z := range geometry.Zones() {
		px, py := p.at(0, 0)
		if z.U != 0 {
			px += math.Copysign(zoneWide+10, z.U)
		}
		if z.V != 0 {
			py += math.Copysign(zoneHigh+6, z.V)
		}
		x, y := px-zoneWide/2, py-zoneHigh/2
		d.rect(x, y, zoneWide, zoneHigh, style{width: 0.8, fill: "#fff"})
		d.text(px, y+13, "middle", z.Name)
		d.text(x+66, y+27, "middle", "before")
		d.text(x+162, y+27, "middle", "after")
		d.line(x, y+31, x+zoneWide, y+31, thin)
		d.line(x, y+54, x+zoneWide, y+54, thin)
		d.text(x+4, y+47, "start", "R")
		d.text(x+4, y+70, "start", "B")
		for i, at := range []float64{17, 66, 114, 163} {
			t := thin
			if i%2 == 1 { // between right and down
				t.dash = "2 2"
			}
			d.line(x+at, y+31, x+at, y+zoneHigh, t)
		}
	}
	return d.html()
}
