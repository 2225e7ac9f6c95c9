package check

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"backporch/colorimetry"
	"backporch/internal/draw"
	"backporch/internal/measure"
)

// annotated is how wide the annotated picture is, in pixels of the page.
const annotated = 1120

// Annotated draws the capture with the outlines of what was measured in it. The
// numbers are those of the table of patches. Outlines are light within dark, so
// that they are seen on any level, also in gray.
func (r *Report) Annotated() image.Image {
	p := r.Request.Picture
	src := display(p)
	shape := r.shape()
	width := annotated
	height := int(math.Round(float64(width) * float64(p.Height) / (float64(p.Width) * shape)))
	v := draw.New(width, max(height, 1), draw.Ink)
	box := v.Picture(v.Bounds(), src, shape)
	x := func(c int) int { return box.Min.X + c*box.Dx()/p.Width }
	y := func(j int) int { return box.Min.Y + j*box.Dy()/p.Height }
	for n, m := range r.measured() {
		a := m.Area
		at := image.Rect(x(a.Min.X), y(a.Min.Y), max(x(a.Max.X), x(a.Min.X)+3), max(y(a.Max.Y), y(a.Min.Y)+3))
		v.Frame(at.Inset(-1), 1, draw.Ink)
		v.Frame(at, 1, draw.Paper)
		st := draw.Style{Size: 13, Bold: true, Align: draw.Center, VAlign: draw.Middle}
		text := fmt.Sprint(n + 1)
		w, h := v.Width(text, st)+8, v.LineHeight(st)+2
		middle := at.Min.Add(at.Max).Div(2)
		label := image.Rect(middle.X-w/2, middle.Y-h/2, middle.X-w/2+w, middle.Y-h/2+h)
		v.Fill(label.Inset(-1), draw.Ink)
		v.Fill(label, draw.Paper)
		v.Text(label, text, st)
	}
	return v.Image()
}

// shape is the width of a sample of the capture over its height, as the picture
// was found; where it was not, that of a screen of 4:3.
func (r *Report) shape() float64 {
	at := &r.Result.Place
	if s := at.DY / at.DX; r.placed() && s > 0.2 && s < 5 {
		return s
	}
	p := r.Request.Picture
	return 4.0 / 3 * float64(p.Height) / float64(p.Width)
}

// display turns a capture into what a screen shows.
func display(p *measure.Picture) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, p.Width, p.Height))
	for j := range p.Height {
		k := p.ChromaRow(j)
		luma, cb, cr := p.Row(colorimetry.Y, j), p.Row(colorimetry.CB, k), p.Row(colorimetry.CR, k)
		for i, v := range luma {
			c := min(i/p.Across, len(cb)-1)
			red, green, blue := colorimetry.Signal{Y: float64(v), CB: float64(cb[c]), CR: float64(cr[c])}.RGB()
			m.SetRGBA(i, j, color.RGBA{eight(red), eight(green), eight(blue), 255})
		}
	}
	return m
}

func eight(v float64) uint8 { return uint8(math.Floor(255*min(max(v, 0), 1) + 0.5)) }
