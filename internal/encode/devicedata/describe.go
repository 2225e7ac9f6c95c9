package devicedata

import (
	"fmt"
	"strings"

	"backporch/internal/pixfmt"
)

// colorWord describes a color word: "words of 2 bytes, low byte first: red in
// bits 10 to 14, ...".
func colorWord(w *pixfmt.ColorWord) string {
	var fields []string
	for i, name := range [...]string{"red", "green", "blue"} {
		fields = append(fields, field(name, w.Fields[i]))
	}
	return word(w.Bytes, w.BigEndian) + ": " + strings.Join(fields, ", ") + "; all ones is full level"
}

// mapWord describes an entry of a tile map.
func mapWord(m *pixfmt.MapWord) string {
	fields := []string{field("number of the tile", m.Tile)}
	for _, f := range []struct {
		name string
		pixfmt.BitField
	}{{"palette", m.Palette}, {"mirrored left to right", m.FlipX}, {"mirrored top to bottom", m.FlipY}} {
		if f.Bits > 0 {
			fields = append(fields, field(f.name, f.BitField))
		}
	}
	return word(m.Bytes, m.BigEndian) + ": " + strings.Join(fields, ", ")
}

func word(bytes int, bigEndian bool) string {
	switch {
	case bytes == 1:
		return "1 byte"
	case bigEndian:
		return fmt.Sprintf("%d bytes, high byte first", bytes)
	}
	return fmt.Sprintf("%d bytes, low byte first", bytes)
}

func field(name string, f pixfmt.BitField) string {
	if f.Bits == 1 {
		return fmt.Sprintf("%s in bit %d", name, f.Shift)
	}
	return fmt.Sprintf("%s in bits %d to %d", name, f.Shift, f.Shift+f.Bits-1)
}

// indexes describes pixels that are smaller than a byte, or fill it.
func indexes(bits int, highFirst bool) string {
	if bits == 8 {
		return "a pixel is a byte, the number of its color"
	}
	end := "low"
	if highFirst {
		end = "high"
	}
	return fmt.Sprintf("a pixel is %s, the number of its color; the leftmost of the %d in a byte is in the %s bits", count(bits, "bit"), 8/bits, end)
}

// tileRows describes the bytes of a tile.
func tileRows(s *pixfmt.TileSet) string {
	if s.Packed {
		return fmt.Sprintf("row by row from the top, %s a row; %s", count(s.Bits, "byte"), indexes(s.Bits, s.HighFirst))
	}
	const planes = "; a byte is one row of one bit plane, its highest bit the leftmost pixel, and plane 0 has the lowest bits of the pixels' numbers"
	group := s.Group()
	first := "planes 0 and 1"
	if group > 2 {
		first = fmt.Sprintf("planes 0 to %d", group-1)
	}
	switch {
	case group == 1:
		return fmt.Sprintf("plane 0 row by row from the top, then plane 1, to plane %d%s", s.Bits-1, planes)
	case group == s.Bits:
		return fmt.Sprintf("row 0 of %s, then row 1 of them, to row 7%s", first, planes)
	}
	return fmt.Sprintf("row 0 of %s, then row 1 of them, to row 7; then every next %d planes likewise%s", first, group, planes)
}

// count writes a number of things.
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
