package bmpfile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/color"
	"os/exec"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/oracle"
	"backporch/internal/pixfmt"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/bmp"
)

func sampled(t *testing.T, spec string, r *timing.Raster, k *colorimetry.Coding) *frame.Frame {
	t.Helper()
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	s, err := p.Scene(pattern.NewView(r, k, frame.S444, pattern.Shaped))
	require.NoError(t, err)
	f, err := pattern.Sample(s, r, frame.S444, 0)
	require.NoError(t, err)
	return f
}

// narrow returns a raster whose rows are no multiple of four bytes.
func narrow() *timing.Raster {
	r := *timing.Lookup("240p")
	r.Width, r.Name = 701, "701 samples"
	return &r
}

// netpbm finds the rounded definition in the file, with a palette and without.
func TestEncode(t *testing.T) {
	path := oracle.Need(t, "bmptopnm")
	for _, tt := range []struct {
		name string
		f    *frame.Frame
		k    *colorimetry.Coding
		bits int // of a pixel: BITMAPINFOHEADER biBitCount, offset 28 (memory)
	}{
		{"bars", sampled(t, "bars-full", timing.Lookup("480i"), colorimetry.RGB8), colorimetry.RGB8, 8},
		{"studio range", sampled(t, "bars-full", timing.Lookup("240p"), colorimetry.RGB8Studio), colorimetry.RGB8Studio, 8},
		{"many colors", sampled(t, "bars-rp219", timing.Lookup("480i"), colorimetry.RGB8), colorimetry.RGB8, 24},
		{"padded rows with palette", sampled(t, "bars-full", narrow(), colorimetry.RGB8), colorimetry.RGB8, 8},
		{"padded rows of many colors", sampled(t, "bars-rp219", narrow(), colorimetry.RGB8), colorimetry.RGB8, 24},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var b bytes.Buffer
			require.NoError(t, Encode(&b, tt.f, tt.k))
			assert.Equal(t, tt.bits, int(binary.LittleEndian.Uint16(b.Bytes()[28:])))
			if tt.bits == 8 {
				for i := range 256 {
					require.Zero(t, b.Bytes()[54+4*i+3], "reserved byte of entry %d", i)
				}
			}
			cmd := exec.CommandContext(t.Context(), path, "-quiet")
			cmd.Stdin = bytes.NewReader(b.Bytes())
			out, err := cmd.Output()
			require.NoError(t, err)
			want := pixfmt.Round(tt.f, tt.k)
			head := fmt.Sprintf("P6\n%d %d\n255\n", want.Width, want.Height)
			require.True(t, bytes.HasPrefix(out, []byte(head)), "%.20q", out)
			got := out[len(head):]
			require.Len(t, got, 3*len(want.Planes[0]))
			for i := range want.Planes[0] {
				for c := range want.Planes {
					if uint16(got[3*i+c]) != want.Planes[c][i] {
						require.Fail(t, fmt.Sprintf("sample %d, component %d is %d, want %d", i, c, got[3*i+c], want.Planes[c][i]))
					}
				}
			}
		})
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestErrors(t *testing.T) {
	f := sampled(t, "bars-full", timing.Lookup("240p"), colorimetry.RGB8)
	assert.ErrorContains(t, Encode(full{}, f, colorimetry.RGB8), "no space left")
	assert.Panics(t, func() { _ = Encode(new(bytes.Buffer), f, colorimetry.RGB16) })
	assert.Panics(t, func() { _ = Encode(new(bytes.Buffer), f, colorimetry.YCbCr8) })
	assert.Panics(t, func() { _ = EncodeTrue(new(bytes.Buffer), f, colorimetry.RGB16) })
	assert.ErrorContains(t, EncodeTrue(full{}, f, colorimetry.RGB8), "no space left")
}

// netpbm returns the samples that netpbm finds in a file.
func netpbm(t *testing.T, file []byte, width, height int) []byte {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), oracle.Need(t, "bmptopnm"), "-quiet")
	cmd.Stdin = bytes.NewReader(file)
	out, err := cmd.Output()
	require.NoError(t, err)
	got, ok := bytes.CutPrefix(out, fmt.Appendf(nil, "P6\n%d %d\n255\n", width, height))
	require.True(t, ok, "%.20q", out)
	require.Len(t, got, 3*width*height)
	return got
}

