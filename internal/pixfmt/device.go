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

// A Framebuffer says how a picture stands in memory row by row.
type Framebuffer struct {
	Bits      int        // of an index: 1, 2, 4 or 8; 0: every pixel is a Color
	HighFirst bool       // of indexes smaller than a byte the leftmost is in the high bits
	Color     ColorWord  // of a pixel, when Bits is 0
	Palette   *ColorWord // of a palette entry, when Bits is not; nil: the device's palette is fixed
	Align     int        // rows begin at multiples of so many bytes; 0 and 1: anywhere
}

// A TileSet says how a picture is made of tiles of 8 by 8 pixels.
type TileSet struct {
	Bits      int  // of a pixel: 2, 4 or 8
	Packed    bool // pixels one after the other (4 bits only); else bit planes
	HighFirst bool // of packed pixels the left one is in the high half of the byte
	Map       MapWord
	Palette   *ColorWord // of a palette entry; nil: the device's colors are fixed
	Tiles     int        // how many different ones there is room for
	Palettes  int        // how many palettes of 1<<Bits colors; at least 1
	Shared    bool       // color 0 is the same in all palettes
}

// A MapWord is an entry of a tile map: which tile, in which palette, mirrored
// how.
type MapWord struct {
	Bytes                       int // 1 or 2
	BigEndian                   bool
	Tile, Palette, FlipX, FlipY BitField
}
