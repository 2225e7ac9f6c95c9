package pixfmt

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// striped returns a picture of one tile for each list of colors: its pixels are
// the list again and again.
func striped(colors int, tiles ...[]uint16) *Indexed {
	x := &Indexed{Palette: make([][3]uint8, colors), Lines: []int32{0, 1, 2, 3, 4, 5, 6, 7}}
	for j := range 8 {
		var row []uint16
		for _, t := range tiles {
			for i := range 8 {
				row = append(row, t[(j*8+i)%len(t)])
			}
		}
		x.Rows = append(x.Rows, row)
	}
	return x
}

func sets(colors int, lists ...[]uint16) (all []colorSet) {
	for _, l := range lists {
		s := make(colorSet, (colors+63)/64)
		for _, v := range l {
			s.add(v)
		}
		all = append(all, s)
	}
	return all
}

// fits reports whether every set is within one of the bins, and no bin is
// larger than the room.
func fits(t *testing.T, all, bins []colorSet, room int) {
	t.Helper()
	for _, b := range bins {
		require.LessOrEqual(t, b.len(), room)
	}
	for _, s := range all {
		ok := false
		for _, b := range bins {
			ok = ok || b.lacking(s) == 0
		}
		require.True(t, ok, "colors %v are in no palette", s.members())
	}
}

// fewest finds the least number of palettes by trying every division: slow and
// sure.
func fewest(all []colorSet, room int) int {
	best := len(all)
	var place func(i int, bins []colorSet)
	place = func(i int, bins []colorSet) {
		if len(bins) >= best && i < len(all) || len(bins) > best {
			return
		}
		if i == len(all) {
			best = len(bins)
			return
		}
		for k := range bins {
			joined := append(colorSet(nil), bins[k]...)
			joined.join(all[i])
			if joined.len() <= room {
				rest := append([]colorSet(nil), bins...)
				rest[k] = joined
				place(i+1, rest)
			}
		}
		place(i+1, append(append([]colorSet(nil), bins...), all[i]))
	}
	place(0, nil)
	return best
}

// Against every division: the search finds one whenever there is one, and the
// quick way never needs fewer than the least.
func TestAssignIsSound(t *testing.T) {
	rnd := rand.New(rand.NewPCG(8, 8))
	missed := 0
	for range 400 {
		room := 3 + rnd.IntN(3)
		var lists [][]uint16
		for range 3 + rnd.IntN(6) {
			var l []uint16
			for range 1 + rnd.IntN(room) {
				l = append(l, uint16(60+rnd.IntN(10))) // over the border of two words
			}
			lists = append(lists, l)
		}
		all := sets(70, lists...)
		need := maximal(all)
		least := fewest(need, room)
		quick := bestFit(need, room)
		fits(t, all, quick, room)
		require.GreaterOrEqual(t, len(quick), least)
		if len(quick) > least {
			missed++
		}
		found := search(need, room, least)
		require.NotNil(t, found, "%v in palettes of %d", lists, room)
		require.LessOrEqual(t, len(found), least)
		fits(t, all, found, room)
		if least > 1 {
			require.Nil(t, search(need, room, least-1))
		}
	}
	require.NotZero(t, missed, "no case where the search is needed")
	t.Logf("best fit alone needs more than the least in %d of 400", missed)
}

// A search that finds nothing ends.
func TestSearchEnds(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2, 2))
	var lists [][]uint16
	for range 300 {
		var l []uint16
		for range 8 {
			l = append(l, uint16(rnd.IntN(120)))
		}
		lists = append(lists, l)
	}
	assert.Nil(t, search(maximal(sets(120, lists...)), 15, 8))
}

func TestMaximal(t *testing.T) {
	got := maximal(sets(100, []uint16{1}, []uint16{1, 2, 70}, []uint16{}, []uint16{70, 1}, []uint16{3, 2}, []uint16{1, 2, 70}))
	require.Len(t, got, 2)
	assert.Equal(t, []uint16{1, 2, 70}, got[0].members())
	assert.Equal(t, []uint16{2, 3}, got[1].members())
}

