package pixfmt

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// framebuffers are those that the tests go through.
func framebuffers() map[string]*Framebuffer {
	all := map[string]*Framebuffer{}
	for _, align := range []int{0, 4, 16, 3} {
		for _, bits := range []int{1, 2, 4, 8} {
			for _, high := range []bool{false, true} {
				all[fmt.Sprintf("%d bits, high first %v, rows at %d", bits, high, align)] = &Framebuffer{Bits: bits, HighFirst: high, Align: align}
			}
		}
		for name, w := range colorWords() {
			all[fmt.Sprintf("%s, rows at %d", name, align)] = &Framebuffer{Color: w, Align: align}
		}
	}
	return all
}

// randomIndexed returns a picture of few distinct rows of colors that f can hold.
func randomIndexed(rnd *rand.Rand, f *Framebuffer, width, height int) *Indexed {
	x := &Indexed{}
	colors := 1 << f.Bits
	if f.Bits == 0 {
		seen := map[[3]uint8]bool{}
		for range 300 {
			if c := f.Color.Color(rnd.Uint32()); !seen[c] {
				seen[c] = true
				x.Palette = append(x.Palette, c)
			}
		}
		colors = len(x.Palette)
	} else {
		for range colors {
			x.Palette = append(x.Palette, [3]uint8{uint8(rnd.UintN(256)), uint8(rnd.UintN(256)), uint8(rnd.UintN(256))})
		}
	}
	for range max(1, height-2) {
		row := make([]uint16, width)
		for i := range row {
			row[i] = uint16(rnd.IntN(colors))
		}
		x.Rows = append(x.Rows, row)
	}
	for range height {
		x.Lines = append(x.Lines, int32(rnd.IntN(len(x.Rows))))
	}
	return x
}

// slowIndex reads an index with nothing but what is declared of the memory: a
// row is a string of bits, and HighFirst says from which end of a byte they are
// counted, and which of an index comes first.
func slowIndex(row []byte, f *Framebuffer, i int) (v int) {
	for k := range f.Bits {
		n := i*f.Bits + k
		if f.HighFirst {
			v = 2*v + int(row[n/8])>>(7-n%8)&1
		} else {
			v += int(row[n/8]) >> (n % 8) & 1 << k
		}
	}
	return v
}

// The picture is rebuilt from the bytes alone, for every form and for widths
// that leave bits of the last byte over.
func TestFramebuffer(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 7))
	for name, f := range framebuffers() {
		t.Run(name, func(t *testing.T) {
			for _, width := range []int{1, 7, 8, 16, 29, 320} {
				x := randomIndexed(rnd, f, width, 5)
				b, err := f.Pack(x)
				require.NoError(t, err)
				stride := f.Stride(width)
				require.Len(t, b, 5*stride)
				require.Zero(t, stride%max(1, f.Align), "rows are not aligned")
				used := 8 * stride
				for j := range 5 {
					line := b[j*stride : (j+1)*stride]
					for i, v := range x.Rows[x.Lines[j]] {
						if f.Bits != 0 {
							if got := slowIndex(line, f, i); got != int(v) {
								require.Equal(t, int(v), got, "line %d, pixel %d", j, i)
							}
							used = width * f.Bits
							continue
						}
						word := line[i*f.Color.Bytes:][:f.Color.Bytes]
						if got := slowColor(word, f.Color); got != x.Palette[v] {
							require.Equal(t, x.Palette[v], got, "line %d, pixel %d", j, i)
						}
						used = width * f.Color.Bytes * 8
					}
					for _, v := range line[(used+7)/8:] {
						require.Zero(t, v, "line %d: bytes that no pixel needs", j)
					}
				}
				palette := x.Palette
				if f.Bits == 0 {
					palette = nil
				}
				got, err := f.Unpack(b, width, 5, palette)
				require.NoError(t, err)
				for j := range 5 {
					for i, v := range x.Rows[x.Lines[j]] {
						if c := got.Palette[got.Rows[got.Lines[j]][i]]; c != x.Palette[v] {
							require.Equal(t, x.Palette[v], c, "line %d, pixel %d, read", j, i)
						}
					}
				}
				if f.Bits != 0 {
					require.Equal(t, x.Palette, got.Palette)
				}
			}
		})
	}
}

// What a row of five pixels is in bytes, counted by hand.
func TestFramebufferBytes(t *testing.T) {
	for _, tt := range []struct {
		f    Framebuffer
		want []byte
	}{
		{Framebuffer{Bits: 1, HighFirst: true}, []byte{0b01101_000}},
		{Framebuffer{Bits: 1}, []byte{0b000_10110}},
		{Framebuffer{Bits: 2, HighFirst: true}, []byte{0b00_01_01_00, 0b01_000000}},
		{Framebuffer{Bits: 2}, []byte{0b00_01_01_00, 0b01}},
		{Framebuffer{Bits: 4, HighFirst: true}, []byte{0x01, 0x10, 0x10}},
		{Framebuffer{Bits: 4, Align: 4}, []byte{0x10, 0x01, 0x01, 0}},
		{Framebuffer{Bits: 8, Align: 2}, []byte{0, 1, 1, 0, 1, 0}},
	} {
		x := &Indexed{Palette: [][3]uint8{{}, {255, 255, 255}}, Rows: [][]uint16{{0, 1, 1, 0, 1}}, Lines: []int32{0}}
		got, err := tt.f.Pack(x)
		require.NoError(t, err)
		assert.Equal(t, tt.want, got, "%+v", tt.f)
	}
}

