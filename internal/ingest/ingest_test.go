package ingest

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"
	"backporch/timing"

	"golang.org/x/image/bmp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// y4mOf is a stream of one flat 8-bit frame.
func y4mOf(chroma, tags string, w, h int, codes [3]byte) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "YUV4MPEG2 W%d H%d F30000:1001 %s C%s\nFRAME\n", w, h, tags, chroma)
	n := map[string]int{"444": w * h, "422": w * h / 2}[chroma]
	if n == 0 {
		n = w * h / 4
	}
	b.Write(bytes.Repeat(codes[:1], w*h))
	b.Write(bytes.Repeat(codes[1:2], n))
	b.Write(bytes.Repeat(codes[2:], n))
	return b.Bytes()
}

// lattice is four times the subcarrier on all picture lines.
func lattice(s *timing.Scan) *timing.Raster {
	lines := []timing.Line{}
	if s.Interlaced() {
		lines = (&timing.Raster{Scan: s}).FullFrame().Lines
	} else {
		for n := 21; n <= 262; n++ {
			lines = append(lines, timing.Line{Number: n, Field: 1})
		}
	}
	start := int64(128) // within the samples of a file
	if s.System == timing.System625 {
		start = 180
	}
	return &timing.Raster{Scan: s, Clock: s.System.Subcarrier.Mul(timing.Int(4)), Start: timing.Int(start), Free: true, Width: 760, Lines: lines}
}

// TestFormats: 75 % red out of every format. Codes: ITU-R BT.601-5 clause
// 3.5.3: 65 100 212 (8 bits), 260 399 848 (10 bits).
func TestFormats(t *testing.T) {
	red := colorimetry.FromRGB(0.75, 0, 0)
	img := image.NewRGBA(image.Rect(0, 0, 720, 480))
	deep := image.NewRGBA64(img.Rect)
	for i := range 720 * 480 {
		img.SetRGBA(i%720, i/720, color.RGBA{191, 0, 0, 255})
		deep.SetRGBA64(i%720, i/720, color.RGBA64{49151, 0, 0, 65535})
	}
	studio := image.NewRGBA(img.Rect)
	for i := range 720 * 480 {
		studio.SetRGBA(i%720, i/720, color.RGBA{180, 16, 16, 255})
	}
	var asPNG, asPNG16, asBMP, asStudio bytes.Buffer
	require.NoError(t, png.Encode(&asPNG, img))
	require.NoError(t, png.Encode(&asPNG16, deep))
	require.NoError(t, bmp.Encode(&asBMP, img))
	require.NoError(t, png.Encode(&asStudio, studio))
	r480 := timing.Lookup("480i")
	full := pixfmt.NewCodes(720, 480, 2, 1)
	for i, v := range []uint16{260, 399, 848} {
		for k := range full.Planes[i] {
			full.Planes[i][k] = v
		}
	}
	v210 := pixfmt.Lookup("v210").AppendCodes(nil, full)
	tests := []struct {
		name  string
		file  string
		data  []byte
		o     Options
		delta float64
	}{
		{"4:2:2", "a.y4m", y4mOf("422", "It A10:11", 720, 480, [3]byte{65, 100, 212}), Options{}, 0.004},
		{"4:2:0", "a.y4m", y4mOf("420mpeg2", "It A10:11", 720, 480, [3]byte{65, 100, 212}), Options{}, 0.004},
		{"4:4:4", "a.Y4M", y4mOf("444", "It A10:11", 720, 480, [3]byte{65, 100, 212}), Options{}, 0.004},
		{"png", "a.png", asPNG.Bytes(), Options{}, 0.003},
		{"png of 16 bits", "a.png", asPNG16.Bytes(), Options{}, 0.0001},
		{"png of studio range", "a.png", asStudio.Bytes(), Options{Studio: true}, 0.003},
		{"bmp", "a.bmp", asBMP.Bytes(), Options{}, 0.003},
		{"raw", "a.v210", v210, Options{Raster: r480}, 0.001},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p, err := Read(tt.file, bytes.NewReader(tt.data), tt.o)
			require.NoError(t, err)
			assert.Equal(t, "480i", p.Raster.Name)
			f := p.On(lattice(timing.Scan525i))
			assert.Len(t, f.Raster.Lines, 480)
			for i, want := range []float64{red.Y, red.CB, red.CR} {
				require.Len(t, f.Planes[i].Rows, 1, "flat")
				for _, v := range f.Planes[i].Rows[0] {
					require.InDelta(t, want, v, tt.delta)
				}
			}
		})
	}
}

