package draw

import (
	"image"
	"image/color"
	"math"

	xdraw "golang.org/x/image/draw"
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
	bw, bh := float64(box.Dx()), float64(box.Dy())
	scale := min(bw/(float64(w)*shape), bh/float64(h))
	ow := max(1, min(box.Dx(), int(math.Round(float64(w)*shape*scale))))
	oh := max(1, min(box.Dy(), int(math.Round(float64(h)*scale))))
	x := box.Min.X + (box.Dx()-ow)/2
	y := box.Min.Y + (box.Dy()-oh)/2
	return image.Rect(x, y, x+ow, y+oh)
}

// Picture draws src into box as FitBox places it, smoothly scaled (Catmull-Rom,
// widened over the source when shrinking, so that fine lines turn gray and do
// not vanish), and returns where it stands.
func (v *Canvas) Picture(box image.Rectangle, src image.Image, shape float64) image.Rectangle {
	b := src.Bounds()
	r := FitBox(box, b.Dx(), b.Dy(), shape)
	if !r.Empty() {
		scaleInto(v.img, r, src)
	}
	return r
}

// scaleInto scales src to r of dst. It writes only within r, so that several
// may work on one image at once where their rectangles are apart.
func scaleInto(dst *image.RGBA, r image.Rectangle, src image.Image) {
	if p, ok := src.(*image.Paletted); ok {
		src = unpaletted(p)
	}
	xdraw.CatmullRom.Scale(dst, r, src, src.Bounds(), xdraw.Over, nil)
}

// unpaletted looks every pixel up once; the scaler would do so through the
// general interface, several times slower.
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