func TestBudgets(t *testing.T) {
	word := colorWords()["rgb555"]
	set := func(change func(s *TileSet)) *TileSet {
		s := &TileSet{Bits: 2, Map: mapWords()["16 bits"], Palette: &word, Tiles: 1024, Palettes: 2, Shared: true}
		change(s)
		return s
	}
	same := func(*TileSet) {}
	const fewer = "take a pattern of fewer colors, or give the device no more than 4 colors at once, so that those that are near become one"
	for _, tt := range []struct {
		name string
		s    *TileSet
		x    *Indexed
		want string // "" for a picture that fits
	}{
		{"three colors and the shared one", set(same), striped(8, []uint16{0, 1, 2, 3}, []uint16{0, 4, 5, 6}), ""},
		{"the shared color is another", set(same), striped(8, []uint16{7, 1, 2, 3}, []uint16{7, 4, 5, 6}), ""},
		{"none is shared", set(func(s *TileSet) { s.Shared = false }), striped(8, []uint16{0, 1, 2, 3}, []uint16{7, 4, 5, 6}), ""},
		{"one that must be", set(same), striped(8, []uint16{0, 1, 2, 3}, []uint16{7, 4, 5, 6}),
			"4 colors in the tile at column 8, line 0 besides the one that all palettes share, and the device has room for 3: " + fewer},
		{"five colors in a tile", set(func(s *TileSet) { s.Shared = false }), striped(8, []uint16{0}, []uint16{1, 2, 3, 4, 5}),
			"5 colors in the tile at column 8, line 0, and the device has room for 4: " + fewer},
		{"three palettes", set(same), striped(10, []uint16{0, 1, 2, 3}, []uint16{0, 4, 5, 6}, []uint16{0, 7, 8, 9}),
			"3 palettes of 4 colors, and the device has room for 2: " + fewer},
		{"only the shared color", set(same), striped(10, []uint16{0}), ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m, err := tt.s.Make(tt.x)
			if tt.want != "" {
				var budget *BudgetError
				require.ErrorAs(t, err, &budget)
				assert.EqualError(t, err, tt.want)
				return
			}
			require.NoError(t, err)
			assert.LessOrEqual(t, len(m.Palettes), tt.s.Palettes)
		})
	}

	// 1,040 different tiles: of color 1 on 0, the bits of the number.
	x := &Indexed{Palette: make([][3]uint8, 2)}
	for j := range 8 {
		row := make([]uint16, 8*1040)
		for n := range 1040 {
			for i := range 8 {
				row[8*n+i] = uint16(n >> (8*j + i) & 1)
			}
		}
		x.Rows, x.Lines = append(x.Rows, row), append(x.Lines, int32(j))
	}
	s := set(func(s *TileSet) { s.Map = MapWord{Bytes: 2, Tile: BitField{0, 10}}; s.Palettes = 1 })
	_, err := s.Make(x)
	assert.EqualError(t, err, "1,040 different tiles, and the device has room for 1,024: "+fewerTiles)
}

func TestTileSetRefuses(t *testing.T) {
	good := func() *TileSet {
		word := colorWords()["rgb555"]
		return &TileSet{Bits: 4, Map: mapWords()["16 bits"], Palette: &word, Tiles: 1024, Palettes: 8}
	}
	require.NoError(t, good().Check())
	for _, tt := range []struct {
		change func(s *TileSet)
		want   string
	}{
		{func(s *TileSet) { s.Bits = 3 }, "tiles of 3 bits a pixel; they can have 2, 4 or 8"},
		{func(s *TileSet) { s.Bits = 0 }, "tiles of 0 bits"},
		{func(s *TileSet) { s.Interleave = 3 }, "3 of 4 bit planes in turn; it must be 0, or divide them"},
		{func(s *TileSet) { s.Interleave = -1 }, "-1 of 4 bit planes in turn"},
		{func(s *TileSet) { s.Packed, s.Interleave = true, 2 }, "packed pixels with bit planes in turn; leave one of them out"},
		{func(s *TileSet) { s.Tiles = 1025 }, "room for 1025 tiles with 10 bits for the tile in the map; it can be 1 to 1024"},
		{func(s *TileSet) { s.Tiles = 0 }, "room for 0 tiles"},
		{func(s *TileSet) { s.Palettes = 9 }, "9 palettes with 3 bits for the palette in the map; there can be 1 to 8"},
		{func(s *TileSet) { s.Palettes = 0 }, "0 palettes"},
		{func(s *TileSet) { s.Palette.Bytes = 1 }, "a color word of 8 bits with red in bits 10 to 14"},
		{func(s *TileSet) { s.Map.Bytes = 3 }, "a map word of 3 bytes; it can have 1 to 2"},
		{func(s *TileSet) { s.Map.Bytes = 1 }, "a map word with 10 bits of the tile; it can have 1 to 8"},
		{func(s *TileSet) { s.Map.FlipX.Bits = 2 }, "2 bits of the flip left to right; it can have 0 to 1"},
		{func(s *TileSet) { s.Map.FlipY.Shift = 12 }, "a map word with the flip top to bottom in bits 12 to 12, where another field is"},
	} {
		s := good()
		tt.change(s)
		_, err := s.Make(striped(2, []uint16{0, 1}))
		require.ErrorContains(t, err, tt.want)
		_, err = s.ReadTiles(nil)
		require.Error(t, err)
		_, err = s.ReadMap(nil)
		require.Error(t, err)
		_, err = s.Unpack(nil, nil, nil, 1)
		require.Error(t, err)
	}
	s := good()
	_, err := s.Make(&Indexed{})
	assert.ErrorContains(t, err, "a picture without rows")
	_, err = s.ReadTiles(make([]byte, 33))
	assert.ErrorContains(t, err, "33 bytes of tiles, which have 32 each")
	_, err = s.ReadMap(make([]byte, 3))
	assert.ErrorContains(t, err, "a map of 3 bytes; its words have 2")
	_, err = s.Unpack(nil, make([]Cell, 3), nil, 2)
	assert.ErrorContains(t, err, "a map of 3 cells with 2 to a row")
	_, err = s.Unpack(make([]Tile, 1), []Cell{{Tile: 1}}, nil, 1)
	assert.ErrorContains(t, err, "cell 0 of the map shows tile 1 of 1")
	_, err = s.Unpack(make([]Tile, 1), []Cell{{Palette: 1 << 12}}, nil, 1)
	assert.ErrorContains(t, err, "is in palette 4096, beyond 65,536 colors")
	_, err = s.Unpack(make([]Tile, 1), []Cell{{Palette: 1}}, make([][3]uint8, 16), 1)
	assert.ErrorContains(t, err, "has color number 16, and there is room for 16 colors")
}

