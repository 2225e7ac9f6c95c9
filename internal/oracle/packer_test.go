package oracle

import (
	"encoding/binary"
	"math/rand/v2"
)

// A packer written from the words of the layouts alone, to judge the readers
// by; the module's own packing has no part in it.

// picture makes codes for a planar format: every sample another, so that a
// sample in the wrong place shows. Codes keep off the reserved ends.
func picture(p planar, w, h int, seed uint64) *Codes {
	r := rand.New(rand.NewPCG(seed, 1))
	top := 254
	if p.bytes == 2 {
		top = 1019
	}
	c := new(Codes)
	for i := range 3 {
		c.W[i], c.H[i] = p.size(i, w, h)
		c.Plane[i] = make([]uint16, c.W[i]*c.H[i])
		for j := range c.Plane[i] {
			c.Plane[i][j] = uint16(4 + r.IntN(top-4))
		}
	}
	return c
}

// pack returns the bytes of c in a format.
func pack(format string, c *Codes, w, h int) (b []byte) {
	a, cb, cr := c.Plane[0], c.Plane[1], c.Plane[2]
	switch format {
	case "uyvy422", "yuyv422", "yvyu422": // kernel documents, packed Y'CbCr: byte order as named
		for i := range w * h / 2 {
			u, v, y0, y1 := byte(cb[i]), byte(cr[i]), byte(a[2*i]), byte(a[2*i+1])
			switch format {
			case "uyvy422":
				b = append(b, u, y0, v, y1)
			case "yuyv422":
				b = append(b, y0, u, y1, v)
			case "yvyu422":
				b = append(b, y0, v, y1, u)
			}
		}
	case "nv12": // Y plane, then CB CR interleaved
		for _, v := range a {
			b = append(b, byte(v))
		}
		for i := range cb {
			b = append(b, byte(cb[i]), byte(cr[i]))
		}
	case "p010le": // as nv12, 16 bits, code in the upper ten (memory)
		for _, v := range a {
			b = binary.LittleEndian.AppendUint16(b, v<<6)
		}
		for i := range cb {
			b = binary.LittleEndian.AppendUint16(b, cb[i]<<6)
			b = binary.LittleEndian.AppendUint16(b, cr[i]<<6)
		}
	case "v210": // three codes a word at bits 0, 10, 20: Cb Y Cr Y ..., lines of 128 bytes per 48 samples
		for y := range h {
			var codes []uint32
			for x := range w / 2 {
				i := y*w/2 + x
				codes = append(codes, uint32(cb[i]), uint32(a[2*i]), uint32(cr[i]), uint32(a[2*i+1]))
			}
			for len(codes)%96 != 0 { // 48 samples are 96 codes are 32 words
				codes = append(codes, 0)
			}
			for i := 0; i < len(codes); i += 3 {
				b = binary.LittleEndian.AppendUint32(b, codes[i]|codes[i+1]<<10|codes[i+2]<<20)
			}
		}
	case "rgb24", "bgr24", "rgb0", "bgr0", "rgb565le", "rgb555le", "rgb8": // kernel documents, RGB
		for i := range a {
			r, g, bl := a[i], cb[i], cr[i]
			switch format {
			case "rgb24":
				b = append(b, byte(r), byte(g), byte(bl))
			case "bgr24":
				b = append(b, byte(bl), byte(g), byte(r))
			case "rgb0":
				b = append(b, byte(r), byte(g), byte(bl), 0)
			case "bgr0":
				b = append(b, byte(bl), byte(g), byte(r), 0)
			case "rgb565le":
				b = binary.LittleEndian.AppendUint16(b, r>>3<<11|g>>2<<5|bl>>3)
			case "rgb555le":
				b = binary.LittleEndian.AppendUint16(b, r>>3<<10|g>>3<<5|bl>>3)
			case "rgb8":
				b = append(b, byte(r>>5<<5|g>>5<<2|bl>>6))
			}
		}
	case "gbrp":
		for _, p := range [][]uint16{cb, cr, a} {
			for _, v := range p {
				b = append(b, byte(v))
			}
		}
	default: // planes Y, CB, CR
		for _, p := range c.Plane {
			for _, v := range p {
				if planars()[format].bytes == 2 {
					b = binary.LittleEndian.AppendUint16(b, v)
				} else {
					b = append(b, byte(v))
				}
			}
		}
	}
	return b
}

// upper returns how many bits of each component a format of few bits holds.
func upper(format string) [3]int {
	switch format {
	case "rgb565le":
		return [3]int{5, 6, 5}
	case "rgb555le":
		return [3]int{5, 5, 5}
	case "rgb8":
		return [3]int{3, 3, 2}
	}
	return [3]int{16, 16, 16}
}
