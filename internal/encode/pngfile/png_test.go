package pngfile

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/oracle"
	"backporch/internal/pixfmt"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sampled returns a pattern as an R'G'B' file shows it.
func sampled(t testing.TB, spec, raster string, k *colorimetry.Coding) *frame.Frame {
	t.Helper()
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	r := timing.Lookup(raster)
	s, err := p.Scene(pattern.NewView(r, k, frame.S444, pattern.Shaped))
	require.NoError(t, err)
	f, err := pattern.Sample(s, r, frame.S444, 0)
	require.NoError(t, err)
	return f
}

// colors returns a frame of n different colors.
func colors(n int) *frame.Frame {
	f := &frame.Frame{Raster: timing.Lookup("240p"), Sampling: frame.S444}
	width, height := f.Raster.Width, f.Raster.Height()
	for c := range f.Planes {
		rows := make([][]float64, height)
		lines := make([]int32, height)
		for j := range rows {
			rows[j], lines[j] = make([]float64, width), int32(j)
		}
		f.Planes[c] = frame.Plane{Rows: rows, Lines: lines}
	}
	for i := range width * height {
		v := i % n
		s := colorimetry.FromRGB(float64(v%256)/255, float64(v/256)/255, 0)
		for c, x := range []float64{s.Y, s.CB, s.CR} {
			f.Planes[c].Rows[i/width][i%width] = x
		}
	}
	return f
}

// The samples that netpbm finds are the rounded definition, whichever way the
// picture is stored.
func TestEncode(t *testing.T) {
	for _, tt := range []struct {
		name   string
		f      *frame.Frame
		k      *colorimetry.Coding
		stored string // by pngcheck
	}{
		{"bars", sampled(t, "bars-full", "486i", colorimetry.RGB8), colorimetry.RGB8, "720 x 486 image, 8-bit palette, non-interlaced"},
		{"few colors", sampled(t, "pluge", "240p", colorimetry.RGB8), colorimetry.RGB8, "720 x 240 image, 8-bit palette, non-interlaced"},
		{"one color", sampled(t, "flat", "240p", colorimetry.RGB8), colorimetry.RGB8, "720 x 240 image, 8-bit palette, non-interlaced"},
		{"studio range", sampled(t, "bars-full", "480i", colorimetry.RGB8Studio), colorimetry.RGB8Studio, "720 x 480 image, 8-bit palette, non-interlaced"},
		{"256 colors", colors(256), colorimetry.RGB8, "720 x 240 image, 8-bit palette, non-interlaced"},
		{"257 colors", colors(257), colorimetry.RGB8, "720 x 240 image, 24-bit RGB, non-interlaced"},
		{"16 bits", sampled(t, "bars-full", "240p", colorimetry.RGB16), colorimetry.RGB16, "720 x 240 image, 48-bit RGB, non-interlaced"},
		{"16 bits, studio range", sampled(t, "ramp", "240p", colorimetry.RGB16Studio), colorimetry.RGB16Studio, "720 x 240 image, 48-bit RGB, non-interlaced"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var b bytes.Buffer
			require.NoError(t, Encode(&b, tt.f, tt.k, Meta{Shape: tt.f.Raster.PixelShape()}))
			chunks := oracle.CheckPNG(t, b.Bytes())
			assert.Equal(t, tt.stored, chunks[0].Detail)
			got, want := oracle.ReadPNG(t, b.Bytes()), pixfmt.Round(tt.f, tt.k)
			require.Equal(t, [3]int{want.Width, want.Height, 1<<tt.k.Bits - 1}, [3]int{got.W, got.H, got.Max})
			for i := range got.W * got.H {
				if s := [3]uint16{want.Planes[0][i], want.Planes[1][i], want.Planes[2][i]}; s != [3]uint16(got.RGB[3*i:]) {
					require.Fail(t, fmt.Sprintf("sample %d of row %d is %v, want %v", i%got.W, i/got.W, got.RGB[3*i:3*i+3], s))
				}
			}

			var again bytes.Buffer
			require.NoError(t, Encode(&again, tt.f, tt.k, Meta{Shape: tt.f.Raster.PixelShape()}))
			assert.True(t, bytes.Equal(b.Bytes(), again.Bytes()), "the same picture makes another file")
		})
	}
}

