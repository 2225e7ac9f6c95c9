package pixfmt

import "fmt"

// TileSide is the width and height of a tile in pixels.
const TileSide = 8

// A Tile is 64 pixels, row by row from the top left. Each is the number of a
// color in the palette that the map gives the tile.
type Tile [TileSide * TileSide]uint8

// A Cell is a place of the map: which tile, in which palette, mirrored left to
// right (FlipX) or top to bottom (FlipY) or both.
type Cell struct {
	Tile, Palette int
	FlipX, FlipY  bool
}

// Tiled is a picture made of tiles.
type Tiled struct {
	Across, Down        int // tiles in a row of the map, and rows
	PadRight, PadBottom int // columns and rows of pixels that the picture does not have, filled with its color 0
	Tiles               []Tile
	Map                 []Cell     // row by row from the top left
	Palettes            [][]uint16 // the picture's numbers of their colors, up to the last in use
	ownCode             bool
}

// OwnNumbers reports whether pixels are the device's own numbers of colors, so
// that there are no palette entries to write.
func (t *Tiled) OwnNumbers() bool { return t.ownCode }

// Check refuses a tile set that cannot be.
func (s *TileSet) Check() error {
	bits := 8 * s.Map.Bytes
	if err := checkWord("a map word", s.Map.Bytes, 2, []namedField{
		{"the tile", s.Map.Tile, 1, bits}, {"the palette", s.Map.Palette, 0, bits}, {"the flip left to right", s.Map.FlipX, 0, 1}, {"the flip top to bottom", s.Map.FlipY, 0, 1},
	}); err != nil {
		return err
	}
	group := s.Group()
	switch {
	case s.Bits != 2 && s.Bits != 4 && s.Bits != 8:
		return UnsupportedError(fmt.Sprintf("tiles of %d bits a pixel; they can have 2, 4 or 8", s.Bits))
	case group < 1 || s.Bits%group != 0:
		return UnsupportedError(fmt.Sprintf("%d of %d bit planes in turn; it must be 0, or divide them", s.Interleave, s.Bits))
	case s.Packed && s.Interleave != 0:
		return UnsupportedError("packed pixels with bit planes in turn; leave one of them out")
	case s.Tiles < 1 || s.Tiles > 1<<s.Map.Tile.Bits:
		return UnsupportedError(fmt.Sprintf("room for %d tiles with %d bits for the tile in the map; it can be 1 to %d", s.Tiles, s.Map.Tile.Bits, 1<<s.Map.Tile.Bits))
	case s.Palettes < 1 || s.Palettes > 1<<s.Map.Palette.Bits:
		return UnsupportedError(fmt.Sprintf("%d palettes with %d bits for the palette in the map; there can be 1 to %d", s.Palettes, s.Map.Palette.Bits, 1<<s.Map.Palette.Bits))
	case s.Palette != nil:
		return s.Palette.Check()
	}
	return nil
}

// Group is how many bit planes take turns: Interleave, or all of them.
func (s *TileSet) Group() int {
	if s.Interleave == 0 {
		return s.Bits
	}
	return s.Interleave
}

