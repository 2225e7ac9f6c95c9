package pixfmt

import "fmt"

// put returns the field's part of a word that holds v. v must fit.
func (f BitField) put(v int) uint32 { return uint32(v) << f.Shift }

// get returns what a word holds in the field; 0 for a field of no bits.
func (f BitField) get(word uint32) int { return int(word >> f.Shift & f.mask()) }

func (f BitField) mask() uint32 { return 1<<f.Bits - 1 }

// top is the highest value of the field.
func (f BitField) top() int { return int(f.mask()) }

// A namedField is a field of a word, with its name for messages and the least
// and most bits that it may have.
type namedField struct {
	name string
	BitField
	least, most int
}

// checkWord refuses fields that a word of so many bytes cannot have.
func checkWord(what string, bytes, mostBytes int, fields []namedField) error {
	if bytes < 1 || bytes > mostBytes {
		return UnsupportedError(fmt.Sprintf("%s of %d bytes; it can have 1 to %d", what, bytes, mostBytes))
	}
	var taken uint32
	for _, f := range fields {
		switch {
		case f.Bits < f.least || f.Bits > f.most:
			return UnsupportedError(fmt.Sprintf("%s with %d bits of %s; it can have %d to %d", what, f.Bits, f.name, f.least, f.most))
		case f.Bits == 0:
			continue
		case f.Shift < 0 || f.Shift+f.Bits > 8*bytes:
			return UnsupportedError(fmt.Sprintf("%s of %d bits with %s in bits %d to %d", what, 8*bytes, f.name, f.Shift, f.Shift+f.Bits-1))
		case taken&(f.mask()<<f.Shift) != 0:
			return UnsupportedError(fmt.Sprintf("%s with %s in bits %d to %d, where another field is", what, f.name, f.Shift, f.Shift+f.Bits-1))
		}
		taken |= f.mask() << f.Shift
	}
	return nil
}

// appendWord appends a word of 1 to 4 bytes.
func appendWord(dst []byte, word uint32, bytes int, bigEndian bool) []byte {
	for i := range bytes {
		if bigEndian {
			i = bytes - 1 - i
		}
		dst = append(dst, byte(word>>(8*i)))
	}
	return dst
}

// wordAt returns the word that src is.
func wordAt(src []byte, bigEndian bool) (word uint32) {
	for i, b := range src {
		if bigEndian {
			i = len(src) - 1 - i
		}
		word |= uint32(b) << (8 * i)
	}
	return word
}

// Check refuses a word that cannot be: of more than 4 bytes, with a channel of
// no bits or more than 8, or with fields outside of it or over each other.
func (w ColorWord) Check() error {
	return checkWord("a color word", w.Bytes, 4, []namedField{
		{"red", w.Fields[0], 1, 8}, {"green", w.Fields[1], 1, 8}, {"blue", w.Fields[2], 1, 8},
	})
}

// Word returns the word of a color of 8-bit codes. Each must be what a code c
// of the field's n bits shows, 255*c/(2^n-1) rounded: others are refused, since
// the device could not show them.
func (w ColorWord) Word(color [3]uint8) (word uint32, err error) {
	for i, f := range w.Fields {
		c := (2*int(color[i])*f.top() + 255) / 510
		if expand(c, f) != color[i] {
			return 0, UnsupportedError(fmt.Sprintf("color %d, %d, %d in a word of %d:%d:%d bits, whose nearest level to %d is %d; give the device's colors the bits of its words",
				color[0], color[1], color[2], w.Fields[0].Bits, w.Fields[1].Bits, w.Fields[2].Bits, color[i], expand(c, f)))
		}
		word |= f.put(c)
	}
	return word, nil
}

// Color returns the color of a word as 8-bit codes. Bits outside the fields are
// ignored.
func (w ColorWord) Color(word uint32) (color [3]uint8) {
	for i, f := range w.Fields {
		color[i] = expand(f.get(word), f)
	}
	return color
}

// expand returns 255*c/top rounded. There are no ties: top is odd.
func expand(c int, f BitField) uint8 { return uint8((510*c + f.top()) / (2 * f.top())) }

// AppendPalette appends the words of colors to dst.
func (w ColorWord) AppendPalette(dst []byte, colors [][3]uint8) ([]byte, error) {
	if err := w.Check(); err != nil {
		return dst, err
	}
	for i, c := range colors {
		word, err := w.Word(c)
		if err != nil {
			return dst, fmt.Errorf("palette entry %d: %w", i, err)
		}
		dst = appendWord(dst, word, w.Bytes, w.BigEndian)
	}
	return dst, nil
}

// ReadPalette returns the colors of the words in src.
func (w ColorWord) ReadPalette(src []byte) ([][3]uint8, error) {
	if err := w.Check(); err != nil {
		return nil, err
	}
	if len(src)%w.Bytes != 0 {
		return nil, FormatError(fmt.Sprintf("a palette of %d bytes; its words have %d", len(src), w.Bytes))
	}
	colors := make([][3]uint8, len(src)/w.Bytes)
	for i := range colors {
		colors[i] = w.Color(wordAt(src[i*w.Bytes:(i+1)*w.Bytes], w.BigEndian))
	}
	return colors, nil
}