// FuzzTiles: bytes are refused, or are tiles and a map that pack to the same.
func FuzzTiles(f *testing.F) {
	f.Add(4, 2, false, 2, make([]byte, 64), []byte{1, 0, 0, 0})
	f.Add(8, 0, true, 1, make([]byte, 128), []byte{1, 128, 0, 4})
	f.Fuzz(func(t *testing.T, bits, interleave int, packed bool, across int, tiles, cells []byte) {
		s := &TileSet{Bits: bits, Interleave: interleave, Packed: packed, HighFirst: across%2 == 0, Map: mapWords()["16 bits"], Tiles: 1, Palettes: 1}
		list, err := s.ReadTiles(tiles)
		if err != nil {
			return
		}
		require.Equal(t, tiles, s.AppendTiles([]byte{}, list))
		m, err := s.ReadMap(cells)
		if err != nil {
			return
		}
		again, err := s.ReadMap(s.AppendMap(nil, m))
		require.NoError(t, err)
		require.Equal(t, m, again) // bits outside the fields may differ
		x, err := s.Unpack(list, m, make([][3]uint8, 8<<bits), across)
		if err != nil {
			return
		}
		s.Tiles, s.Palettes = 1024, 8
		if made, err := s.Make(x); err == nil {
			require.LessOrEqual(t, len(made.Tiles), 4*len(list))
		}
	})
}

// small returns a pattern on so many pixels across and lines, in 3:3:3 colors.
func small(t testing.TB, spec string, width int) *Indexed {
	t.Helper()
	r := *timing.Lookup("240p")
	scale := timing.R(int64(width), int64(r.Width))
	r.Clock, r.Start, r.Width = r.Clock.Mul(scale), r.Start.Mul(scale), width
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	sc, err := p.Scene(pattern.NewView(&r, colorimetry.RGB8, frame.S444, pattern.Hard))
	require.NoError(t, err)
	f, err := pattern.Sample(sc, &r, frame.S444, 0)
	require.NoError(t, err)
	rows := RoundRGB(f, colorimetry.RGB8)
	for _, row := range rows.Rows {
		for c := range row {
			for i, v := range row[c] {
				row[c][i] = (v*7 + 127) / 255 * 255 / 7
			}
		}
	}
	x, ok := rows.Index()
	require.True(t, ok)
	return x
}

// BenchmarkTiles makes tiles of a picture and packs them.
func BenchmarkTiles(b *testing.B) {
	word := colorWords()["rgb888"]
	s := &TileSet{Bits: 4, Map: MapWord{2, false, BitField{0, 11}, BitField{11, 3}, BitField{14, 1}, BitField{15, 1}},
		Palette: &word, Tiles: 2048, Palettes: 8, Shared: true}
	for _, spec := range []string{"bars-full", "crosshatch", "circles"} {
		for _, width := range []int{256, 320} {
			x := small(b, spec, width)
			b.Run(fmt.Sprintf("%s/%dx%d", spec, width, x.Height()), func(b *testing.B) {
				b.ReportAllocs()
				var tiles int
				for b.Loop() {
					m, err := s.Make(x)
					if err != nil {
						b.Fatal(err)
					}
					s.AppendMap(s.AppendTiles(nil, m.Tiles), m.Map)
					tiles = len(m.Tiles)
				}
				b.ReportMetric(float64(tiles), "tiles")
				b.ReportMetric(float64(len(x.Palette)), "colors")
			})
		}
	}
}