// TestTimesStay: a tone that a file holds is the same tone, at the same times,
// on another lattice and from row to row; chroma too, though it has half the
// samples.
func TestTimesStay(t *testing.T) {
	for _, s := range []string{"480i", "576i"} {
		r := timing.Lookup(s)
		mhz := [3]float64{3.1, 1.3, 0.7}
		at := func(i int, us float64) float64 { return 0.4 * math.Sin(2*math.Pi*mhz[i]*us) }
		p := &Picture{Raster: r, step: [3]int{1, 2, 2}}
		for i := range p.planes {
			row := make([]float64, 720/p.step[i])
			for x := range row {
				row[x] = at(i, (float64(x*p.step[i])+r.Start.Float64())/13.5)
			}
			p.planes[i] = frame.Plane{Rows: [][]float64{row}, Lines: make([]int32, r.Height())}
		}
		to := lattice(r.Scan)
		f := p.On(to)
		for j, l := range f.Raster.Lines {
			if j%37 != 0 {
				continue
			}
			k := 0
			for to.Lines[k] != l {
				k++
			}
			comb, own := to.Comb(k), r.Comb(0)
			for i := range f.Planes {
				row := f.Planes[i].Row(j)
				for x := 40; x < comb.N-40; x++ {
					us := ((comb.At(x)-own.X0)/own.DX + r.Start.Float64()) / 13.5
					require.InDelta(t, at(i, us), row[x], 0.001, "%s line %d component %d sample %d", s, l.Number, i, x)
				}
			}
		}
	}
}

// TestChromaOfFields: in interlaced 4:2:0 each field has its own chroma (ITU-T
// H.262, memory).
func TestChromaOfFields(t *testing.T) {
	c := pixfmt.NewCodes(720, 480, 2, 2)
	for j := range 240 {
		for x := range 360 {
			c.Row(1, j)[x] = 128 + uint16(j%2)*50
		}
	}
	p := fromCodes(c, colorimetry.YCbCr8, timing.Lookup("480i"))
	for j, n := range p.planes[1].Lines {
		assert.InDelta(t, float64(j%2)*50/224, p.planes[1].Rows[n][0], 1e-9, "row %d", j)
	}
	half := pixfmt.NewCodes(720, 240, 2, 2)
	for x := range 360 {
		half.Row(1, 3)[x] = 200
	}
	p = fromCodes(half, colorimetry.YCbCr8, timing.Lookup("240p"))
	for j, n := range p.planes[1].Lines {
		assert.Equal(t, j == 6 || j == 7, p.planes[1].Rows[n][0] > 0, "row %d", j)
	}
}

func TestRasterOfAFile(t *testing.T) {
	for _, tt := range []struct {
		tag  string
		h    int
		want string
	}{{"It", 480, "480i"}, {"Ib", 480, "480i-dv"}, {"I?", 480, "480i"}, {"Ib", 486, "486i"}, {"It", 576, "576i"}, {"Ib", 576, "576i-dv"}, {"Ip", 240, "240p"}, {"Ip", 288, "288p"}} {
		p, err := Read("a.y4m", bytes.NewReader(y4mOf("422", tt.tag, 720, tt.h, [3]byte{16, 128, 128})), Options{})
		require.NoError(t, err, tt)
		assert.Equal(t, tt.want, p.Raster.Name)
	}
}

