package pixfmt

import (
	"image"
	"image/color"
)

// Paletted returns an indexed picture as the image package knows it. It must
// have no more than [MaxColors] in its palette.
func (x *Indexed) Paletted() *image.Paletted {
	p := &image.Paletted{
		Pix:     make([]uint8, 0, x.Width()*x.Height()),
		Stride:  x.Width(),
		Rect:    image.Rect(0, 0, x.Width(), x.Height()),
		Palette: make(color.Palette, len(x.Palette)),
	}
	for i, c := range x.Palette {
		p.Palette[i] = color.RGBA{c[0], c[1], c[2], 255}
	}
	for _, n := range x.Lines {
		for _, i := range x.Rows[n] {
			p.Pix = append(p.Pix, uint8(i))
		}
	}
	return p
}

// RGBA returns an indexed picture as an opaque one without a palette.
func (x *Indexed) RGBA() *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, x.Width(), x.Height()))
	for j, n := range x.Lines {
		line := m.Pix[j*m.Stride:]
		for i, v := range x.Rows[n] {
			c, p := x.Palette[v], line[4*i:4*i+4]
			p[0], p[1], p[2], p[3] = c[0], c[1], c[2], 255
		}
	}
	return m
}

// RGBA returns rows of 8-bit codes as an opaque picture.
func (r *RGBRows) RGBA() *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, r.Width(), len(r.Lines)))
	r.fill(m.Pix, m.Stride, func(dst []byte, c *[3][]uint16) {
		for i, v := range c[0] {
			p := dst[4*i : 4*i+4]
			p[0], p[1], p[2], p[3] = uint8(v), uint8(c[1][i]), uint8(c[2][i]), 255
		}
	})
	return m
}

// RGBA64 returns rows of 16-bit codes as an opaque picture.
func (r *RGBRows) RGBA64() *image.RGBA64 {
	m := image.NewRGBA64(image.Rect(0, 0, r.Width(), len(r.Lines)))
	r.fill(m.Pix, m.Stride, func(dst []byte, c *[3][]uint16) {
		for i, v := range c[0] {
			p := dst[8*i : 8*i+8]
			for k, x := range [...]uint16{v, c[1][i], c[2][i], 0xffff} {
				p[2*k], p[2*k+1] = uint8(x>>8), uint8(x) // big endian, as package image has it
			}
		}
	})
	return m
}

// fill packs the rows into the lines of a picture, each distinct one once.
func (r *RGBRows) fill(pix []byte, stride int, pack func(dst []byte, c *[3][]uint16)) {
	first := make(map[int32]int)
	for j, n := range r.Lines {
		line := pix[j*stride : (j+1)*stride]
		if at, ok := first[n]; ok {
			copy(line, pix[at*stride:(at+1)*stride])
			continue
		}
		first[n] = j
		pack(line, &r.Rows[n])
	}
}