// Make makes a picture of tiles. Each different tile is kept once; where the map
// can flip, mirrored ones count as the same. With one palette that has room for
// the whole palette of the picture, that is kept as it is. Else colors are
// shared out to palettes, in the order of the picture's palette within each;
// if color 0 is shared, it is color 0 of the picture, or, when the palettes
// cannot be filled so, the color that is in most tiles.
//
// A *[BudgetError] reports more tiles, palettes or colors in a tile than the
// device has.
func (s *TileSet) Make(x *Indexed) (*Tiled, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	if err := x.check(len(x.Palette)); err != nil {
		return nil, err
	}
	t := &Tiled{Across: (x.Width() + TileSide - 1) / TileSide, Down: (x.Height() + TileSide - 1) / TileSide}
	t.PadRight, t.PadBottom = t.Across*TileSide-x.Width(), t.Down*TileSide-x.Height()
	cut := t.cut(x)
	of := make([][]int, len(cut)) // palettes that have all colors of a tile
	if s.Palettes == 1 && len(x.Palette) <= 1<<s.Bits {
		own := make([]uint16, len(x.Palette))
		for i := range own {
			own[i] = uint16(i)
		}
		t.Palettes, t.ownCode = [][]uint16{own}, s.Palette == nil
		for i := range of {
			of[i] = []int{0}
		}
	} else {
		a, err := s.assign(cut, t.Across, len(x.Palette))
		if err != nil {
			return nil, err
		}
		t.Palettes, of = a.palettes(), a.of
	}
	if s.Palette == nil && !t.ownCode && len(x.Palette) > 256 {
		return nil, UnsupportedError(fmt.Sprintf("palettes of a device of %d fixed colors; their entries are bytes, for 256", len(x.Palette)))
	}
	t.dedupe(s, cut, of)
	if len(t.Tiles) > s.Tiles {
		return nil, &BudgetError{What: "different tiles", Needed: len(t.Tiles), Room: s.Tiles, Remedy: fewerTiles}
	}
	return t, nil
}

// A block is a tile of the picture's own numbers of colors.
type block [TileSide * TileSide]uint16

// cut returns the picture as blocks, row by row.
func (t *Tiled) cut(x *Indexed) []block {
	cut := make([]block, t.Across*t.Down)
	for j, n := range x.Lines {
		blocks := cut[j/TileSide*t.Across:]
		for i, v := range x.Rows[n] {
			blocks[i/TileSide][j%TileSide*TileSide+i%TileSide] = v
		}
	}
	return cut
}

// dedupe fills the map and the tiles.
func (t *Tiled) dedupe(s *TileSet, cut []block, of [][]int) {
	numbers := make([]map[uint16]uint8, len(t.Palettes))
	for i, p := range t.Palettes {
		numbers[i] = make(map[uint16]uint8, len(p))
		for k, v := range p {
			numbers[i][v] = uint8(k)
		}
	}
	var flips []Cell
	for i := range 4 {
		f := Cell{FlipX: i&1 != 0, FlipY: i&2 != 0}
		if (!f.FlipX || s.Map.FlipX.Bits > 0) && (!f.FlipY || s.Map.FlipY.Bits > 0) {
			flips = append(flips, f)
		}
	}
	known := make(map[Tile]int)
	t.Map = make([]Cell, len(cut))
	// find looks for a tile that shows the block in one of its palettes.
	find := func(b *block, of []int) (c Cell, ok bool) {
		for _, p := range of {
			pixels := number(b, numbers[p])
			for _, f := range flips {
				if n, ok := known[pixels.Flip(f.FlipX, f.FlipY)]; ok {
					return Cell{n, p, f.FlipX, f.FlipY}, true
				}
			}
		}
		return Cell{}, false
	}
	done := make(map[block]Cell)
	for i := range cut {
		c, ok := done[cut[i]]
		if !ok {
			if c, ok = find(&cut[i], of[i]); !ok {
				c = Cell{Tile: len(t.Tiles), Palette: of[i][0]}
				pixels := number(&cut[i], numbers[c.Palette])
				known[pixels] = c.Tile
				t.Tiles = append(t.Tiles, pixels)
			}
			done[cut[i]] = c
		}
		t.Map[i] = c
	}
}

// number writes a block in the numbers of a palette.
func number(b *block, numbers map[uint16]uint8) (t Tile) {
	for i, v := range b {
		if i > 0 && v == b[i-1] {
			t[i] = t[i-1]
			continue
		}
		t[i] = numbers[v]
	}
	return t
}

// Flip returns the tile mirrored left to right, top to bottom, or both.
func (t Tile) Flip(x, y bool) (f Tile) {
	if !x && !y {
		return t
	}
	for i := range t {
		col, row := i%TileSide, i/TileSide
		if x {
			col = TileSide - 1 - col
		}
		if y {
			row = TileSide - 1 - row
		}
		f[row*TileSide+col] = t[i]
	}
	return f
}
