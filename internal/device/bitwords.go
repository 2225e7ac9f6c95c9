package device

import (
	"fmt"
	"strings"

	"backporch/internal/pixfmt"
)

// readWord reads the bits of a word from the highest down, a letter each, as in
// "rrrrrggggggbbbbb" or "-bbbbbgggggrrrrr"; - is a bit that is not used, spaces
// and underscores part groups. It returns the field of each of letters, Bits 0
// where there is none.
func readWord(text, letters string) (bytes int, fields []pixfmt.BitField, err error) {
	bits := strings.Map(func(r rune) rune {
		if r == ' ' || r == '_' {
			return -1
		}
		return r
	}, text)
	if n := len(bits); n == 0 || n%8 != 0 || n > 32 {
		return 0, nil, fmt.Errorf("%q has %d bits; a word has 8, 16, 24 or 32, a letter for each", text, n)
	}
	fields = make([]pixfmt.BitField, len(letters))
	for i, r := range bits {
		shift := len(bits) - 1 - i
		n := strings.IndexRune(letters, r)
		switch {
		case r == '-':
		case n < 0:
			return 0, nil, fmt.Errorf("%q: bit %d is %q; use the letters %s, and - for a bit that is not used", text, shift, r, letters)
		case fields[n].Bits == 0:
			fields[n] = pixfmt.BitField{Shift: shift, Bits: 1}
		case fields[n].Shift != shift+1:
			return 0, nil, fmt.Errorf("%q: the bits of %c are not side by side", text, r)
		default:
			fields[n] = pixfmt.BitField{Shift: shift, Bits: fields[n].Bits + 1}
		}
	}
	return len(bits) / 8, fields, nil
}

// readColorWord reads a word of r, g and b.
func readColorWord(text string) (w pixfmt.ColorWord, err error) {
	n, fields, err := readWord(text, "rgb")
	if err != nil {
		return w, err
	}
	w.Bytes = n
	for i, f := range fields {
		if f.Bits == 0 || f.Bits > 8 {
			return w, fmt.Errorf("%q has %d bits of %c; each of r, g and b takes 1 to 8", text, f.Bits, "rgb"[i])
		}
		w.Fields[i] = f
	}
	return w, nil
}

// readMapWord reads a word of t, the number of a tile, p, of its palette, and h
// and v, mirrored across and upside down.
func readMapWord(text string) (w pixfmt.MapWord, err error) {
	n, fields, err := readWord(text, "tphv")
	if err != nil {
		return w, err
	}
	w.Bytes, w.Tile, w.Palette, w.FlipX, w.FlipY = n, fields[0], fields[1], fields[2], fields[3]
	switch {
	case n > 2:
		return w, fmt.Errorf("%q has %d bits; a word of a tile map has 8 or 16", text, 8*n)
	case w.Tile.Bits == 0:
		return w, fmt.Errorf("%q has no bits of t, the number of a tile", text)
	case w.FlipX.Bits > 1 || w.FlipY.Bits > 1:
		return w, fmt.Errorf("%q: h and v take one bit each", text)
	}
	return w, nil
}

// spellWord is the inverse of readWord.
func spellWord(bytes int, letters string, fields ...pixfmt.BitField) string {
	bits := []byte(strings.Repeat("-", 8*bytes))
	for i, f := range fields {
		for k := range f.Bits {
			if at := len(bits) - 1 - f.Shift - k; at >= 0 && at < len(bits) {
				bits[at] = letters[i]
			}
		}
	}
	return string(bits)
}

// SpellColorWord writes a word as a profile does: "rrrrrggggggbbbbb".
func SpellColorWord(w pixfmt.ColorWord) string {
	return spellWord(w.Bytes, "rgb", w.Fields[0], w.Fields[1], w.Fields[2])
}

// SpellMapWord writes a word as a profile does: "vhpppttttttttttt".
func SpellMapWord(w pixfmt.MapWord) string {
	return spellWord(w.Bytes, "tphv", w.Tile, w.Palette, w.FlipX, w.FlipY)
}
