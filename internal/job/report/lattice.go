package report

import (
	"fmt"
	"html/template"
	"math"

	"backporch/internal/geometry"
)

// latticeDrawing is the crosshatch as it is counted, with room for mm at some
// of its crossings.
func (s *Worksheet) latticeDrawing() template.HTML {
	wide := s.Given.aspect()
	const high = 345
	d := newDrawing(wideDrawing, 24+high+4, "Crosshatch to note ruler positions on", "Lines are numbered from the middle; circles are the crossings to read.")
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
	shownColumns, shownRows := some(columns, (x1-x0)*p.w/wide, 72), some(rows, (y1-y0)*p.h, 48)
	for _, c := range shownColumns {
		x, _ := s.place(c, 0)
		px, _ := p.at(x, 0)
		d.text(px, p.y-6, "middle", fmt.Sprint(c))
		for _, r := range shownRows {
			x, y := s.place(c, r)
			px, py := p.at(x, y)
			// The box lies toward the middle of the picture, so that none is cut.
			bx, by := px+6, py+6
			if c > 0 {
				bx = px - 6 - 58
			}
			if r > 0 {
				by = py - 6 - 40
			}
			d.rect(bx, by, 58, 40, style{width: 0.8, fill: "#fff"})
			d.line(bx+4, by+20, bx+54, by+20, style{width: 0.5, ink: "#999", dash: "2 2"})
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
// the room between neighbors, need that of a box.
func some(lines []int, apart, need float64) []int {
	if len(lines) < 3 {
		return lines
	}
	last := lines[len(lines)-1]
	if last >= 4 {
		last-- // the outermost may lie behind the edge of the screen
	}
	half := (last + 1) / 2
	if min(float64(half), float64(last-half))*apart < need {
		return []int{-last, 0, last}
	}
	return []int{-last, -half, 0, half, last}
}

// zoneDrawing is the screen with room at each zone.
func (s *Worksheet) zoneDrawing() template.HTML {
	wide := s.Given.aspect()
	const high = 262
	d := newDrawing(wideDrawing, high+8, "Screen to note misconvergence on", "Nine zones with room for the offsets of the red and the blue lines.")
	p := d.lowPanel(20, 4, 680, high, wide, "")
	p.circle()
	for _, z := range geometry.Zones() {
		px, py := p.at(0.75*z.U*wide/2, 0.7*z.V/2)
		d.rect(px-82, py-36, 164, 72, style{width: 0.8, fill: "#fff"})
		d.text(px, py-23, "middle", z.Name)
		d.text(px-78, py+1, "start", "R right")
		d.text(px+4, py+1, "start", "down")
		d.text(px-78, py+28, "start", "B right")
		d.text(px+4, py+28, "start", "down")
		for _, y := range []float64{py + 4, py + 31} {
			d.line(px-31, y, px+1, y, style{width: 0.6})
			d.line(px+41, y, px+76, y, style{width: 0.6})
		}
	}
	return d.html()
}