// Which chunks there are, in order, and what stands in them: W3C PNG third
// edition, 11.3.4.3 (pHYs) and 11.3.3.2 (tEXt). Nothing about color.
func TestChunks(t *testing.T) {
	f := sampled(t, "bars-full", "240p", colorimetry.RGB8)
	var b bytes.Buffer
	require.NoError(t, Encode(&b, f, colorimetry.RGB8, Meta{
		Text:  [][2]string{{"Title", "bars-full set=75/0/75/0"}, {"Comment", "Café, 45°\nBench A"}},
		Shape: timing.R(12, 11),
	}))
	var names []string
	data := map[string][][]byte{}
	for _, c := range oracle.CheckPNG(t, b.Bytes()) {
		if len(names) == 0 || c.Type != "IDAT" || names[len(names)-1] != "IDAT" {
			names = append(names, c.Type)
		}
		at := c.Offset + 4 // the offset is that of the type
		if c.Type == "pHYs" || c.Type == "tEXt" {
			require.Equal(t, c.Type, string(b.Bytes()[c.Offset:at]))
			data[c.Type] = append(data[c.Type], b.Bytes()[at:at+c.Length])
		}
	}
	assert.Equal(t, []string{"IHDR", "pHYs", "tEXt", "tEXt", "PLTE", "IDAT", "IEND"}, names)
	// A pixel 12:11 wide has 11 to the unit across and 12 down; unit 0, unknown.
	assert.Equal(t, [][]byte{{0, 0, 0, 11, 0, 0, 0, 12, 0}}, data["pHYs"])
	assert.Equal(t, [][]byte{
		[]byte("Title\x00bars-full set=75/0/75/0"),
		[]byte("Comment\x00Caf\xe9, 45\xb0\nBench A"),
	}, data["tEXt"])

	// Without a shape there is no pHYs.
	b.Reset()
	require.NoError(t, Encode(&b, f, colorimetry.RGB8, Meta{}))
	assert.NotContains(t, b.String(), "pHYs")
}

// Pixel width over height is ppuY over ppuX for every raster.
func TestShape(t *testing.T) {
	for _, r := range timing.Rasters() {
		b, err := Meta{Shape: r.PixelShape()}.chunks()
		require.NoError(t, err)
		require.Equal(t, "pHYs", string(b[4:8]))
		x, y := binary.BigEndian.Uint32(b[8:]), binary.BigEndian.Uint32(b[12:])
		assert.Equal(t, r.PixelShape(), timing.R(int64(y), int64(x)), r.Name)
	}
}

func TestMetaRefuses(t *testing.T) {
	f := sampled(t, "flat", "240p", colorimetry.RGB8)
	for _, tt := range []struct {
		m    Meta
		want string
	}{
		{Meta{Text: [][2]string{{"Title", "5 ≤ 7"}}}, `text of "Title": '≤' is not in Latin-1`},
		{Meta{Text: [][2]string{{"Title", "a\x00b"}}}, `text of "Title": '\x00' is not in Latin-1`},
		{Meta{Text: [][2]string{{"", "text"}}}, `keyword "": 0 bytes; it must have 1 to 79`},
		{Meta{Text: [][2]string{{strings.Repeat("k", 80), "text"}}}, "80 bytes"},
		{Meta{Text: [][2]string{{" Title", "text"}}}, "spaces must be single and inside"},
		{Meta{Text: [][2]string{{"The  title", "text"}}}, "spaces must be single and inside"},
		{Meta{Text: [][2]string{{"Titel☺", "text"}}}, "is not in Latin-1"},
		{Meta{Shape: timing.R(-1, 2)}, "a pixel shape of -1/2 cannot be written"},
		{Meta{Shape: timing.R(1, 1<<40)}, "both numbers must be 1 to 2147483647"},
	} {
		var b bytes.Buffer
		assert.ErrorContains(t, Encode(&b, f, colorimetry.RGB8, tt.m), tt.want)
		assert.Zero(t, b.Len(), "something was written before the error")
	}
	assert.Panics(t, func() { _ = Encode(new(bytes.Buffer), f, colorimetry.YCbCr8, Meta{}) })
	assert.Panics(t, func() { _ = Encode(new(bytes.Buffer), f, colorimetry.RGB565, Meta{}) })
}

