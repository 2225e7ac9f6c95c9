package pixfmt

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The words that the tests go through, in both byte orders.
func colorWords() map[string]ColorWord {
	words := map[string]ColorWord{
		"rgb333 in 16 bits": {2, false, [3]BitField{{6, 3}, {3, 3}, {0, 3}}},
		"rgb333 in nibbles": {2, false, [3]BitField{{1, 3}, {5, 3}, {9, 3}}},
		"rgb444":            {2, false, [3]BitField{{8, 4}, {4, 4}, {0, 4}}},
		"rgb555":            {2, false, [3]BitField{{10, 5}, {5, 5}, {0, 5}}},
		"rgb565":            {2, false, [3]BitField{{11, 5}, {5, 6}, {0, 5}}},
		"bgr555":            {2, false, [3]BitField{{0, 5}, {5, 5}, {10, 5}}},
		"rgb332":            {1, false, [3]BitField{{5, 3}, {2, 3}, {0, 2}}},
		"rgb888":            {3, false, [3]BitField{{16, 8}, {8, 8}, {0, 8}}},
		"rgb888 in 32 bits": {4, false, [3]BitField{{24, 8}, {16, 8}, {8, 8}}},
		"one bit each":      {1, false, [3]BitField{{7, 1}, {4, 1}, {0, 1}}},
	}
	for name, w := range words {
		w.BigEndian = true
		words[name+", big endian"] = w
	}
	return words
}

// slowColor reads a color word with nothing but what is declared of it.
func slowColor(src []byte, w ColorWord) (c [3]uint8) {
	bit := func(n int) int { // bit n of the word, 0 the least
		at := n / 8
		if w.BigEndian {
			at = w.Bytes - 1 - at
		}
		return int(src[at]) / (1 << (n % 8)) % 2
	}
	for i, f := range w.Fields {
		v := 0
		for k := f.Bits - 1; k >= 0; k-- {
			v = 2*v + bit(f.Shift+k)
		}
		c[i] = uint8(math.Round(255 * float64(v) / (math.Pow(2, float64(f.Bits)) - 1)))
	}
	return c
}

// Every value of every channel comes back, from the words and from the bytes,
// and no 8-bit code between two of them is taken.
func TestColorWord(t *testing.T) {
	for name, w := range colorWords() {
		t.Run(name, func(t *testing.T) {
			require.NoError(t, w.Check())
			for i, f := range w.Fields {
				taken := map[int]bool{}
				for v := range 1 << f.Bits {
					color := w.Color(uint32(v) << f.Shift)
					require.Zero(t, color[(i+1)%3])
					require.Zero(t, color[(i+2)%3])
					word, err := w.Word(color)
					require.NoError(t, err)
					require.Equal(t, uint32(v)<<f.Shift, word)
					b, err := w.AppendPalette(nil, [][3]uint8{color})
					require.NoError(t, err)
					require.Len(t, b, w.Bytes)
					require.Equal(t, color, slowColor(b, w))
					back, err := w.ReadPalette(b)
					require.NoError(t, err)
					require.Equal(t, [][3]uint8{color}, back)
					taken[int(color[i])] = true
				}
				require.Len(t, taken, 1<<f.Bits, "two values show the same")
				for v := range 256 {
					var color [3]uint8
					color[i] = uint8(v)
					_, err := w.Word(color)
					require.Equal(t, taken[v], err == nil, "%v", color)
				}
			}
			white, err := w.Word([3]uint8{255, 255, 255})
			require.NoError(t, err)
			var all uint32
			for _, f := range w.Fields {
				all |= (1<<f.Bits - 1) << f.Shift
			}
			assert.Equal(t, all, white, "white is all ones")
		})
	}
}

