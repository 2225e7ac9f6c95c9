package scope

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"image/color"
	"io"
	"math"
	"strings"

	"backporch/internal/draw"
)

// mostPoints is how many points of a trace an SVG holds as lines, about 700
// kB. A trace of more is written as runs of equal darkness.
const mostPoints = 90_000

// WriteSVG writes the picture as SVG 1.1. A sweep of few different paths is
// lines, that can be enlarged without end; one of many, and a vectorscope, is
// what the picture of pixels has, in a few steps of darkness. It returns the
// first error of w.
func (p *Picture) WriteSVG(w io.Writer) error {
	b := &svg{w: bufio.NewWriter(w), canvas: draw.New(1, 1, paper)}
	b.printf("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%d\" height=\"%d\" viewBox=\"0 0 %d %d\" font-family=\"Helvetica, Arial, Liberation Sans, sans-serif\">\n", p.Width, p.Height, p.Width, p.Height)
	b.printf("<title>%s</title>\n<desc>%s</desc>\n", escape(p.Title), escape(joinedWith(". ", p.Subtitle, p.Notes)))
	for i, it := range p.items {
		switch {
		case it.area != nil:
			r := it.area.r
			b.printf("<rect x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\" fill=\"%s\"/>\n", r.Min.X, r.Min.Y, r.Dx(), r.Dy(), hex(it.area.c))
		case it.text != nil:
			b.text(it.text)
		case it.stroke != nil:
			b.stroke(it.stroke)
		case it.trace != nil:
			b.trace(it.trace, i)
		}
	}
	b.printf("</svg>\n")
	if b.err != nil {
		return b.err
	}
	return b.w.Flush()
}

// svg keeps the first error.
type svg struct {
	w      *bufio.Writer
	canvas *draw.Canvas // measures only
	err    error
}

func (b *svg) printf(format string, args ...any) {
	if b.err == nil {
		_, b.err = fmt.Fprintf(b.w, format, args...)
	}
}

func escape(text string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(text)) // a Builder takes everything
	return b.String()
}

func hex(c color.Color) string {
	r, g, b, _ := c.RGBA()
	return fmt.Sprintf("#%02x%02x%02x", r>>8, g>>8, b>>8)
}

// text writes a line of text, as wide as it is on the picture of pixels whatever
// font there is. Letters reach from about 0.75 of their size above
// the base line to 0.2 below it, in the middle of the line.
func (b *svg) text(t *textItem) {
	size := t.st.Size
	line := size * 1.2
	x, anchor := float64(t.box.Min.X), "start"
	switch t.st.Align {
	case draw.Center:
		x, anchor = float64(t.box.Min.X+t.box.Max.X)/2, "middle"
	case draw.Right:
		x, anchor = float64(t.box.Max.X), "end"
	}
	y := float64(t.box.Min.Y) + size*0.95
	if t.st.VAlign == draw.Middle {
		y = float64(t.box.Min.Y+t.box.Max.Y)/2 - line/2 + size*0.95
	}
	weight := ""
	if t.st.Bold {
		weight = " font-weight=\"bold\""
	}
	c := t.st.Color
	if c == nil {
		c = draw.Ink
	}
	b.printf("<text x=\"%.1f\" y=\"%.1f\" font-size=\"%.1f\" text-anchor=\"%s\" textLength=\"%d\" lengthAdjust=\"spacingAndGlyphs\"%s fill=\"%s\">%s</text>\n",
		x, y, size, anchor, b.canvas.Width(t.text, t.st), weight, hex(c), escape(t.text))
}

// stroke writes the lines of a graticule.
func (b *svg) stroke(k *strokeItem) {
	b.printf("<g transform=\"translate(%d %d) scale(.1)\" fill=\"none\" stroke=\"%s\" stroke-width=\"%d\" stroke-linejoin=\"round\"><path d=\"",
		k.box.Min.X, k.box.Min.Y, hex(k.c), tenths(2*k.half))
	for _, path := range k.paths {
		b.path(path)
	}
	b.printf("\"/></g>\n")
}

// tenths turns 1/256 pixel into tenths of a pixel.
func tenths(v int32) int { return int(math.Floor(float64(v)*10/256 + 0.5)) }

