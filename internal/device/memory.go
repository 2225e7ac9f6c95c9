package device

import "backporch/internal/pixfmt"

// remember declares the memory of a device of our own making again, after a
// change of its colors.
func (p *Profile) remember() {
	if p.Clocks == nil || !p.Color.whole() && len(p.Color.Fixed) == 0 {
		return
	}
	p.Framebuffer, p.Tiles = framebufferOf(p.Color), tilesOf(p.Color)
}

// framebufferOf is how a device of such colors keeps a picture, common practice:
// in indexes of as few bits as tell its colors at once apart, else in words.
func framebufferOf(c Color) *pixfmt.Framebuffer {
	word := c.word()
	for _, bits := range []int{1, 2, 4, 8} {
		if n := c.indexed(); n <= 1<<bits {
			return &pixfmt.Framebuffer{Bits: bits, HighFirst: true, Palette: word}
		}
	}
	return &pixfmt.Framebuffer{Color: *word}
}

// word is how a color of the device stands in memory; nil where its colors are
// fixed.
func (c Color) word() *pixfmt.ColorWord {
	if len(c.Fixed) > 0 {
		return nil
	}
	w := wordOf(c.Bits)
	return &w
}

// tilesOf is how a device of such colors keeps a picture as tiles; nil where it
// has more colors at once than pixels of a tile can tell apart. Words and budget
// are of our own making: those of a real device belong into its profile.
func tilesOf(c Color) *pixfmt.TileSet {
	n := c.indexed()
	if n > 256 {
		return nil
	}
	t := &pixfmt.TileSet{
		Bits: 4, Packed: true, HighFirst: true, Tiles: 1024, Palettes: (n + 15) / 16, Palette: c.word(),
		// "tttttttttttppphv"
		Map: pixfmt.MapWord{Bytes: 2, Tile: pixfmt.BitField{Shift: 5, Bits: 11}, Palette: pixfmt.BitField{Shift: 2, Bits: 3},
			FlipX: pixfmt.BitField{Shift: 1, Bits: 1}, FlipY: pixfmt.BitField{Shift: 0, Bits: 1}},
	}
	if t.Palettes > 8 || t.Palettes > 1 && len(c.Fixed) > 0 {
		t.Bits, t.Packed, t.HighFirst, t.Palettes = 8, false, false, 1
	}
	return t
}
