package compare

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"backporch/internal/draw"
	"backporch/internal/tube"
)

// Widths of a page, pixels. On a telephone 360 CSS pixels wide a page of any
// width has text 9 of these high.
const (
	MinWidth   = 480
	UsualWidth = 1080
	MaxWidth   = 4000
)

// Sizes of text and space in widths of a page.
const (
	titleSize = 1.0 / 26
	textSize  = 1.0 / 40
	spaceSize = 1.0 / 48
)

// A pager lays a page out from top to bottom. Without a canvas of the full
// height it only measures.
type pager struct {
	v     *draw.Canvas
	dry   bool
	width int
	space int
	y     int

	title, head, text, label, quiet draw.Style

	places []image.Rectangle // of the pictures, in order
}

func newPager(v *draw.Canvas, width int, dry bool) *pager {
	w := float64(width)
	return &pager{
		v: v, dry: dry, width: width, space: int(w * spaceSize), y: int(w * spaceSize),
		title: draw.Style{Size: w * titleSize, Bold: true},
		head:  draw.Style{Size: w * textSize, Bold: true},
		text:  draw.Style{Size: w * textSize, Align: draw.Right},
		label: draw.Style{Size: w * textSize},
		quiet: draw.Style{Size: w * textSize, Color: draw.Quiet},
	}
}

// Page draws the comparison, width pixels wide: the pictures as the tubes show
// them, with the numbers under each. The error names a width out of range.
func (r *Result) Page(width int) (*image.RGBA, error) {
	if width < MinWidth || width > MaxWidth {
		return nil, fmt.Errorf("a page cannot be %d pixels wide; use %d to %d", width, MinWidth, MaxWidth)
	}
	pictures := r.pictures()
	dry := newPager(draw.New(1, 1, draw.Paper), width, true)
	r.layout(dry)
	p := newPager(draw.New(width, dry.y, draw.Paper), width, false)
	r.layout(p)
	err := each(len(pictures), func(i int) error { // the places do not overlap
		p.v.Picture(p.places[i], pictures[i], tube.PixelShape(r.Outcomes[i].frame, r.Aspect.Float64()))
		return nil
	})
	return p.v.Image(), err
}

// pictures renders every variant, all on one scale that clips none.
func (r *Result) pictures() []*image.RGBA {
	guns := [3]bool{true, true, true}
	if r.Gun != AllGuns {
		guns = [3]bool{}
		guns[r.Gun.index()] = true
	}
	most := make([]float64, len(r.Outcomes))
	_ = each(len(most), func(i int) error {
		o := &r.Outcomes[i]
		most[i] = o.Set.Brightest(o.frame, guns)
		return nil
	})
	top := 0.0
	for _, m := range most {
		top = max(top, m)
	}
	screen := tube.Screen{White: top / math.Exp2(r.Exposure)}
	list := make([]*image.RGBA, len(r.Outcomes))
	_ = each(len(list), func(i int) error {
		o := &r.Outcomes[i]
		list[i] = screen.Picture(&o.Set, o.frame, guns)
		return nil
	})
	return list
}

func (r *Result) layout(p *pager) {
	p.paragraph(r.Title(), p.title)
	p.paragraph(r.Conditions(), p.quiet)
	p.y += p.space
	tile := (p.width - p.space*(r.Columns+1)) / r.Columns
	for i := 0; i < len(r.Outcomes); i += r.Columns {
		end := min(i+r.Columns, len(r.Outcomes))
		p.row(r, r.Outcomes[i:end], tile)
	}
	for _, n := range r.Notes() {
		p.paragraph(n, p.quiet)
		p.y += p.space / 2
	}
	p.y += p.space / 2
}

// paragraph sets text over the full width.
func (p *pager) paragraph(s string, st draw.Style) {
	h := len(p.v.Wrap(s, p.width-2*p.space, 0, st)) * p.v.LineHeight(st)
	if !p.dry {
		p.v.Text(image.Rect(p.space, p.y, p.width-p.space, p.y+h), s, st)
	}
	p.y += h
}

// row sets tiles side by side: heads above, pictures, figures below.
func (p *pager) row(r *Result, list []Outcome, tile int) {
	left := func(i int) int { return p.space + i*(tile+p.space) }
	heads, top := 0, p.y
	for i := range list {
		o := &list[i]
		y := p.block(left(i), top, tile, o.Name, p.head)
		if o.Match != NoMatter {
			y = p.block(left(i), y, tile, o.Match.String(), p.label)
		}
		heads = max(heads, y-top)
	}
	p.y += heads + p.space/4
	height := int(math.Round(float64(tile) / r.Aspect.Float64()))
	if !p.dry {
		for i := range list {
			box := image.Rect(left(i), p.y, left(i)+tile, p.y+height)
			line, ink := max(1, p.width/720), draw.Quiet
			if list[i].Match == Matched {
				line, ink = max(2, p.width/200), draw.Ink
			}
			p.v.Frame(box.Inset(-line), line, ink)
			p.v.Fill(box, color.Black)
			p.places = append(p.places, box)
		}
	}
	p.y += height + p.space/2
	bottom := p.y
	for i := range list {
		y := p.y
		for _, l := range r.Lines(&list[i]) {
			y = p.figure(left(i), y, tile, l)
		}
		bottom = max(bottom, y)
	}
	p.y = bottom + p.space
}

// block sets wrapped text in a column and returns where it ends.
func (p *pager) block(x, y, width int, s string, st draw.Style) int {
	h := len(p.v.Wrap(s, width, 0, st)) * p.v.LineHeight(st)
	if !p.dry {
		p.v.Text(image.Rect(x, y, x+width, y+h), s, st)
	}
	return y + h
}

// figure sets a label at the left and its value at the right, over more lines
// where one is too short.
func (p *pager) figure(x, y, width int, l Line) int {
	gap := p.space / 2
	taken := p.v.Width(l.Label, p.label) + gap
	h := p.v.LineHeight(p.label)
	if taken+p.v.Width(l.Value, p.text) > width && p.v.Width(l.Value, p.text) > width/2 && taken > width/2 {
		y = p.block(x, y, width, l.Label, p.label) // the value below it
		taken = 0
	}
	lines := len(p.v.Wrap(l.Value, width-taken, 0, p.text))
	if !p.dry {
		if taken > 0 {
			p.v.Text(image.Rect(x, y, x+width, y+h), l.Label, p.label)
		}
		p.v.Text(image.Rect(x+taken, y, x+width, y+lines*h), l.Value, p.text)
	}
	return y + max(1, lines)*h
}
