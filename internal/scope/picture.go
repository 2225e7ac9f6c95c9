package scope

import (
	"image"
	"image/color"

	"backporch/internal/composite"
	"backporch/internal/draw"
)

// Colors. All that matters is told apart by its darkness: paper, then the
// grid, then named levels and targets, then letters and the trace.
var (
	paper = color.RGBA{0xff, 0xff, 0xff, 0xff}
	field = color.RGBA{0xfb, 0xfa, 0xf6, 0xff} // behind the trace
	grid  = color.RGBA{0xcf, 0xc9, 0xba, 0xff}
	mark  = color.RGBA{0xa8, 0x5a, 0x16, 0xff} // named levels, targets
	ink   = color.RGBA{0x12, 0x1c, 0x46, 0xff}
)

// A Picture is what is drawn, before it is pixels or SVG.
type Picture struct {
	Width, Height int
	Title         string
	Subtitle      string
	Notes         string // below the picture
	items         []item // from the back to the front
}

// An item is one thing on a picture: exactly one of the parts is set.
type item struct {
	area   *areaItem
	text   *textItem
	stroke *strokeItem
	trace  *traceItem
}

type areaItem struct {
	r image.Rectangle
	c color.RGBA
}

// textItem is text of one line.
type textItem struct {
	box  image.Rectangle
	text string
	st   draw.Style
}

// strokeItem is lines of one kind within a box.
type strokeItem struct {
	box   image.Rectangle
	paths [][]point
	half  int32 // of the thickness
	c     color.RGBA
}

// traceItem is the trace within a box: paths, each of which stands for some
// that are alike.
type traceItem struct {
	box     image.Rectangle
	half    int32
	sweep   bool // x never falls along a path
	paths   [][]point
	weights []int
}

func (p *Picture) fill(r image.Rectangle, c color.RGBA) {
	p.items = append(p.items, item{area: &areaItem{r, c}})
}

func (p *Picture) write(box image.Rectangle, text string, st draw.Style) {
	if text != "" {
		p.items = append(p.items, item{text: &textItem{box, text, st}})
	}
}

// Draw draws a wave. Errors say which option the wave cannot fulfill.
func Draw(w *composite.Wave, o Options) (*Picture, error) {
	s, err := newSetUp(w, o)
	if err != nil {
		return nil, err
	}
	if s.View == Vector {
		return s.vector(), nil
	}
	return s.waveform(), nil
}

// A page is a picture being laid out. Sizes are in units of 1/1080 of its
// width.
type page struct {
	*Picture
	canvas *draw.Canvas // measures only
	y      int          // how far it is filled
}

func newPage(s *setUp) *page {
	return &page{Picture: &Picture{Width: s.Width, Title: s.Title}, canvas: draw.New(1, 1, paper)}
}

// px is a length in pixels, at least one.
func (p *page) px(units int) int { return max(1, (units*p.Width+usualWidth/2)/usualWidth) }

// style is a style of text; sizes in units.
func (p *page) style(units float64) draw.Style {
	return draw.Style{Size: units * float64(p.Width) / usualWidth, Color: draw.Ink}
}

// half is half of a thickness, in 1/256 pixel.
func (p *page) half(units int32, least int32) int32 {
	return max(units*128*int32(p.Width)/usualWidth, least*128)
}

// Text sizes in units. At 390 pixels across the smallest is 9 of them.
const (
	titleSize = 38
	textSize  = 28
	smallSize = 25
	space     = 22
)

// head writes the title and the subtitle.
func (p *page) head(title, subtitle string) {
	p.y = p.px(space)
	bold := p.style(titleSize)
	bold.Bold = true
	p.Title, p.Subtitle = title, subtitle
	p.paragraph(title, bold, 1)
	quiet := p.style(textSize)
	quiet.Color = draw.Quiet
	p.paragraph(subtitle, quiet, 3)
	p.y += p.px(space / 2)
}

// foot writes the notes and ends the page.
func (p *page) foot(notes string) {
	p.y += p.px(space / 2)
	p.Notes = notes
	p.paragraph(notes, p.style(smallSize), 5)
	p.Height = p.y + p.px(space)
	p.items = append([]item{{area: &areaItem{image.Rect(0, 0, p.Width, p.Height), paper}}}, p.items...)
}

// paragraph writes lines of text across the page.
func (p *page) paragraph(text string, st draw.Style, most int) {
	x, h := p.px(space), p.canvas.LineHeight(st)
	for _, line := range p.canvas.Wrap(text, p.Width-2*x, most, st) {
		p.write(image.Rect(x, p.y, p.Width-x, p.y+h), line, st)
		p.y += h
	}
}
