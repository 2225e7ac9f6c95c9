package draw

import (
	"image"
	"image/color"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
)

// Align says where text stands in its box.
type Align int

// Places across a box.
const (
	Left Align = iota
	Center
	Right
)

// VAlign says where text stands down its box.
type VAlign int

// Places down a box.
const (
	Top VAlign = iota
	Middle
	Bottom
)

// Style is how text looks. The zero Color is Ink.
type Style struct {
	Size   float64 // pixels an em, 1 to 1000
	Bold   bool
	Color  color.Color
	Align  Align
	VAlign VAlign
}

const ellipsis = "…"

// Width returns how far s advances, in pixels rounded up.
func (v *Canvas) Width(s string, st Style) int {
	return font.MeasureString(v.face(st), s).Ceil()
}

// LineHeight returns the distance of lines of text in pixels, which also holds
// all that letters reach above and below.
func (v *Canvas) LineHeight(st Style) int {
	m := v.face(st).Metrics()
	return max(m.Height.Ceil(), m.Ascent.Ceil()+m.Descent.Ceil())
}

// Fit returns s, or its beginning with an ellipsis, so that it is not wider
// than width pixels; "" where not even the ellipsis is.
func (v *Canvas) Fit(s string, width int, st Style) string {
	if v.Width(s, st) <= width {
		return s
	}
	r := []rune(s)
	// The widest beginning that fits, by halves: advances only grow.
	lo, hi := 0, len(r)
	for lo < hi {
		mid := (lo + hi + 1) / 2
		if v.Width(strings.TrimRight(string(r[:mid]), " ")+ellipsis, st) <= width {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	if lo == 0 && v.Width(ellipsis, st) > width {
		return ""
	}
	return strings.TrimRight(string(r[:lo]), " ") + ellipsis
}

// Wrap breaks s at spaces into lines not wider than width pixels, and inside a
// word that is wider. More than most lines (0: no limit) end in an ellipsis. An
// empty s has no lines.
func (v *Canvas) Wrap(s string, width, most int, st Style) []string {
	var lines []string
	rest := strings.Join(strings.Fields(s), " ")
	for rest != "" {
		if most > 0 && len(lines) == most-1 {
			return append(lines, v.Fit(rest, width, st))
		}
		var line string
		line, rest = v.breakLine(rest, width, st)
		lines = append(lines, line)
	}
	return lines
}

// breakLine takes the first line off s, at least one letter.
func (v *Canvas) breakLine(s string, width int, st Style) (line, rest string) {
	if v.Width(s, st) <= width {
		return s, ""
	}
	end := 0
	for i, r := range s {
		if r == ' ' && v.Width(s[:i], st) <= width {
			end = i
		} else if r == ' ' {
			break
		}
	}
	if end > 0 {
		return s[:end], s[end+1:]
	}
	for i := range s {
		if i == 0 {
			continue
		}
		if end > 0 && v.Width(s[:i], st) > width {
			break
		}
		end = i
	}
	if end == 0 { // a single letter
		return s, ""
	}
	return s[:end], strings.TrimLeft(s[end:], " ")
}

// Text draws s within box, wrapped to it, and returns the area that its lines
// take. Lines that do not fit the height are left out, the last one that does
// ends in an ellipsis; a box lower than one line stays empty.
func (v *Canvas) Text(box image.Rectangle, s string, st Style) image.Rectangle {
	n := box.Dy() / v.LineHeight(st)
	if n < 1 || box.Dx() < 1 {
		return image.Rectangle{}
	}
	return v.lines(box, v.Wrap(s, box.Dx(), n, st), st)
}

// lines draws lines that are known to fit box.
func (v *Canvas) lines(box image.Rectangle, lines []string, st Style) image.Rectangle {
	f := v.face(st)
	h := v.LineHeight(st)
	y := box.Min.Y
	switch free := box.Dy() - len(lines)*h; st.VAlign {
	case Middle:
		y += free / 2
	case Bottom:
		y += free
	}
	ink := st.Color
	if ink == nil {
		ink = Ink
	}
	dst, ok := v.img.SubImage(box).(*image.RGBA)
	if !ok || dst.Rect.Empty() {
		return image.Rectangle{}
	}
	d := font.Drawer{Dst: dst, Src: image.NewUniform(ink), Face: f}
	var used image.Rectangle
	for _, line := range lines {
		w := v.Width(line, st)
		x := box.Min.X
		switch st.Align {
		case Center:
			x += (box.Dx() - w) / 2
		case Right:
			x += box.Dx() - w
		}
		d.Dot = fixed.P(x, y+f.Metrics().Ascent.Ceil())
		d.DrawString(line)
		used = used.Union(image.Rect(x, y, x+w, y+h).Intersect(box))
		y += h
	}
	return used
}
