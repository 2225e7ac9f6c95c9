package pixfmt

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mapWords are those that the tests go through.
func mapWords() map[string]MapWord {
	return map[string]MapWord{
		"16 bits":             {2, false, BitField{0, 10}, BitField{10, 3}, BitField{14, 1}, BitField{15, 1}},
		"16 bits, big endian": {2, true, BitField{0, 11}, BitField{13, 2}, BitField{11, 1}, BitField{12, 1}},
		"one flip":            {2, false, BitField{3, 10}, BitField{0, 3}, BitField{15, 1}, BitField{}},
		"no flips":            {2, false, BitField{0, 12}, BitField{12, 4}, BitField{}, BitField{}},
	}
}

// tileSets are those that the tests go through.
func tileSets() map[string]*TileSet {
	all := map[string]*TileSet{}
	word := colorWords()["rgb888, big endian"]
	for name, m := range mapWords() {
		s := TileSet{Map: m, Palette: &word, Tiles: 1 << m.Tile.Bits, Palettes: 1 << m.Palette.Bits}
		for _, bits := range []int{2, 4, 8} {
			for interleave := 0; interleave <= bits; interleave++ {
				if interleave > 0 && bits%interleave != 0 {
					continue
				}
				for _, shared := range []bool{false, true} {
					t := s
					t.Bits, t.Interleave, t.Shared = bits, interleave, shared
					all[fmt.Sprintf("%s, %d planes, %d in turn, shared %v", name, bits, interleave, shared)] = &t
				}
			}
			for _, high := range []bool{false, true} {
				t := s
				t.Bits, t.Packed, t.HighFirst = bits, true, high
				all[fmt.Sprintf("%s, %d bits packed, high first %v", name, bits, high)] = &t
			}
		}
	}
	return all
}

// slowPixel reads a pixel of a tile with nothing but what is declared of it.
func slowPixel(tile []byte, s *TileSet, x, y int) (v int) {
	if s.Packed {
		return slowIndex(tile[y*s.Bits:(y+1)*s.Bits], &Framebuffer{Bits: s.Bits, HighFirst: s.HighFirst}, x)
	}
	// Write down in which order the rows of planes come, and look them up.
	type place struct{ plane, row int }
	var order []place
	turn := s.Interleave
	if turn == 0 {
		turn = s.Bits
	}
	for from := 0; from < s.Bits; from += turn {
		for row := range 8 {
			for plane := from; plane < from+turn; plane++ {
				order = append(order, place{plane, row})
			}
		}
	}
	for at, p := range order {
		if p.row == y && int(tile[at])&(128>>x) != 0 {
			v += 1 << p.plane
		}
	}
	return v
}

// slowPicture rebuilds the colors of a picture from bytes alone.
func slowPicture(tiles, cells, palettes []byte, s *TileSet, across int) (rows [][][3]uint8) {
	number := func(word []byte, f BitField) (v int) {
		for k := f.Bits - 1; k >= 0; k-- {
			at := (f.Shift + k) / 8
			if s.Map.BigEndian {
				at = s.Map.Bytes - 1 - at
			}
			v = 2*v + int(word[at])>>((f.Shift+k)%8)&1
		}
		return v
	}
	down := len(cells) / s.Map.Bytes / across
	for y := range 8 * down {
		var row [][3]uint8
		for x := range 8 * across {
			word := cells[(y/8*across+x/8)*s.Map.Bytes:][:s.Map.Bytes]
			i, j := x%8, y%8
			if number(word, s.Map.FlipX) == 1 {
				i = 7 - i
			}
			if number(word, s.Map.FlipY) == 1 {
				j = 7 - j
			}
			size := 8 * s.Bits
			v := slowPixel(tiles[number(word, s.Map.Tile)*size:][:size], s, i, j)
			entry := number(word, s.Map.Palette)*(1<<s.Bits) + v
			row = append(row, slowColor(palettes[entry*s.Palette.Bytes:][:s.Palette.Bytes], *s.Palette))
		}
		rows = append(rows, row)
	}
	return rows
}

