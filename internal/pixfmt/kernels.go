package pixfmt

import "encoding/binary"

// The kernels pack or unpack one row. They are given slices of exact length:
// bytes as the section's stride says, codes as the chroma says. Each unpacks
// exactly what its twin packs; bits that the layout leaves unused are zero when
// packed and ignored when unpacked.

func packBytes(dst []byte, v []uint16) {
	dst = dst[:len(v)]
	for i, c := range v {
		dst[i] = byte(c)
	}
}

func unpackBytes(v []uint16, src []byte) {
	v = v[:len(src)]
	for i, b := range src {
		v[i] = uint16(b)
	}
}

func packWords(dst []byte, v []uint16) {
	for i, c := range v {
		binary.LittleEndian.PutUint16(dst[2*i:], c)
	}
}

func unpackWords(v []uint16, src []byte) {
	for i := range v {
		v[i] = binary.LittleEndian.Uint16(src[2*i:])
	}
}

func packPairs(dst []byte, c *[3][]uint16) {
	cb, cr := c[1], c[2][:len(c[1])]
	for i, b := range cb {
		d := dst[2*i : 2*i+2]
		d[0], d[1] = byte(b), byte(cr[i])
	}
}

func unpackPairs(c *[3][]uint16, src []byte) {
	for i := range c[1] {
		c[1][i], c[2][i] = uint16(src[2*i]), uint16(src[2*i+1])
	}
}

func packUYVY(dst []byte, c *[3][]uint16) {
	y, cb, cr := c[0], c[1], c[2][:len(c[1])]
	for i, b := range cb {
		d, l := dst[4*i:4*i+4], y[2*i:2*i+2]
		d[0], d[1], d[2], d[3] = byte(b), byte(l[0]), byte(cr[i]), byte(l[1])
	}
}

func unpackUYVY(c *[3][]uint16, src []byte) {
	for i := range c[1] {
		s := src[4*i : 4*i+4]
		c[1][i], c[0][2*i], c[2][i], c[0][2*i+1] = uint16(s[0]), uint16(s[1]), uint16(s[2]), uint16(s[3])
	}
}

func packYUYV(dst []byte, c *[3][]uint16) {
	y, cb, cr := c[0], c[1], c[2][:len(c[1])]
	for i, b := range cb {
		d, l := dst[4*i:4*i+4], y[2*i:2*i+2]
		d[0], d[1], d[2], d[3] = byte(l[0]), byte(b), byte(l[1]), byte(cr[i])
	}
}

func unpackYUYV(c *[3][]uint16, src []byte) {
	for i := range c[1] {
		s := src[4*i : 4*i+4]
		c[0][2*i], c[1][i], c[0][2*i+1], c[2][i] = uint16(s[0]), uint16(s[1]), uint16(s[2]), uint16(s[3])
	}
}

// pack210 packs groups of six samples into four words of three, in the order
// Cb Y Cr Y of the interface: {Cb0 Y0 Cr0} {Y1 Cb2 Y2} {Cr2 Y3 Cb4} {Y4 Cr4 Y5},
// the first in bits 0 to 9. The rest of the last group and the padding are zero.
func pack210(dst []byte, c *[3][]uint16) {
	y, cb, cr := c[0], c[1], c[2]
	at := 0
	word := func(a, b, c uint16) {
		binary.LittleEndian.PutUint32(dst[at:], uint32(a)|uint32(b)<<10|uint32(c)<<20)
		at += 4
	}
	i := 0 // of the pair
	for ; i+3 <= len(cb); i += 3 {
		l, b, r := y[2*i:2*i+6], cb[i:i+3], cr[i:i+3]
		word(b[0], l[0], r[0])
		word(l[1], b[1], l[2])
		word(r[1], l[3], b[2])
		word(l[4], r[2], l[5])
	}
	switch len(cb) - i {
	case 1:
		word(cb[i], y[2*i], cr[i])
		word(y[2*i+1], 0, 0)
	case 2:
		word(cb[i], y[2*i], cr[i])
		word(y[2*i+1], cb[i+1], y[2*i+2])
		word(cr[i+1], y[2*i+3], 0)
	}
	clear(dst[at:])
}

func unpack210(c *[3][]uint16, src []byte) {
	at, shift := 0, 0
	next := func() uint16 {
		v := uint16(binary.LittleEndian.Uint32(src[at:])>>shift) & 0x3ff
		if shift += 10; shift == 30 {
			at, shift = at+4, 0
		}
		return v
	}
	for i := range c[1] {
		c[1][i] = next()
		c[0][2*i] = next()
		c[2][i] = next()
		c[0][2*i+1] = next()
	}
}

func packRGB24(dst []byte, c *[3][]uint16) {
	r, g, b := c[0], c[1][:len(c[0])], c[2][:len(c[0])]
	for i, v := range r {
		d := dst[3*i : 3*i+3]
		d[0], d[1], d[2] = byte(v), byte(g[i]), byte(b[i])
	}
}

func unpackRGB24(c *[3][]uint16, src []byte) {
	for i := range c[0] {
		c[0][i], c[1][i], c[2][i] = uint16(src[3*i]), uint16(src[3*i+1]), uint16(src[3*i+2])
	}
}

func pack565(dst []byte, c *[3][]uint16) {
	for i, r := range c[0] {
		binary.LittleEndian.PutUint16(dst[2*i:], r<<11|c[1][i]<<5|c[2][i])
	}
}

func unpack565(c *[3][]uint16, src []byte) {
	for i := range c[0] {
		v := binary.LittleEndian.Uint16(src[2*i:])
		c[0][i], c[1][i], c[2][i] = v>>11, v>>5&63, v&31
	}
}

func pack555(dst []byte, c *[3][]uint16) {
	for i, r := range c[0] {
		binary.LittleEndian.PutUint16(dst[2*i:], r<<10|c[1][i]<<5|c[2][i])
	}
}

func unpack555(c *[3][]uint16, src []byte) {
	for i := range c[0] {
		v := binary.LittleEndian.Uint16(src[2*i:])
		c[0][i], c[1][i], c[2][i] = v>>10&31, v>>5&31, v&31
	}
}
