package pixfmt

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/timing"
)

func row(codes ...uint16) (r [3][]uint16) {
	for i := 0; i < len(codes); i += 3 {
		for c := range r {
			r[c] = append(r[c], codes[i+c])
		}
	}
	return r
}

// The palette is in order of first appearance, so that the same picture is the
// same file.
func TestIndex(t *testing.T) {
	r := &RGBRows{
		Rows: [][3][]uint16{
			row(9, 8, 7, 0, 0, 0, 9, 8, 7),
			row(0, 0, 0, 0, 0, 255, 255, 0, 0),
		},
		Lines: []int32{0, 1, 1, 0},
	}
	require.Equal(t, 3, r.Width())
	x, ok := r.Index()
	require.True(t, ok)
	assert.Equal(t, [][3]uint8{{9, 8, 7}, {0, 0, 0}, {0, 0, 255}, {255, 0, 0}}, x.Palette)
	assert.Equal(t, [][]uint16{{0, 1, 0}, {1, 2, 3}}, x.Rows)
	assert.Equal(t, r.Lines, x.Lines)
	assert.Equal(t, 3, x.Width())
	assert.Equal(t, 4, x.Height())

	// The two pictures that are made of it show the same.
	p, m := x.Paletted(), r.RGBA()
	require.Equal(t, image.Rect(0, 0, 3, 4), p.Rect)
	require.Equal(t, p.Rect, m.Rect)
	assert.True(t, m.Opaque())
	for y := range 4 {
		for x := range 3 {
			c := r.Rows[r.Lines[y]]
			assert.Equal(t, [4]uint8{uint8(c[0][x]), uint8(c[1][x]), uint8(c[2][x]), 255}, [4]uint8(m.Pix[m.PixOffset(x, y):][:4]), "%d, %d", x, y)
			assert.Equal(t, m.RGBAAt(x, y), p.At(x, y), "%d, %d", x, y)
		}
	}
}

func TestIndexLimit(t *testing.T) {
	var a, b []uint16
	for i := range uint16(256) {
		a = append(a, i, 255-i, 0)
		b = append(b, 255-i, i, 0) // no further color
	}
	x, ok := (&RGBRows{Rows: [][3][]uint16{row(a...), row(b...)}, Lines: []int32{0, 1}}).Index()
	require.True(t, ok, "256 colors fit")
	assert.Len(t, x.Palette, 256)

	b[len(b)-1] = 1
	_, ok = (&RGBRows{Rows: [][3][]uint16{row(a...), row(b...)}, Lines: []int32{0, 1}}).Index()
	assert.False(t, ok, "257 colors do not")
}

func TestRGBA64(t *testing.T) {
	r := &RGBRows{Rows: [][3][]uint16{row(0x1234, 0xfedc, 0x00ff), row(1, 2, 3)}, Lines: []int32{1, 0, 1}}
	m := r.RGBA64()
	require.Equal(t, image.Rect(0, 0, 1, 3), m.Rect)
	assert.True(t, m.Opaque())
	got := m.RGBA64At(0, 1)
	assert.Equal(t, [3]uint16{0x1234, 0xfedc, 0x00ff}, [3]uint16{got.R, got.G, got.B})
	assert.Equal(t, m.RGBA64At(0, 0), m.RGBA64At(0, 2))
}

// Frame: all codes of each channel come back from the samples as they were.
func TestIndexedFrame(t *testing.T) {
	x := &Indexed{Lines: []int32{1, 0}}
	for row := range 2 {
		var indexes []uint16
		for i := range 256 {
			indexes = append(indexes, uint16(len(x.Palette)))
			x.Palette = append(x.Palette, [3]uint8{uint8(i), uint8(255 - i), uint8(i*37 + row*101)})
		}
		x.Rows = append(x.Rows, indexes)
	}
	f := x.Frame(&timing.Raster{Width: 256, Lines: make([]timing.Line, 2)})
	rows := RoundRGB(f, colorimetry.RGB8)
	for y, line := range x.Lines {
		for i, v := range x.Rows[line] {
			c := rows.Rows[rows.Lines[y]]
			assert.Equal(t, x.Palette[v], [3]uint8{uint8(c[0][i]), uint8(c[1][i]), uint8(c[2][i])}, "%d, %d", i, y)
		}
	}
}
