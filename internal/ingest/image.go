package ingest

import (
	"image"
	"image/color"

	"backporch/internal/pixfmt"
)

// deep reports whether colors of a model have more than 8 bits.
func deep(m color.Model) bool {
	switch m {
	case color.RGBA64Model, color.NRGBA64Model, color.Gray16Model:
		return true
	}
	return false
}

// imageCodes returns the R'G'B' codes of a picture, of 8 or 16 bits.
func imageCodes(m image.Image, deep bool) *pixfmt.Codes {
	b := m.Bounds()
	c := pixfmt.NewCodes(b.Dx(), b.Dy(), 1, 1)
	if p, ok := m.(*image.RGBA); ok && !deep {
		for at := range c.Planes[0] {
			i := at/b.Dx()*p.Stride + at%b.Dx()*4
			c.Planes[0][at], c.Planes[1][at], c.Planes[2][at] = uint16(p.Pix[i]), uint16(p.Pix[i+1]), uint16(p.Pix[i+2])
		}
		return c
	}
	if p, ok := m.(*image.Paletted); ok && !deep {
		var colors [256][3]uint16
		for i, k := range p.Palette {
			r, g, b, _ := k.RGBA()
			colors[i] = [3]uint16{uint16(r >> 8), uint16(g >> 8), uint16(b >> 8)}
		}
		for at := range c.Planes[0] {
			k := colors[p.Pix[at/b.Dx()*p.Stride+at%b.Dx()]]
			c.Planes[0][at], c.Planes[1][at], c.Planes[2][at] = k[0], k[1], k[2]
		}
		return c
	}
	shift := 8
	if deep {
		shift = 0
	}
	for y := range b.Dy() {
		for x := range b.Dx() {
			red, green, blue, _ := m.At(b.Min.X+x, b.Min.Y+y).RGBA()
			at := y*b.Dx() + x
			c.Planes[0][at], c.Planes[1][at], c.Planes[2][at] = uint16(red>>shift), uint16(green>>shift), uint16(blue>>shift)
		}
	}
	return c
}
