package draw

import (
	"image"
	"image/color"
	"image/draw"
	"math"
)

// FitBox returns the largest rectangle in the middle of box that shows a
// picture of w by h pixels of that shape (the width of a pixel over its height;
// 0 means 1) undistorted. It is empty if box or the picture is, or if the shape
// is negative or not finite, and is never less than a pixel otherwise.
func FitBox(box image.Rectangle, w, h int, shape float64) image.Rectangle {
	if shape == 0 {
		shape = 1
	}
	if box.Empty() || w < 1 || h < 1 || !(shape > 0) || math.IsInf(shape, 0) {
		return image.Rectangle{}
	}
	// Products and quotients alone, without sums: nothing that a processor could
	// fuse, so the same rectangle everywhere.
	bw, bh := float64(box.Dx()), float64(box.Dy())
	scale := min(bw/(float64(w)*shape), bh/float64(h))
	ow := max(1, min(box.Dx(), int(math.Round(float64(w)*shape*scale))))
	oh := max(1, min(box.Dy(), int(math.Round(float64(h)*scale))))
	x := box.Min.X + (box.Dx()-ow)/2
	y := box.Min.Y + (box.Dy()-oh)/2
	return image.Rect(x, y, x+ow, y+oh)
}

// Picture draws src into box as FitBox places it and returns where it stands.
// Each pixel of the page is the mean of the area of src that it covers, so fine
// lines turn gray and do not vanish. It is reckoned in integers: the same page
// on every machine.
func (v *Canvas) Picture(box image.Rectangle, src image.Image, shape float64) image.Rectangle {
	b := src.Bounds()
	r := FitBox(box, b.Dx(), b.Dy(), shape)
	if !r.Empty() {
		scaleInto(v.img, r, src)
	}
	return r
}

// scaleInto scales src to r of dst, over what is there. It writes only within
// r and the bounds of dst, so that several may work on one image at once where
// their rectangles are apart.
func scaleInto(dst *image.RGBA, r image.Rectangle, src image.Image) {
	from := asRGBA(src)
	// First across: each row of the source in r.Dx() sums, whose weights add up
	// to the source's width; then down alike.
	w, h := from.Rect.Dx(), from.Rect.Dy()
	across, down := covers(w, r.Dx()), covers(h, r.Dy())
	total := uint64(w) * uint64(h)
	row, at := make([]uint32, 4*r.Dx()), -1 // the sums of row at of the source
	sums := make([]uint64, 4*r.Dx())
	for j, c := range down {
		clear(sums)
		for k, weight := range c.weights {
			if y := c.first + k; y != at { // neighbors share the row between them
				sumRow(row, from.Pix[y*from.Stride:], across)
				at = y
			}
			for i, v := range row {
				sums[i] += uint64(v) * uint64(weight)
			}
		}
		for i := range r.Dx() {
			p := image.Pt(r.Min.X+i, r.Min.Y+j)
			if p.In(dst.Rect) {
				over(dst.Pix[dst.PixOffset(p.X, p.Y):], sums[4*i:4*i+4], total)
			}
		}
	}
}

// A cover is the run of source pixels under one pixel of the page, and how much
// of each lies under it.
type cover struct {
	first   int
	weights []uint32
}

// covers returns the covers of n source pixels by m. In units of 1/m of a source
// pixel a pixel of the page is n wide, so the weights of each add up to n.
func covers(n, m int) []cover {
	list := make([]cover, m)
	weights := make([]uint32, 0, n+m) // of all: each edge but the last splits one pixel
	for i := range list {
		from, to := i*n, (i+1)*n
		first, start := from/m, len(weights)
		for k := first; k*m < to; k++ {
			weights = append(weights, uint32(min(to, (k+1)*m)-max(from, k*m)))
		}
		list[i] = cover{first, weights[start:]}
	}
	return list
}

// sumRow sets sums to the weighted sums of a row of RGBA pixels.
func sumRow(sums []uint32, pix []uint8, across []cover) {
	for i, c := range across {
		p := pix[4*c.first:][:4*len(c.weights)]
		var r, g, b, a uint32
		for _, weight := range c.weights {
			r += uint32(p[0]) * weight
			g += uint32(p[1]) * weight
			b += uint32(p[2]) * weight
			a += uint32(p[3]) * weight
			p = p[4:]
		}
		s := sums[4*i:][:4]
		s[0], s[1], s[2], s[3] = r, g, b, a
	}
}

// over puts a pixel, given as sums that are total times its values (alpha is
// premultiplied), over what is at p; rounded half up.
func over(p []uint8, sums []uint64, total uint64) {
	ground := 255*total - sums[3] // how much of the ground shows
	for n := range 4 {
		v := (sums[n]*255 + uint64(p[n])*ground + 255*total/2) / (255 * total)
		p[n] = uint8(min(v, 255))
	}
}

// asRGBA returns src as an RGBA picture whose bounds begin at 0, 0.
func asRGBA(src image.Image) *image.RGBA {
	if p, ok := src.(*image.Paletted); ok {
		src = unpaletted(p)
	}
	b := src.Bounds()
	if p, ok := src.(*image.RGBA); ok {
		return &image.RGBA{Pix: p.Pix, Stride: p.Stride, Rect: image.Rect(0, 0, b.Dx(), b.Dy())}
	}
	out := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	draw.Draw(out, out.Rect, src, b.Min, draw.Src)
	return out
}

// unpaletted looks every pixel up once, in a table; the general way goes through
// an interface for each.
func unpaletted(p *image.Paletted) *image.RGBA {
	var table [256]color.RGBA // an index without an entry stays transparent
	for i, c := range p.Palette {
		if i < len(table) {
			table[i], _ = color.RGBAModel.Convert(c).(color.RGBA)
		}
	}
	out := image.NewRGBA(p.Rect)
	w := p.Rect.Dx()
	for y := range p.Rect.Dy() {
		row := p.Pix[y*p.Stride : y*p.Stride+w]
		line := out.Pix[y*out.Stride : y*out.Stride+4*w]
		for x, i := range row {
			c := table[i]
			line[4*x], line[4*x+1], line[4*x+2], line[4*x+3] = c.R, c.G, c.B, c.A
		}
	}
	return out
}
