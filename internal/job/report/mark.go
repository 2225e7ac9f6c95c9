package report

import "html/template"

// A look is how one series of readings is drawn: dashes and hollow marks for
// the first, solid lines and filled marks for the second.
type look struct {
	name string
	line style
	fill string // of marks
}

// looks are those of a first and a second series under their names.
func looks(first, second string) [2]look {
	return [2]look{
		{first, style{width: 1.2, dash: "5 3", ink: "#555"}, "#fff"},
		{second, style{width: 1.6}, "#000"},
	}
}

// A mark is the shape of a point.
type mark int

// The shapes.
const (
	disc mark = iota
	square
	triangle
)

// mark draws a point of a series.
func (d *drawing) mark(x, y float64, m mark, k look) {
	s := style{width: 1.3, ink: k.line.ink, fill: k.fill}
	switch m {
	case square:
		d.rect(x-3.2, y-3.2, 6.4, 6.4, s)
	case triangle:
		d.path([][2]float64{{x, y - 4.2}, {x + 4, y + 3.2}, {x - 4, y + 3.2}}, true, s)
	default:
		d.ellipse(x, y, 3.6, 3.6, s)
	}
}

// legend names series from x on, below the picture; what does not fit a row
// begins another.
func (d *drawing) legend(x, y float64, items []legendItem) {
	left := x
	for _, it := range items {
		text := []rune(it.text)
		for len(text) > 4 && left+29+textWidth(string(text)) > d.w {
			text = append(text[:len(text)-4:len(text)-4], []rune("...")...)
		}
		if x > left && x+29+textWidth(string(text)) > d.w {
			x, y = left, y+17
			d.h = max(d.h, y+8) // the drawing grows by a row
		}
		if it.look.line.width > 0 {
			d.line(x, y-4, x+24, y-4, it.look.line)
		}
		if it.mark >= 0 {
			d.mark(x+12, y-4, it.mark, it.look)
		}
		d.text(x+29, y, "start", string(text))
		x += 29 + textWidth(string(text)) + 12
	}
}

// A legendItem is one entry; mark -1 has the line alone.
type legendItem struct {
	look look
	mark mark
	text string
}

// textWidth is about how wide a text is drawn: letters of sans faces are
// 0.56 of their size on the average.
func textWidth(s string) float64 { return 0.56 * fontSize * float64(len([]rune(s))) }

// A figure is a picture with its caption.
type figure struct {
	SVG     template.HTML
	Caption string
	Wide    bool // has its caption beside it, across the page
}