// The palette keeps the device's own order, colors that no pixel has included.
func TestFramebufferPalette(t *testing.T) {
	word := colorWords()["rgb444, big endian"]
	f := &Framebuffer{Bits: 4, Palette: &word}
	x := &Indexed{Palette: [][3]uint8{{0x11, 0x22, 0x33}, {0xff, 0, 0}, {0, 0, 0xee}}, Rows: [][]uint16{{2, 0}}, Lines: []int32{0}}
	got, err := f.PackPalette(x)
	require.NoError(t, err)
	assert.Equal(t, []byte{0x01, 0x23, 0x0f, 0x00, 0x00, 0x0e}, got)
	f.Palette = nil
	got, err = f.PackPalette(x)
	require.NoError(t, err)
	assert.Nil(t, got, "the device's colors are fixed")
}

func TestFramebufferRefuses(t *testing.T) {
	x := &Indexed{Palette: make([][3]uint8, 20), Rows: [][]uint16{{0, 1}, {0, 17}}, Lines: []int32{0, 1}}
	bad := func(change func(x *Indexed)) *Indexed {
		y := &Indexed{Palette: x.Palette, Rows: [][]uint16{{0, 1}, {0, 2}}, Lines: []int32{0, 1}}
		change(y)
		return y
	}
	for _, tt := range []struct {
		f    Framebuffer
		x    *Indexed
		want string
	}{
		{Framebuffer{Bits: 3}, x, "indexes of 3 bits; a framebuffer can have 1, 2, 4 or 8"},
		{Framebuffer{}, x, "a color word of 0 bytes"},
		{Framebuffer{Bits: 8, Palette: &ColorWord{}}, x, "a color word of 0 bytes"},
		{Framebuffer{Bits: 8, Align: 5000}, x, "rows aligned to 5000 bytes; it can be 0 to 4096"},
		{Framebuffer{Bits: 8, Align: -1}, x, "rows aligned to -1"},
		{Framebuffer{Bits: 4}, x, "row 1, pixel 1 has color number 17, and there is room for 16 colors; take a pattern of fewer colors"},
		{Framebuffer{Bits: 8}, bad(func(x *Indexed) { x.Rows[1] = x.Rows[1][:1] }), "row 1 has 1 pixels, and row 0 has 2"},
		{Framebuffer{Bits: 8}, bad(func(x *Indexed) { x.Lines[1] = 2 }), "line 1 shows row 2 of 2"},
		{Framebuffer{Bits: 8}, bad(func(x *Indexed) { x.Rows = nil }), "a picture without rows"},
		{Framebuffer{Bits: 8}, bad(func(x *Indexed) { x.Lines = nil }), "a picture of 2 x 0 pixels"},
		{Framebuffer{Color: colorWords()["rgb333 in 16 bits"]}, bad(func(x *Indexed) { x.Palette = [][3]uint8{{}, {1, 2, 3}, {}} }), "color 1, 2, 3 in a word of 3:3:3 bits"},
	} {
		_, err := tt.f.Pack(tt.x)
		assert.ErrorContains(t, err, tt.want)
	}
	// A color that no pixel has does not matter where no palette is written.
	f := &Framebuffer{Color: colorWords()["rgb333 in 16 bits"]}
	_, err := f.Pack(bad(func(x *Indexed) { x.Palette = [][3]uint8{{}, {}, {}, {1, 2, 3}} }))
	require.NoError(t, err)

	for _, tt := range []struct {
		bytes, w, h int
		want        string
	}{
		{3, 3, 2, "3 bytes; a picture of 3 x 2 pixels has 4"},
		{0, 0, 2, "a picture of 0 x 2 pixels; each side must be 1 to 32768"},
		{0, 1 << 40, 1, "each side must be"},
	} {
		_, err := (&Framebuffer{Bits: 4}).Unpack(make([]byte, tt.bytes), tt.w, tt.h, make([][3]uint8, 16))
		assert.ErrorContains(t, err, tt.want)
	}
	_, err = (&Framebuffer{Bits: 4}).Unpack([]byte{0x0f}, 2, 1, make([][3]uint8, 9))
	assert.ErrorContains(t, err, "has color number 15, and there is room for 9 colors")
	many := make([]byte, 3*70000)
	for i := range 70000 {
		many[3*i], many[3*i+1], many[3*i+2] = byte(i), byte(i>>8), byte(i>>16)
	}
	_, err = (&Framebuffer{Color: colorWords()["rgb888"]}).Unpack(many, 10000, 7, nil)
	assert.ErrorContains(t, err, "a picture of more than 65,536 colors")
}

// FuzzFramebuffer: bytes are refused, or are a picture that packs to bytes of
// the same picture.
func FuzzFramebuffer(f *testing.F) {
	f.Add(4, true, uint8(3), 6, 2, make([]byte, 6))
	f.Add(0, false, uint8(1), 3, 3, []byte{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18})
	f.Add(1, false, uint8(16), 9, 1, make([]byte, 16))
	words := colorWords()
	names := []string{"rgb565", "rgb555, big endian", "rgb333 in nibbles", "rgb888", "rgb888 in 32 bits", "one bit each"}
	palette := make([][3]uint8, 200)
	f.Fuzz(func(t *testing.T, bits int, high bool, align uint8, w, h int, src []byte) {
		fb := &Framebuffer{Bits: bits, HighFirst: high, Align: int(align)}
		colors := palette
		if bits == 0 {
			fb.Color, colors = words[names[int(align)%len(names)]], nil
		}
		x, err := fb.Unpack(src, w, h, colors)
		if err != nil {
			return
		}
		b, err := fb.Pack(x)
		require.NoError(t, err)
		require.Len(t, b, len(src))
		again, err := fb.Unpack(b, w, h, colors)
		require.NoError(t, err)
		require.Equal(t, x, again)
	})
}