// A writer that takes n bytes and then fails.
type short struct{ n int }

func (s *short) Write(p []byte) (int, error) {
	if len(p) > s.n {
		return s.n, fmt.Errorf("no space left")
	}
	s.n -= len(p)
	return len(p), nil
}

func TestWriteErrors(t *testing.T) {
	f := sampled(t, "flat", "240p", colorimetry.RGB8)
	m := Meta{Shape: timing.R(5, 11)}
	var b bytes.Buffer
	require.NoError(t, Encode(&b, f, colorimetry.RGB8, m))
	for _, n := range []int{0, 32, 33, 40, b.Len() - 1} {
		assert.EqualError(t, Encode(&short{n}, f, colorimetry.RGB8, m), "no space left", "after %d bytes", n)
	}
	assert.NoError(t, Encode(&short{b.Len()}, f, colorimetry.RGB8, m))
}

// palette returns a picture of n colors, the last of its palette in no use and
// the others in another order than that of their appearance.
func palette(n int) *pixfmt.Indexed {
	x := &pixfmt.Indexed{Rows: [][]uint16{nil, nil}, Lines: []int32{1, 0, 0}}
	for i := range n {
		x.Palette = append(x.Palette, [3]uint8{uint8(i), uint8(i >> 8), uint8(7 * i)})
	}
	for i := range max(1, n-1) {
		x.Rows[0] = append(x.Rows[0], uint16(i))
		x.Rows[1] = append(x.Rows[1], uint16(max(1, n-1)-1-i))
	}
	return x
}

// The palette of an indexed picture has its colors and no others, in their
// order, and its pixels their numbers, at every depth.
func TestEncodeIndexed(t *testing.T) {
	for _, tt := range []struct {
		colors int
		stored string // by pngcheck
	}{
		{1, "1-bit palette"}, {2, "1-bit palette"}, {3, "2-bit palette"}, {4, "2-bit palette"}, {5, "4-bit palette"},
		{16, "4-bit palette"}, {17, "8-bit palette"}, {128, "8-bit palette"}, {256, "8-bit palette"}, {257, "24-bit RGB"}, {4096, "24-bit RGB"},
	} {
		x := palette(tt.colors)
		var b bytes.Buffer
		require.NoError(t, EncodeIndexed(&b, x, Meta{Shape: timing.R(8, 7), Text: [][2]string{{"Title", "bars-full"}}}))
		m, err := png.Decode(bytes.NewReader(b.Bytes()))
		require.NoError(t, err)
		require.Equal(t, x.Width(), m.Bounds().Dx())
		p, paletted := m.(*image.Paletted)
		require.Equal(t, tt.colors <= 256, paletted)
		if paletted {
			require.Len(t, p.Palette, tt.colors)
			for i, c := range x.Palette {
				require.Equal(t, color.RGBA{c[0], c[1], c[2], 255}, p.Palette[i], "entry %d of %d", i, tt.colors)
			}
		}
		for j, n := range x.Lines {
			for i, v := range x.Rows[n] {
				if paletted {
					require.Equal(t, v, uint16(p.ColorIndexAt(i, j)), "line %d, pixel %d", j, i)
				}
				r, g, b, _ := m.At(i, j).RGBA()
				require.Equal(t, x.Palette[v], [3]uint8{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8)}, "line %d, pixel %d", j, i)
			}
		}
		chunks := oracle.CheckPNG(t, b.Bytes())
		assert.Equal(t, fmt.Sprintf("%d x 3 image, %s, non-interlaced", x.Width(), tt.stored), chunks[0].Detail)
		for _, c := range chunks {
			if c.Type == "PLTE" {
				assert.Equal(t, 3*tt.colors, c.Length)
			}
		}
		// netpbm reads the same colors.
		got := oracle.ReadPNG(t, b.Bytes())
		require.Equal(t, 255, got.Max)
		for j, n := range x.Lines {
			for i, v := range x.Rows[n] {
				c := got.At(i, j)
				for k := range c {
					require.Equal(t, uint16(x.Palette[v][k]), c[k], "line %d, pixel %d", j, i)
				}
			}
		}
	}
}