// mosaic returns a picture made of few motifs, mirrored at random, in few sets
// of colors, its size no multiple of 8.
func mosaic(rnd *rand.Rand, s *TileSet, width, height int) *Indexed {
	x := &Indexed{}
	groups := s.Palettes
	for range 1 + groups*3 {
		x.Palette = append(x.Palette, [3]uint8{uint8(rnd.UintN(256)), uint8(rnd.UintN(256)), uint8(rnd.UintN(256))})
	}
	motifs := make([]Tile, 5)
	for i := range motifs {
		for k := range motifs[i] {
			motifs[i][k] = uint8(rnd.IntN(4)) // 0 is color 0 of the picture, 1 to 3 are of the group
		}
	}
	for j := range height {
		x.Rows = append(x.Rows, make([]uint16, width))
		x.Lines = append(x.Lines, int32(j))
	}
	for y := 0; y < height; y += 8 {
		for left := 0; left < width; left += 8 {
			m := motifs[rnd.IntN(len(motifs))].Flip(rnd.IntN(2) == 1, rnd.IntN(2) == 1)
			group := rnd.IntN(groups)
			for k, v := range m {
				if j, i := y+k/8, left+k%8; j < height && i < width && v > 0 {
					x.Rows[j][i] = uint16(1 + 3*group + int(v) - 1)
				}
			}
		}
	}
	return x
}

// The picture is rebuilt from the bytes alone, for every form.
func TestTiles(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 1))
	for name, s := range tileSets() {
		t.Run(name, func(t *testing.T) {
			x := mosaic(rnd, s, 61, 44)
			m, err := s.Make(x)
			require.NoError(t, err)
			require.Equal(t, [4]int{8, 6, 3, 4}, [4]int{m.Across, m.Down, m.PadRight, m.PadBottom})
			tiles, cells := s.AppendTiles(nil, m.Tiles), s.AppendMap(nil, m.Map)
			require.Len(t, tiles, 8*s.Bits*len(m.Tiles))
			palettes, err := s.PackPalettes(m, x.Palette)
			require.NoError(t, err)
			require.Len(t, palettes, len(m.Palettes)<<s.Bits*3)
			got := slowPicture(tiles, cells, palettes, s, m.Across)
			for j := range 48 {
				for i := range 64 {
					want := x.Palette[0] // beyond the picture
					if j < 44 && i < 61 {
						want = x.Palette[x.Rows[j][i]]
					}
					if want != got[j][i] {
						require.Equal(t, want, got[j][i], "line %d, column %d", j, i)
					}
				}
			}
			if s.Shared && len(m.Palettes) > 1 {
				for _, p := range m.Palettes {
					require.Equal(t, uint16(0), p[0])
				}
			}

			// The reader finds the same.
			readTiles, err := s.ReadTiles(tiles)
			require.NoError(t, err)
			require.Equal(t, m.Tiles, readTiles)
			readCells, err := s.ReadMap(cells)
			require.NoError(t, err)
			require.Equal(t, m.Map, readCells)
			entries, err := s.ReadPalettes(palettes, nil)
			require.NoError(t, err)
			y, err := s.Unpack(readTiles, readCells, entries, m.Across)
			require.NoError(t, err)
			for j := range got {
				for i := range got[j] {
					if c := y.Palette[y.Rows[y.Lines[j]][i]]; got[j][i] != c {
						require.Equal(t, got[j][i], c, "line %d, column %d, read", j, i)
					}
				}
			}
		})
	}
}

