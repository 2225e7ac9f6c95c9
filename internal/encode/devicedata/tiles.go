package devicedata

import (
	"fmt"

	"backporch/internal/pixfmt"
)

// Tiles returns a picture as tiles, a map that places them and, unless pixels
// are the device's own numbers of colors, their palettes. A
// *[pixfmt.BudgetError] reports a picture that needs more than the device has.
func Tiles(x *pixfmt.Indexed, s *pixfmt.TileSet, a About) (*Set, error) {
	t, err := s.Make(x)
	if err != nil {
		return nil, err
	}
	palettes, err := s.PackPalettes(t, x.Palette)
	if err != nil {
		return nil, err
	}
	notes := []string{fmt.Sprintf("%s of %d, %s of %d.", count(len(t.Tiles), "tile"), s.Tiles, count(len(t.Palettes), "palette"), s.Palettes)}
	if t.PadRight > 0 || t.PadBottom > 0 {
		notes = append(notes, fmt.Sprintf("Filled up with color 0 of the picture: %s at the right, %s at the bottom.", count(t.PadRight, "column"), count(t.PadBottom, "line")))
	}
	parts := []part{
		{name: "tiles", extension: "til", data: s.AppendTiles(nil, t.Tiles),
			layout: fmt.Sprintf("%s of 8 by 8 pixels from number 0 on, %d bytes each: %s.", count(len(t.Tiles), "tile"), s.TileBytes(), tileRows(s))},
		{name: "map", extension: "map", data: s.AppendMap(nil, t.Map),
			layout: fmt.Sprintf("%s of %s from the top left, words of %s.", count(t.Down, "row"), count(t.Across, "tile"), mapWord(&s.Map))},
	}
	constants := append(size(x), constant{"MAP_WIDTH", t.Across}, constant{"MAP_HEIGHT", t.Down},
		constant{"TILES", len(t.Tiles)}, constant{"TILE_BYTES", s.TileBytes()})
	if palettes != nil {
		entry := "a byte, the device's own number of the color"
		if s.Palette != nil {
			entry = "a word of " + colorWord(s.Palette)
		}
		constants = append(constants, constant{"PALETTES", len(t.Palettes)}, constant{"PALETTE_COLORS", 1 << s.Bits})
		parts = append(parts, part{name: "palette", extension: "pal", data: palettes,
			layout: fmt.Sprintf("%s of %d entries, each %s; entries that no pixel has are 0.", count(len(t.Palettes), "palette"), 1<<s.Bits, entry)})
	}
	return a.set(parts, constants, notes)
}
