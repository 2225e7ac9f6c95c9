package pixfmt

import "fmt"

// TileBytes is how many bytes a tile takes.
func (s *TileSet) TileBytes() int { return TileSide * s.Bits }

// AppendTiles appends tiles as they stand in memory to dst.
func (s *TileSet) AppendTiles(dst []byte, tiles []Tile) []byte {
	for i := range tiles {
		at := len(dst)
		dst = append(dst, make([]byte, s.TileBytes())...)
		s.packTile(dst[at:], &tiles[i])
	}
	return dst
}

func (s *TileSet) packTile(dst []byte, t *Tile) {
	for row := range TileSide {
		pixels := t[row*TileSide : (row+1)*TileSide]
		if s.Packed {
			packIndexes(dst[row*s.Bits:], pixels, s.Bits, s.HighFirst)
			continue
		}
		for plane := range s.Bits {
			at := s.planeAt(plane, row)
			for x, v := range pixels {
				dst[at] |= v >> plane & 1 << (TileSide - 1 - x)
			}
		}
	}
}

// planeAt returns where a tile has a row of a bit plane.
func (s *TileSet) planeAt(plane, row int) int {
	group := s.Group()
	return plane/group*group*TileSide + row*group + plane%group
}

// ReadTiles returns the tiles that src is.
func (s *TileSet) ReadTiles(src []byte) ([]Tile, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	if len(src)%s.TileBytes() != 0 {
		return nil, FormatError(fmt.Sprintf("%d bytes of tiles, which have %d each", len(src), s.TileBytes()))
	}
	tiles := make([]Tile, len(src)/s.TileBytes())
	for i := range tiles {
		s.unpackTile(&tiles[i], src[i*s.TileBytes():])
	}
	return tiles, nil
}

func (s *TileSet) unpackTile(t *Tile, src []byte) {
	for row := range TileSide {
		pixels := t[row*TileSide : (row+1)*TileSide]
		if s.Packed {
			unpackIndexes(pixels, src[row*s.Bits:], s.Bits, s.HighFirst)
			continue
		}
		for plane := range s.Bits {
			b := src[s.planeAt(plane, row)]
			for x := range pixels {
				pixels[x] |= b >> (TileSide - 1 - x) & 1 << plane
			}
		}
	}
}

// AppendMap appends the words of a map to dst.
func (s *TileSet) AppendMap(dst []byte, cells []Cell) []byte {
	bit := map[bool]int{true: 1}
	m := &s.Map
	for _, c := range cells {
		word := m.Tile.put(c.Tile) | m.Palette.put(c.Palette) | m.FlipX.put(bit[c.FlipX]) | m.FlipY.put(bit[c.FlipY])
		dst = appendWord(dst, word, m.Bytes, m.BigEndian)
	}
	return dst
}

// ReadMap returns the cells that the words in src are.
func (s *TileSet) ReadMap(src []byte) ([]Cell, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	m := &s.Map
	if len(src)%m.Bytes != 0 {
		return nil, FormatError(fmt.Sprintf("a map of %d bytes; its words have %d", len(src), m.Bytes))
	}
	cells := make([]Cell, len(src)/m.Bytes)
	for i := range cells {
		word := wordAt(src[i*m.Bytes:(i+1)*m.Bytes], m.BigEndian)
		cells[i] = Cell{m.Tile.get(word), m.Palette.get(word), m.FlipX.get(word) != 0, m.FlipY.get(word) != 0}
	}
	return cells, nil
}

// PackPalettes returns the palettes of a tiled picture as they stand in memory;
// nil if there are none. colors is the palette of the picture.
func (s *TileSet) PackPalettes(t *Tiled, colors [][3]uint8) ([]byte, error) {
	if t.ownCode {
		return nil, nil
	}
	var dst []byte
	for _, p := range t.Palettes {
		if s.Palette == nil {
			for i := range 1 << s.Bits {
				entry := byte(0)
				if i < len(p) {
					entry = byte(p[i])
				}
				dst = append(dst, entry)
			}
			continue
		}
		entries := make([][3]uint8, len(p))
		for i, v := range p {
			entries[i] = colors[v]
		}
		var err error
		if dst, err = s.Palette.AppendPalette(dst, entries); err != nil {
			return nil, err
		}
		dst = append(dst, make([]byte, (1<<s.Bits-len(p))*s.Palette.Bytes)...)
	}
	return dst, nil
}

// ReadPalettes returns the entries of the palettes that src holds, one palette
// after the other. Where the device's colors are fixed an entry is one of them,
// and src nil means that the pixels are their numbers.
func (s *TileSet) ReadPalettes(src []byte, fixed [][3]uint8) ([][3]uint8, error) {
	if s.Palette != nil {
		return s.Palette.ReadPalette(src)
	}
	if src == nil {
		return fixed, nil
	}
	entries := make([][3]uint8, len(src))
	for i, b := range src {
		if int(b) >= len(fixed) {
			return nil, FormatError(fmt.Sprintf("entry %d of the palettes is color %d of %d", i, b, len(fixed)))
		}
		entries[i] = fixed[b]
	}
	return entries, nil
}

// Unpack returns the picture, of whole tiles, that cells show, row by row and
// across of them to a row. Its palette is entries: those of palette p begin at
// p<<Bits.
func (s *TileSet) Unpack(tiles []Tile, cells []Cell, entries [][3]uint8, across int) (*Indexed, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	if across < 1 || len(cells) == 0 || len(cells)%across != 0 {
		return nil, FormatError(fmt.Sprintf("a map of %d cells with %d to a row", len(cells), across))
	}
	width, height := across*TileSide, len(cells)/across*TileSide
	if err := checkSides(width, height); err != nil {
		return nil, err
	}
	x := &Indexed{Palette: entries, Rows: make([][]uint16, height), Lines: make([]int32, height)}
	for j := range x.Rows {
		x.Rows[j], x.Lines[j] = make([]uint16, width), int32(j)
	}
	for i, c := range cells {
		if c.Tile >= len(tiles) {
			return nil, FormatError(fmt.Sprintf("cell %d of the map shows tile %d of %d", i, c.Tile, len(tiles)))
		}
		if (c.Palette+1)<<s.Bits > 1<<16 {
			return nil, UnsupportedError(fmt.Sprintf("cell %d of the map is in palette %d, beyond 65,536 colors", i, c.Palette))
		}
		t := tiles[c.Tile].Flip(c.FlipX, c.FlipY)
		for k, v := range t {
			row := x.Rows[i/across*TileSide+k/TileSide]
			row[i%across*TileSide+k%TileSide] = uint16(c.Palette<<s.Bits) | uint16(v)
		}
	}
	return x, x.check(len(entries))
}