// A tile by hand: its top row is 0 1 2 3 0 1 2 3, its left column 0 4 8 12 0 ...
// and all else 15.
func TestTileBytes(t *testing.T) {
	var tile Tile
	for i := range tile {
		switch {
		case i < 8:
			tile[i] = uint8(i % 4)
		case i%8 == 0:
			tile[i] = uint8(i / 8 % 4 * 4)
		default:
			tile[i] = 15
		}
	}
	const low, high = 0b0101_0101, 0b0011_0011 // planes 0 and 1 of the top row
	const rest, full = 0x7f, 0xff              // a lower row whose left pixel has the bit or not
	for _, tt := range []struct {
		name string
		s    TileSet
		want []byte
	}{
		{"all planes in turn", TileSet{Bits: 4}, []byte{
			low, high, 0, 0, rest, rest, full, rest, rest, rest, rest, full, rest, rest, full, full,
			rest, rest, rest, rest, rest, rest, full, rest, rest, rest, rest, full, rest, rest, full, full}},
		{"two planes in turn", TileSet{Bits: 4, Interleave: 2}, []byte{
			low, high, rest, rest, rest, rest, rest, rest, rest, rest, rest, rest, rest, rest, rest, rest,
			0, 0, full, rest, rest, full, full, full, rest, rest, full, rest, rest, full, full, full}},
		{"plane after plane", TileSet{Bits: 4, Interleave: 1}, []byte{
			low, rest, rest, rest, rest, rest, rest, rest, high, rest, rest, rest, rest, rest, rest, rest,
			0, full, rest, full, rest, full, rest, full, 0, rest, full, full, rest, rest, full, full}},
		{"packed, left high", TileSet{Bits: 4, Packed: true, HighFirst: true}, []byte{
			0x01, 0x23, 0x01, 0x23, 0x4f, 0xff, 0xff, 0xff, 0x8f, 0xff, 0xff, 0xff, 0xcf, 0xff, 0xff, 0xff,
			0x0f, 0xff, 0xff, 0xff, 0x4f, 0xff, 0xff, 0xff, 0x8f, 0xff, 0xff, 0xff, 0xcf, 0xff, 0xff, 0xff}},
		{"packed, left low", TileSet{Bits: 4, Packed: true}, []byte{
			0x10, 0x32, 0x10, 0x32, 0xf4, 0xff, 0xff, 0xff, 0xf8, 0xff, 0xff, 0xff, 0xfc, 0xff, 0xff, 0xff,
			0xf0, 0xff, 0xff, 0xff, 0xf4, 0xff, 0xff, 0xff, 0xf8, 0xff, 0xff, 0xff, 0xfc, 0xff, 0xff, 0xff}},
	} {
		assert.Equal(t, tt.want, tt.s.AppendTiles(nil, []Tile{tile}), tt.name)
	}
}

func TestMapBytes(t *testing.T) {
	words := mapWords()
	c := []Cell{{0x155, 5, true, false}}
	for _, tt := range []struct {
		word string
		want []byte
	}{
		{"16 bits", []byte{0b0101_0101, 0b0_1_0_101_01}},
		{"one flip", []byte{0b1010_1_101, 0b1_00_0_1010}},
		{"no flips", []byte{0b0101_0101, 0b0101_0001}},
	} {
		s := &TileSet{Map: words[tt.word]}
		cells := c
		if tt.word == "no flips" {
			cells = []Cell{{0x155, 5, false, false}}
		}
		assert.Equal(t, tt.want, s.AppendMap(nil, cells), tt.word)
	}
	s := &TileSet{Map: words["16 bits, big endian"]}
	assert.Equal(t, []byte{0b0_11_1_0_001, 0b0101_0101}, s.AppendMap(nil, []Cell{{0x155, 3, false, true}}))
}

func TestFlip(t *testing.T) {
	var a Tile
	for i := range a {
		a[i] = uint8(i)
	}
	assert.Equal(t, []uint8{7, 6, 5, 4, 3, 2, 1, 0, 15}, sliceOf(a.Flip(true, false))[:9])
	assert.Equal(t, []uint8{56, 57}, sliceOf(a.Flip(false, true))[:2])
	assert.Equal(t, uint8(63), a.Flip(true, true)[0])
	assert.Equal(t, a, a.Flip(true, true).Flip(true, false).Flip(false, true))
}

func sliceOf(t Tile) []uint8 { return t[:] }