// Byte orders as the Linux kernel's video pixel-format documents have them:
// RGB565 byte 0 is g2-0 b4-0, byte 1 r4-0 g5-3; XRGB555 byte 0 g2-0 b4-0, byte
// 1 x r4-0 g4-3; RGB332 r2-0 g2-0 b1-0. The others by the same rule: counted by
// hand from their fields.
func TestColorWordBytes(t *testing.T) {
	words := colorWords()
	at := func(v, bits int) uint8 { return expand(v, BitField{Bits: bits}) }
	for _, tt := range []struct {
		word  string
		color [3]uint8
		want  []byte
	}{
		{"rgb565", [3]uint8{at(0b10110, 5), at(0b101011, 6), at(0b01101, 5)}, []byte{0b011_01101, 0b10110_101}},
		{"rgb565, big endian", [3]uint8{at(0b10110, 5), at(0b101011, 6), at(0b01101, 5)}, []byte{0b10110_101, 0b011_01101}},
		{"rgb555", [3]uint8{at(0b10110, 5), at(0b10101, 5), at(0b01101, 5)}, []byte{0b101_01101, 0b0_10110_10}},
		{"bgr555", [3]uint8{at(0b10110, 5), at(0b10101, 5), at(0b01101, 5)}, []byte{0b101_10110, 0b0_01101_10}},
		{"rgb444", [3]uint8{at(0xa, 4), at(0xb, 4), at(0xc, 4)}, []byte{0xbc, 0x0a}},
		{"rgb332", [3]uint8{at(0b101, 3), at(0b011, 3), at(0b10, 2)}, []byte{0b101_011_10}},
		{"rgb333 in 16 bits", [3]uint8{at(0b101, 3), at(0b011, 3), at(0b110, 3)}, []byte{0b01_011_110, 0b1}},
		{"rgb888 in 32 bits, big endian", [3]uint8{1, 2, 3}, []byte{1, 2, 3, 0}},
	} {
		got, err := words[tt.word].AppendPalette(nil, [][3]uint8{tt.color})
		require.NoError(t, err, tt.word)
		assert.Equal(t, tt.want, got, tt.word)
	}
	// The eight levels of three bits, 255*v/7 rounded (calculated).
	for v, want := range []uint8{0, 36, 73, 109, 146, 182, 219, 255} {
		assert.Equal(t, want, at(v, 3))
	}
}

func TestColorWordRefuses(t *testing.T) {
	rgb := func(bytes int, r, g, b BitField) ColorWord {
		return ColorWord{Bytes: bytes, Fields: [3]BitField{r, g, b}}
	}
	for _, tt := range []struct {
		w    ColorWord
		want string
	}{
		{rgb(0, BitField{0, 1}, BitField{1, 1}, BitField{2, 1}), "a color word of 0 bytes; it can have 1 to 4"},
		{rgb(5, BitField{0, 1}, BitField{1, 1}, BitField{2, 1}), "5 bytes"},
		{rgb(1, BitField{0, 1}, BitField{1, 0}, BitField{2, 1}), "a color word with 0 bits of green; it can have 1 to 8"},
		{rgb(2, BitField{0, 9}, BitField{9, 1}, BitField{10, 1}), "9 bits of red"},
		{rgb(1, BitField{0, 3}, BitField{3, 3}, BitField{6, 3}), "a color word of 8 bits with blue in bits 6 to 8"},
		{rgb(1, BitField{-1, 3}, BitField{3, 3}, BitField{6, 2}), "red in bits -1 to 1"},
		{rgb(2, BitField{0, 5}, BitField{4, 5}, BitField{10, 5}), "a color word with green in bits 4 to 8, where another field is"},
	} {
		assert.ErrorContains(t, tt.w.Check(), tt.want)
		_, err := tt.w.AppendPalette(nil, nil)
		assert.Error(t, err)
		_, err = tt.w.ReadPalette(nil)
		assert.Error(t, err)
	}
	w := colorWords()["rgb555"]
	_, err := w.AppendPalette(nil, [][3]uint8{{0, 0, 0}, {0, 130, 0}})
	assert.ErrorContains(t, err, "palette entry 1: pixfmt: unsupported: color 0, 130, 0 in a word of 5:5:5 bits, whose nearest level to 130 is 132; give the device's colors the bits of its words")
	_, err = w.ReadPalette(make([]byte, 3))
	assert.ErrorContains(t, err, "a palette of 3 bytes; its words have 2")
}
