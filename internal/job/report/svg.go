package report

import (
	"fmt"
	"html/template"
	"math"
	"strconv"
	"strings"
)

// fontSize of all text in a drawing, in its own units. Drawings are shown so
// that a unit is 0.7 pt or more: no text is printed smaller than 9 pt.
const fontSize = 13

// The widths of drawings: across the page, two screens with their caption
// beside them, and two drawings side by side. On A4 with margins of 15 mm they
// take 180, 124 and 87 mm.
const (
	wideDrawing   = 720
	pairDrawing   = 494
	narrowDrawing = 340
	plotHigh      = 214 // of a narrow one
)

// A drawing is an SVG picture under construction. It is black on white and
// tells things apart by shape and dash, never by color alone.
type drawing struct {
	title, desc string // for those who do not see it
	w, h        float64
	b           strings.Builder
}

func newDrawing(w, h float64, title, desc string) *drawing {
	return &drawing{title: title, desc: desc, w: w, h: h}
}

// num is a coordinate. A place that is not finite is a mistake of the program.
func num(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		panic("report: a drawing has a place that is not finite")
	}
	s := strconv.FormatFloat(v, 'f', 2, 64)
	s = strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// finite reports whether all values can be drawn.
func finite(v ...float64) bool {
	for _, f := range v {
		if math.IsNaN(f) || math.IsInf(f, 0) {
			return false
		}
	}
	return true
}

// style is how lines are drawn.
type style struct {
	width float64
	dash  string // "" solid
	ink   string // "" black
	fill  string // "" none
}

func (s style) attr() string {
	out := ` fill="` + or(s.fill, "none") + `" stroke="` + or(s.ink, "#000") + `" stroke-width="` + num(s.width) + `"`
	if s.dash != "" {
		out += ` stroke-dasharray="` + s.dash + `"`
	}
	return out
}

func or(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

func (d *drawing) line(x1, y1, x2, y2 float64, s style) {
	fmt.Fprintf(&d.b, `<line x1="%s" y1="%s" x2="%s" y2="%s"%s/>`+"\n", num(x1), num(y1), num(x2), num(y2), s.attr())
}

func (d *drawing) rect(x, y, w, h float64, s style) {
	fmt.Fprintf(&d.b, `<rect x="%s" y="%s" width="%s" height="%s"%s/>`+"\n", num(x), num(y), num(w), num(h), s.attr())
}

func (d *drawing) ellipse(x, y, rx, ry float64, s style) {
	fmt.Fprintf(&d.b, `<ellipse cx="%s" cy="%s" rx="%s" ry="%s"%s/>`+"\n", num(x), num(y), num(rx), num(ry), s.attr())
}

// path joins points; closed it is an area.
func (d *drawing) path(points [][2]float64, closed bool, s style) {
	if len(points) < 2 {
		return
	}
	var p strings.Builder
	for i, q := range points {
		p.WriteString([]string{"L", "M"}[b2i(i == 0)] + num(q[0]) + " " + num(q[1]))
	}
	if closed {
		p.WriteString("Z")
	}
	fmt.Fprintf(&d.b, `<path d="%s"%s/>`+"\n", p.String(), s.attr())
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// text is a line of words; anchor is start, middle or end.
func (d *drawing) text(x, y float64, anchor, s string) {
	fmt.Fprintf(&d.b, `<text x="%s" y="%s" text-anchor="%s">%s</text>`+"\n", num(x), num(y), anchor, template.HTMLEscapeString(s))
}

// upright is text that runs upward.
func (d *drawing) upright(x, y float64, s string) {
	fmt.Fprintf(&d.b, `<text transform="translate(%s %s) rotate(-90)" text-anchor="middle">%s</text>`+"\n", num(x), num(y), template.HTMLEscapeString(s))
}

// arrow has its head at the second point, as large as its length allows.
func (d *drawing) arrow(x1, y1, x2, y2 float64, s style) {
	d.line(x1, y1, x2, y2, s)
	length := math.Hypot(x2-x1, y2-y1)
	if length < 2 {
		return
	}
	head := min(7, length*0.6)
	ux, uy := (x2-x1)/length, (y2-y1)/length
	s.dash = ""
	if s.fill == "" {
		s.fill = or(s.ink, "#000")
	}
	d.path([][2]float64{{x2, y2}, {x2 - head*ux - head*uy*0.4, y2 - head*uy + head*ux*0.4},
		{x2 - head*ux + head*uy*0.4, y2 - head*uy - head*ux*0.4}}, true, s)
}

// html is the finished picture.
func (d *drawing) html() template.HTML {
	return template.HTML(fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 %s %s" font-family="system-ui, sans-serif" font-size="%d">`+
		"\n<title>%s</title>\n<desc>%s</desc>\n%s</svg>", num(d.w), num(d.h), fontSize,
		template.HTMLEscapeString(d.title), template.HTMLEscapeString(d.desc), d.b.String()))
}