// The four corners of a frame are one tile when the map can flip both ways, two
// when it can flip one, four when it cannot. The colors of a tile do not count
// where a palette gives it others.
func TestDedupe(t *testing.T) {
	x := &Indexed{Palette: make([][3]uint8, 3)}
	for j := range 32 {
		row := make([]uint16, 32)
		for i := range row {
			color := uint16(1)
			if i >= 16 {
				color = 2
			}
			if p, q := i%16, j%16; p == 1 || p == 14 || q == 2 || q == 13 {
				row[i] = color
			}
		}
		x.Rows, x.Lines = append(x.Rows, row), append(x.Lines, int32(j))
	}
	words := mapWords()
	for _, tt := range []struct {
		word string
		want int
	}{{"16 bits", 1}, {"16 bits, big endian", 1}, {"one flip", 2}, {"no flips", 4}} {
		m := words[tt.word]
		word := colorWords()["rgb555"]
		s := &TileSet{Bits: 2, Map: m, Palette: &word, Tiles: 64, Palettes: 4, Shared: true}
		got, err := s.Make(x)
		require.NoError(t, err)
		// Three colors fit into one palette, where the two halves differ.
		assert.Len(t, got.Palettes, 1)
		assert.Len(t, got.Tiles, 2*tt.want, tt.word)

		// With more colors the halves are of two palettes, and share tiles.
		y := &Indexed{Palette: make([][3]uint8, 7), Lines: x.Lines}
		for _, row := range x.Rows {
			out := make([]uint16, 32)
			for i, v := range row {
				switch {
				case v > 0:
					out[i] = 3*v - 2
				case i%16 == 0:
					out[i] = uint16(2 + i/16*3)
				case i%16 == 15:
					out[i] = uint16(3 + i/16*3)
				}
			}
			y.Rows = append(y.Rows, out)
		}
		s.Map.FlipX, s.Map.FlipY = BitField{}, BitField{}
		got, err = s.Make(y)
		require.NoError(t, err)
		assert.Equal(t, [][]uint16{{0, 1, 2, 3}, {0, 4, 5, 6}}, got.Palettes)
		assert.Len(t, got.Tiles, 4, "both halves show the same four tiles")
		for i, c := range got.Map {
			assert.Equal(t, i%4/2, c.Palette)
			assert.Equal(t, got.Map[i&^2].Tile, c.Tile)
		}
	}
}

// Pixels are the device's own numbers of colors where one palette has room for
// all of them, and where the colors are fixed there is nothing more to write.
func TestOwnNumbers(t *testing.T) {
	row := []uint16{5, 3, 3, 3, 3, 3, 3, 0}
	x := &Indexed{Palette: make([][3]uint8, 16), Rows: [][]uint16{row}, Lines: []int32{0}}
	for i := range x.Palette {
		x.Palette[i] = [3]uint8{uint8(i), 0, 0}
	}
	s := &TileSet{Bits: 4, Map: MapWord{Bytes: 1, Tile: BitField{0, 8}}, Tiles: 256, Palettes: 1}
	m, err := s.Make(x)
	require.NoError(t, err)
	assert.True(t, m.OwnNumbers())
	assert.Equal(t, []uint8{5, 3, 3, 3, 3, 3, 3, 0, 0}, m.Tiles[0][:9])
	b, err := s.PackPalettes(m, x.Palette)
	require.NoError(t, err)
	assert.Nil(t, b)
	entries, err := s.ReadPalettes(nil, x.Palette)
	require.NoError(t, err)
	assert.Equal(t, x.Palette, entries)

	// Two bits do not tell 16 colors apart: the palette names three of them.
	s.Bits = 2
	m, err = s.Make(x)
	require.NoError(t, err)
	assert.False(t, m.OwnNumbers())
	assert.Equal(t, []uint8{2, 1, 1, 1, 1, 1, 1, 0, 0}, m.Tiles[0][:9])
	b, err = s.PackPalettes(m, x.Palette)
	require.NoError(t, err)
	assert.Equal(t, []byte{0, 3, 5, 0}, b)
	entries, err = s.ReadPalettes(b, x.Palette)
	require.NoError(t, err)
	assert.Equal(t, [][3]uint8{{0}, {3}, {5}, {0}}, entries)
	_, err = s.ReadPalettes([]byte{16}, x.Palette)
	assert.ErrorContains(t, err, "entry 0 of the palettes is color 16 of 16")

	x.Palette = make([][3]uint8, 257)
	_, err = s.Make(x)
	assert.ErrorContains(t, err, "palettes of a device of 257 fixed colors; their entries are bytes, for 256")
}
