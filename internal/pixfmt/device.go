package pixfmt

// A BitField is a part of a word: Bits wide, Shift bits above the least one.
// Bits 0 is a field that the word does not have.
type BitField struct{ Shift, Bits int }

// A ColorWord says how a color stands in memory: a word of 1 to 4 bytes with a
// field for each of R', G' and B', of which all ones is full level.
type ColorWord struct {
	Bytes     int
	BigEndian bool
	Fields    [3]BitField // R', G', B'
}

// A Framebuffer says how a picture stands in memory row by row, top row first,
// the leftmost pixel first.
type Framebuffer struct {
	Bits      int        // of an index: 1, 2, 4 or 8; 0: every pixel is a Color
	HighFirst bool       // of indexes smaller than a byte the leftmost is in the high bits
	Color     ColorWord  // of a pixel, when Bits is 0
	Palette   *ColorWord // of a palette entry, when Bits is not; nil: the device's palette is fixed
	Align     int        // rows begin at multiples of so many bytes; 0 and 1: anywhere
}

// A TileSet says how a picture is made of tiles of 8 by 8 pixels, and how the
// tiles, the map that places them and their palettes stand in memory.
//
// A tile takes 8*Bits bytes. In bit planes a byte is one row of one plane, its
// highest bit the leftmost pixel; plane 0 has the lowest bits of the pixels.
// Interleave planes form a group: row 0 of each of its planes, then row 1 of
// each, to row 7; then comes the next group. So 4 bits with Interleave 0 are
// row 0 of planes 0, 1, 2, 3, row 1 of planes 0, 1, 2, 3 and so on; with 2, all
// rows of planes 0 and 1 in turn and then all rows of planes 2 and 3; with 1,
// plane after plane.
//
// The map is row by row from the top left. A palette takes 1<<Bits entries,
// those that no pixel uses being 0. Where the colors of the device are fixed, an
// entry is one byte, the device's own number of the color; and with a single
// palette that has room for all of them the pixels are those numbers
// themselves, without palette entries.
type TileSet struct {
	Bits       int  // of a pixel: 2, 4 or 8
	Packed     bool // pixels one after the other, row by row; else bit planes
	HighFirst  bool // of packed pixels in a byte the leftmost is in the high bits
	Interleave int  // bit planes that take turns row by row; 0: all of them
	Map        MapWord
	Palette    *ColorWord // of a palette entry; nil: the device's colors are fixed
	Tiles      int        // how many different ones there is room for
	Palettes   int        // how many palettes of 1<<Bits colors; at least 1
	Shared     bool       // color 0 is the same in all palettes
}

// A MapWord is an entry of a tile map: which tile, in which palette, mirrored
// how.
type MapWord struct {
	Bytes                       int // 1 or 2
	BigEndian                   bool
	Tile, Palette, FlipX, FlipY BitField
}
