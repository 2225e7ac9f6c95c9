// Package pixfmt turns sampled frames into codes and codes into bytes, and
// back. It knows the byte layouts of raw video and the indexed picture of
// palette files; headers, containers and writing are the business of others.
//
// A frame is packed row by distinct row: the first line that shows a row packs
// it in place, every other line copies it from there. Nothing depends on the
// width of a row.
//
// Layouts are those of the Linux kernel's video pixel-format documents, and
// v210 as its users describe it: three 10-bit samples in each little-endian
// 32-bit word. That kernel text calls 4:2:2 chroma interstitial; here it is
// co-sited with even luma samples, ITU-R BT.601-5 table 2. The memory layout is
// the same.
package pixfmt

import (
	"fmt"

	"backporch/colorimetry"
	"backporch/pattern/frame"
)

// A Layout is how the samples of a picture lie in memory, top row first, with
// nothing between the rows but what the layout itself pads.
type Layout struct {
	Name         string // "uyvy"
	Title        string // "4:2:2, Cb Y Cr Y"
	Model        colorimetry.Model
	Bits         int // of the widest component
	Across, Down int // luma samples and rows to one of chroma
	sections     []section
}

// A section is a part of a picture whose rows follow each other in memory:
// the whole of it when samples are interleaved, else a plane.
type section struct {
	parts  []int               // components in it
	down   int                 // rows of the picture to one of the section
	stride func(width int) int // bytes of a row, of the picture's width
	pack   func(dst []byte, c *[3][]uint16)
	unpack func(c *[3][]uint16, src []byte)
}

// interleaved makes a layout of one section with all three components.
func interleaved(name, title string, m colorimetry.Model, bits, across int, stride func(int) int,
	pack func([]byte, *[3][]uint16), unpack func(*[3][]uint16, []byte)) *Layout {
	return &Layout{Name: name, Title: title, Model: m, Bits: bits, Across: across, Down: 1,
		sections: []section{{[]int{0, 1, 2}, 1, stride, pack, unpack}}}
}

// planar makes a layout of three planes, Y'CbCr in that order.
func planar(name, title string, bits, across, down int) *Layout {
	l := &Layout{Name: name, Title: title, Bits: bits, Across: across, Down: down}
	bytes := (bits + 7) / 8
	for i := range 3 {
		a, d := across, down
		if i == 0 {
			a, d = 1, 1
		}
		s := section{parts: []int{i}, down: d, stride: func(w int) int { return w / a * bytes }}
		if bytes == 1 {
			s.pack = func(dst []byte, c *[3][]uint16) { packBytes(dst, c[i]) }
			s.unpack = func(c *[3][]uint16, src []byte) { unpackBytes(c[i], src) }
		} else {
			s.pack = func(dst []byte, c *[3][]uint16) { packWords(dst, c[i]) }
			s.unpack = func(c *[3][]uint16, src []byte) { unpackWords(c[i], src) }
		}
		l.sections = append(l.sections, s)
	}
	return l
}

// semiPlanar is a plane of Y and one of Cb and Cr in turn, 4:2:0.
func semiPlanar(name, title string) *Layout {
	width := func(w int) int { return w }
	return &Layout{Name: name, Title: title, Bits: 8, Across: 2, Down: 2, sections: []section{
		{[]int{0}, 1, width, func(dst []byte, c *[3][]uint16) { packBytes(dst, c[0]) },
			func(c *[3][]uint16, src []byte) { unpackBytes(c[0], src) }},
		{[]int{1, 2}, 2, width, packPairs, unpackPairs},
	}}
}

func times(n int) func(int) int { return func(width int) int { return n * width } }

// stride210 is whole groups of 48 samples, 128 bytes each: 720 samples fill
// 1920 bytes exactly.
func stride210(width int) int { return (width + 47) / 48 * 128 }

// layouts in listing order.
var layouts = []*Layout{
	interleaved("uyvy", "4:2:2 8-bit, Cb Y Cr Y", colorimetry.YCbCr, 8, 2, times(2), packUYVY, unpackUYVY),
	interleaved("yuyv", "4:2:2 8-bit, Y Cb Y Cr", colorimetry.YCbCr, 8, 2, times(2), packYUYV, unpackYUYV),
	interleaved("v210", "4:2:2 10-bit, three samples in 32 bits", colorimetry.YCbCr, 10, 2, stride210, pack210, unpack210),
	planar("i420", "4:2:0 8-bit planes Y Cb Cr", 8, 2, 2),
	planar("i411", "4:1:1 8-bit planes Y Cb Cr", 8, 4, 1),
	planar("i422", "4:2:2 8-bit planes Y Cb Cr", 8, 2, 1),
	planar("i444", "4:4:4 8-bit planes Y Cb Cr", 8, 1, 1),
	semiPlanar("nv12", "4:2:0 8-bit, plane Y and plane Cb Cr"),
	planar("yuv420p10", "4:2:0 10-bit planes, 16-bit little-endian words", 10, 2, 2),
	planar("yuv422p10", "4:2:2 10-bit planes, 16-bit little-endian words", 10, 2, 1),
	planar("yuv444p10", "4:4:4 10-bit planes, 16-bit little-endian words", 10, 1, 1),
	interleaved("rgb24", "R G B, a byte each", colorimetry.RGB, 8, 1, times(3), packRGB24, unpackRGB24),
	interleaved("rgb565", "R G B 5:6:5 in 16 bits, little endian", colorimetry.RGB, 6, 1, times(2), pack565, unpack565),
	interleaved("rgb555", "R G B 5:5:5 in 16 bits, little endian", colorimetry.RGB, 5, 1, times(2), pack555, unpack555),
}

// Layouts returns the layouts in listing order. The slice is the caller's; the
// layouts are shared and must not be changed.
func Layouts() []*Layout { return append([]*Layout(nil), layouts...) }

// Lookup returns the layout of that name, or nil.
func Lookup(name string) *Layout {
	for _, l := range layouts {
		if l.Name == name {
			return l
		}
	}
	return nil
}

// Planar returns the layout of Y'CbCr planes of 8 or 10 bits with that chroma,
// or nil if there is none.
func Planar(bits, across, down int) *Layout {
	for _, l := range layouts {
		if len(l.sections) == 3 && l.Bits == bits && l.Across == across && l.Down == down {
			return l
		}
	}
	return nil
}

// Size returns the bytes of a picture of that many samples and rows.
func (l *Layout) Size(width, height int) (n int) {
	for _, s := range l.sections {
		n += s.stride(width) * (height / s.down)
	}
	return n
}

// fits reports whether a frame of that sampling has the layout's chroma.
func (l *Layout) fits(m frame.Sampling) bool {
	across, down := m.Step()
	return across == l.Across && down == l.Down
}

// pictureSize refuses sizes that the layout cannot have. The limit keeps a
// size read from a file from asking for all memory.
func (l *Layout) pictureSize(width, height int) error {
	const limit = 1 << 15
	switch {
	case width <= 0 || height <= 0 || width > limit || height > limit:
		return UnsupportedError(fmt.Sprintf("a picture of %d x %d samples; each side must be 1 to %d", width, height, limit))
	case width%l.Across != 0 || height%l.Down != 0:
		return UnsupportedError(fmt.Sprintf("%s of %d x %d samples; width must be a multiple of %d and height of %d", l.Name, width, height, l.Across, l.Down))
	}
	return nil
}