// path writes a path in steps of a tenth of a pixel, leaving out what lies on
// a straight line.
func (b *svg) path(p []point) {
	p = straighten(p)
	x, y := tenths(p[0].x), tenths(p[0].y)
	b.printf("M%d %d", x, y)
	b.printf("l")
	for _, q := range p[1:] {
		nx, ny := tenths(q.x), tenths(q.y)
		b.printf("%d", nx-x)
		if ny-y >= 0 {
			b.printf(" ")
		}
		b.printf("%d ", ny-y)
		x, y = nx, ny
	}
}

// straighten leaves out the points that lie within a tenth of a pixel of the
// line between their neighbors: as many in a row as lie on one line.
func straighten(p []point) []point {
	if len(p) < 3 {
		return p
	}
	out := []point{p[0]}
	low, high := math.Inf(-1), math.Inf(1) // directions in which all points since the last one lie
	for i := 1; i < len(p); i++ {
		a := out[len(out)-1]
		dx, dy := float64(p[i].x-a.x), float64(p[i].y-a.y)
		const room = 12 // 1/256 pixel, to each side
		if dx > 0 {
			slope := dy / dx
			if slope >= low && slope <= high {
				low, high = max(low, (dy-room)/dx), min(high, (dy+room)/dx)
				continue
			}
		}
		if p[i-1] != a {
			out = append(out, p[i-1])
			i--
			low, high = math.Inf(-1), math.Inf(1)
			continue
		}
		out = append(out, p[i])
		low, high = math.Inf(-1), math.Inf(1)
	}
	return append(out, p[len(p)-1])
}

// trace writes the trace of a box, cut off at its edges.
func (b *svg) trace(t *traceItem, id int) {
	if !t.sweep { // lines do not tell where the beam rests
		b.runs(t)
		return
	}
	total := 0
	plain := make([][]point, len(t.paths))
	for i, p := range t.paths {
		plain[i] = straighten(p)
		if total += len(plain[i]); total > mostPoints {
			b.runs(t)
			return
		}
	}
	b.printf("<clipPath id=\"c%d\"><rect x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\"/></clipPath>\n", id, t.box.Min.X, t.box.Min.Y, t.box.Dx(), t.box.Dy())
	// Half as thick as on the picture of pixels, so that the cycles of the
	// subcarrier stand apart.
	b.printf("<g clip-path=\"url(#c%d)\"><g transform=\"translate(%d %d) scale(.1)\" fill=\"none\" stroke=\"%s\" stroke-width=\"%d\" stroke-linejoin=\"round\">\n",
		id, t.box.Min.X, t.box.Min.Y, hex(ink), tenths(t.half))
	most := 1
	for _, w := range t.weights {
		most = max(most, w)
	}
	for i, p := range plain {
		if len(p) == 0 {
			continue
		}
		// As faint as one line among so many is on the picture of pixels.
		opacity := 0.85 - 0.5*float64(log2(int64(most))-log2(int64(t.weights[i])))/float64(octaves*256)
		b.printf("<path stroke-opacity=\"%.2f\" d=\"", opacity)
		b.path(p)
		b.printf("\"/>\n")
	}
	b.printf("</g></g>\n")
}

// steps of darkness.
const steps = 7

// runs writes the trace as upright runs of pixels of the same darkness.
func (b *svg) runs(t *traceItem) {
	m := t.mask()
	b.printf("<g transform=\"translate(%d %d)\" fill=\"none\" stroke=\"%s\" stroke-width=\"1.02\">\n", t.box.Min.X, t.box.Min.Y, hex(ink))
	step := func(x, y int) int { return (int(m.alpha[y*m.w+x])*steps + 127) / 255 }
	for level := 1; level <= steps; level++ {
		b.printf("<path stroke-opacity=\"%.2f\" d=\"", float64(level)/steps)
		for x := range m.w {
			for y := 0; y < m.h; y++ {
				if step(x, y) != level {
					continue
				}
				from := y
				for y < m.h && step(x, y) == level {
					y++
				}
				b.printf("M%d.5 %dv%d", x, from, y-from)
			}
		}
		b.printf("\"/>\n")
	}
	b.printf("</g>\n")
}