// The palette of an indexed picture begins with its colors in their order, and
// its pixels are their numbers; with more than 256 or without a palette there
// are 24 bits a pixel, rows at multiples of 4 bytes (memory: BITMAPINFOHEADER).
func TestEncodeIndexed(t *testing.T) {
	for _, tt := range []struct {
		name   string
		colors int
		encode func(b *bytes.Buffer, x *pixfmt.Indexed) error
		bits   int
	}{
		{"two colors", 2, func(b *bytes.Buffer, x *pixfmt.Indexed) error { return EncodeIndexed(b, x) }, 8},
		{"128 colors", 128, func(b *bytes.Buffer, x *pixfmt.Indexed) error { return EncodeIndexed(b, x) }, 8},
		{"256 colors", 256, func(b *bytes.Buffer, x *pixfmt.Indexed) error { return EncodeIndexed(b, x) }, 8},
		{"257 colors", 257, func(b *bytes.Buffer, x *pixfmt.Indexed) error { return EncodeIndexed(b, x) }, 24},
		{"two colors without a palette", 2, func(b *bytes.Buffer, x *pixfmt.Indexed) error { return EncodeIndexedTrue(b, x) }, 24},
		{"128 colors without a palette", 128, func(b *bytes.Buffer, x *pixfmt.Indexed) error { return EncodeIndexedTrue(b, x) }, 24},
	} {
		t.Run(tt.name, func(t *testing.T) {
			x := &pixfmt.Indexed{Rows: [][]uint16{nil, nil}, Lines: []int32{1, 0, 0}}
			width := tt.colors/4*4 + 3 // rows need padding; the last color is in no use
			for i := range tt.colors {
				x.Palette = append(x.Palette, [3]uint8{uint8(255 - i), uint8(i >> 8), uint8(7 * i)})
			}
			for i := range width {
				x.Rows[0] = append(x.Rows[0], uint16((width-i)%(tt.colors-1)))
				x.Rows[1] = append(x.Rows[1], uint16(i%(tt.colors-1)))
			}
			var b bytes.Buffer
			require.NoError(t, tt.encode(&b, x))
			file := b.Bytes()
			assert.Equal(t, tt.bits, int(binary.LittleEndian.Uint16(file[28:])))
			m, err := bmp.Decode(bytes.NewReader(file))
			require.NoError(t, err)
			p, paletted := m.(*image.Paletted)
			require.Equal(t, tt.bits == 8, paletted)
			if paletted {
				require.Len(t, p.Palette, 256)
				for i := range 256 {
					want := color.RGBA{A: 255} // in no use
					if i < tt.colors {
						want = color.RGBA{x.Palette[i][0], x.Palette[i][1], x.Palette[i][2], 255}
					}
					require.Equal(t, want, color.RGBAModel.Convert(p.Palette[i]), "entry %d", i)
				}
			} else {
				require.Len(t, file, 54+3*((3*width+3)/4*4))
			}
			got := netpbm(t, file, width, 3)
			for j, n := range x.Lines {
				for i, v := range x.Rows[n] {
					if paletted {
						require.Equal(t, v, uint16(p.ColorIndexAt(i, j)), "line %d, pixel %d", j, i)
					}
					require.Equal(t, x.Palette[v], [3]uint8(got[3*(j*width+i):]), "line %d, pixel %d", j, i)
				}
			}
		})
	}
}

// A frame without a palette is that of Encode, 24 bits a pixel.
func TestEncodeTrue(t *testing.T) {
	f := sampled(t, "bars-full", narrow(), colorimetry.RGB8)
	var b, c bytes.Buffer
	require.NoError(t, EncodeTrue(&b, f, colorimetry.RGB8))
	require.NoError(t, Encode(&c, f, colorimetry.RGB8))
	require.Equal(t, [2]int{24, 8}, [2]int{int(b.Bytes()[28]), int(c.Bytes()[28])})
	height := f.Raster.Height()
	assert.Equal(t, netpbm(t, c.Bytes(), 701, height), netpbm(t, b.Bytes(), 701, height))
}