func TestBT656(t *testing.T) {
	for _, bits := range []int{8, 10} {
		kind, err := format.Resolve(format.Choice{Name: "bt656", Depth: bits})
		require.NoError(t, err)
		r, err := kind.Lattice(timing.Lookup("576i"))
		require.NoError(t, err)
		red := colorimetry.FromRGB(0.75, 0, 0)
		f := &frame.Frame{Raster: r, Sampling: frame.S422}
		for i, v := range []float64{red.Y, red.CB, red.CR} {
			row := make([]float64, r.Width)
			if i > 0 {
				row = row[:r.Width/2]
			}
			for x := range row {
				row[x] = v
			}
			f.Planes[i] = frame.Plane{Rows: [][]float64{row}, Lines: make([]int32, len(r.Lines))}
		}
		data := kind.AppendFrame(nil, f)
		p, err := Read("a.bt656", bytes.NewReader(data), Options{Raster: timing.Lookup("576i")})
		require.NoError(t, err)
		for i, v := range []float64{red.Y, red.CB, red.CR} {
			assert.InDelta(t, v, p.planes[i].Row(300)[100], 0.004, "%d bits", bits)
		}
		_, err = Read("a.bt656", bytes.NewReader(data), Options{})
		assert.EqualError(t, err, "a BT.656 stream holds every line; name the raster with --raster, which says what of them is the picture")
	}
}

func TestRefused(t *testing.T) {
	small := image.NewGray(image.Rect(0, 0, 640, 480))
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, small))
	for _, tt := range []struct {
		name, file string
		data       []byte
		o          Options
		want       string
	}{
		{"size", "a.png", b.Bytes(), Options{}, "the picture is 640 x 480 samples, which no raster has; a picture for one has 720 x 480, 720 x 486, 720 x 576, 720 x 240, 720 x 288"},
		{"size of a raster", "a.png", b.Bytes(), Options{Raster: timing.Lookup("576i")}, "the picture is 640 x 480 samples, and raster 576i has 720 x 576; leave the raster out, or name another"},
		{"raw without raster", "a.uyvy", nil, Options{}, "raw frames do not say their size; name the raster with --raster"},
		{"short raw", "a.uyvy", []byte{1, 2}, Options{Raster: timing.Lookup("480i")}, "a frame of raster 480i in uyvy has 691200 bytes, and there are 2"},
		{"no frame", "a.y4m", []byte("YUV4MPEG2 W720 H480 F25:1 It A1:1 C422\n"), Options{}, "y4m: invalid stream: there is no frame behind the header"},
		{"full range", "a.y4m", []byte("YUV4MPEG2 W720 H480 F25:1 It A1:1 C422 XCOLORRANGE=FULL\n"), Options{}, "y4m: unsupported: full-range Y'CbCr; convert it to limited range"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Read(tt.file, bytes.NewReader(tt.data), tt.o)
			assert.EqualError(t, err, tt.want)
		})
	}
	_, err := Read("a.jpg", nil, Options{})
	assert.ErrorContains(t, err, `extension ".jpg" is of no known format; use one of png bmp bmp24 y4m`)
	_, err = Read("a.png", strings.NewReader("no picture"), Options{})
	assert.Error(t, err)
}

// FuzzRead: whatever a file holds, it is refused or is a picture of its raster.
func FuzzRead(f *testing.F) {
	f.Add("a.y4m", y4mOf("422", "It", 720, 480, [3]byte{1, 2, 3})[:2000])
	f.Add("a.png", []byte("\x89PNG\r\n\x1a\n"))
	f.Add("a.bmp", []byte("BM"))
	f.Add("a.bt656", []byte{255, 0, 0, 0x9d})
	f.Fuzz(func(t *testing.T, name string, data []byte) {
		p, err := Read(name, bytes.NewReader(data), Options{Raster: timing.Lookup("240p")})
		if err != nil {
			return
		}
		out := p.On(lattice(timing.Scan262))
		if len(out.Planes[0].Lines) != 240 {
			t.Fatalf("%d lines", len(out.Planes[0].Lines))
		}
	})
}
