package format

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/encode/bt656"
	"backporch/internal/oracle"
	"backporch/internal/pixfmt"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// every returns each format in each of its variants.
func every(t testing.TB) (all []*Format) {
	orNone := func(s []string) []string {
		if len(s) == 0 {
			return []string{""}
		}
		return s
	}
	for _, r := range table {
		for _, depth := range r.depths {
			for _, chroma := range orNone(r.chromas) {
				if samplingOfDV(chroma) && depth != 8 {
					continue
				}
				for _, rng := range orNone(r.ranges) {
					for _, edition := range orNone(r.editions) {
						f, err := Resolve(Choice{r.name, chroma, depth, rng, edition})
						require.NoError(t, err)
						all = append(all, f)
					}
				}
			}
		}
	}
	return all
}

// sampled returns a pattern as a file of a raster holds it, or nil if the
// format refuses the raster.
func sampled(t testing.TB, f *Format, spec, raster string) *frame.Frame {
	t.Helper()
	r := timing.Lookup(raster)
	lattice, err := f.Lattice(r)
	if err != nil {
		return nil
	}
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	m := f.Sampling(lattice)
	s, err := p.Scene(pattern.NewView(r, f.Coding, m, pattern.Shaped))
	require.NoError(t, err)
	fr, err := pattern.Sample(s, lattice, m, 0)
	require.NoError(t, err)
	return fr
}

func TestNames(t *testing.T) {
	assert.Equal(t, []string{"png", "bmp", "bmp24", "y4m", "bt656", "uyvy", "yuyv", "v210", "i420", "i411", "i422", "i444",
		"nv12", "yuv420p10", "yuv422p10", "yuv444p10", "rgb24", "rgb565", "rgb555"}, Names())
	extensions, titles := map[string]string{}, map[string]bool{}
	for _, r := range table {
		for _, e := range r.extensions {
			if r.name != "bmp24" { // it shares the extension of bmp, which such a name stands for
				assert.Empty(t, extensions[e], "%s is of two formats", e)
				extensions[e] = r.name
			}
			name, err := ForPath("folder.x/Bars 1" + strings.ToUpper(e))
			require.NoError(t, err)
			assert.Equal(t, extensions[e], name)
		}
	}
	for _, f := range every(t) {
		assert.NotNil(t, f.Coding, f.Title)
		assert.False(t, titles[f.Title], "two variants are called %s", f.Title)
		titles[f.Title] = true
		name, err := ForPath("x" + f.Extension)
		require.NoError(t, err)
		assert.Equal(t, strings.TrimSuffix(f.Name, "24"), strings.TrimSuffix(name, "24"))
	}
}

func TestForPathRefuses(t *testing.T) {
	for file, want := range map[string]string{
		"bars.jpg":     "bars.jpg: extension .jpg is of no known format; name it with --format: png bmp bmp24 y4m",
		"bars":         "bars has no extension to tell the format by; add one, or name it with --format: png",
		"dir.png/bars": "has no extension",
		`dir.png\bars`: "has no extension",
		"bars.":        "has no extension",
		"":             "has no extension",
	} {
		_, err := ForPath(file)
		assert.ErrorContains(t, err, want, file)
	}
}

func TestResolveDefaults(t *testing.T) {
	for _, tt := range []struct {
		c      Choice
		title  string
		coding *colorimetry.Coding
		stream bool
	}{
		{Choice{Name: "png"}, "PNG picture, 8-bit full-range RGB", colorimetry.RGB8, false},
		{Choice{Name: "PNG", Depth: 16, Range: "Studio"}, "PNG picture, 16-bit studio-range RGB", colorimetry.RGB16Studio, false},
		{Choice{Name: "bmp"}, "BMP picture, 8-bit full-range RGB", colorimetry.RGB8, false},
		{Choice{Name: "bmp24", Range: "studio"}, "BMP picture without a palette, 8-bit studio-range RGB", colorimetry.RGB8Studio, false},
		{Choice{Name: "y4m"}, "YUV4MPEG2 video, 4:2:2 8-bit", colorimetry.YCbCr8, true},
		{Choice{Name: "y4m", Chroma: "420", Depth: 10}, "YUV4MPEG2 video, 4:2:0 10-bit", colorimetry.YCbCr10, true},
		{Choice{Name: "y4m", Chroma: "411"}, "YUV4MPEG2 video, 4:1:1 8-bit", colorimetry.YCbCr8, true},
		{Choice{Name: "y4m", Chroma: "420DV"}, "YUV4MPEG2 video, 4:2:0 of DV 8-bit", colorimetry.YCbCr8, true},
		{Choice{Name: "i411"}, "raw Y'CbCr frames: 4:1:1 8-bit planes Y Cb Cr", colorimetry.YCbCr8, true},
		{Choice{Name: "i420"}, "raw Y'CbCr frames: 4:2:0 8-bit planes Y Cb Cr", colorimetry.YCbCr8, true},
		{Choice{Name: "i420", Chroma: "420dv"}, "raw Y'CbCr frames: 4:2:0 8-bit planes Y Cb Cr, chroma where DV has it", colorimetry.YCbCr8, true},
		{Choice{Name: "v210"}, "raw Y'CbCr frames: 4:2:2 10-bit, three samples in 32 bits", colorimetry.YCbCr10, true},
		{Choice{Name: "rgb24", Range: "studio"}, "raw R'G'B' frames: R G B, a byte each, studio range", colorimetry.RGB8Studio, true},
		{Choice{Name: "rgb565"}, "raw R'G'B' frames: R G B 5:6:5 in 16 bits, little endian", colorimetry.RGB565, true},
		{Choice{Name: "bt656"}, "ITU-R BT.656 stream of whole frames, 8-bit, V bit of the current edition", colorimetry.YCbCr8, true},
		{Choice{Name: "bt656", Depth: 10, Edition: "legacy"}, "ITU-R BT.656 stream of whole frames, 10-bit, V bit of the legacy edition", colorimetry.YCbCr10, true},
	} {
		f, err := Resolve(tt.c)
		require.NoError(t, err)
		assert.Equal(t, tt.title, f.Title)
		assert.Same(t, tt.coding, f.Coding, tt.title)
		assert.Equal(t, tt.stream, f.Stream, tt.title)
	}
}

func TestResolveRefuses(t *testing.T) {
	for _, tt := range []struct {
		c    Choice
		want string
	}{
		{Choice{}, `unknown format ""; use one of: png bmp bmp24 y4m`},
		{Choice{Name: "avi"}, `unknown format "avi"; use one of: png`},
		{Choice{Name: "bmp", Depth: 10}, "format bmp cannot have depth 10; it can have 8 (depth 10: y4m bt656 v210 yuv420p10 yuv422p10 yuv444p10)"},
		{Choice{Name: "png", Depth: 12}, "format png cannot have depth 12; it can have 8 or 16"},
		{Choice{Name: "uyvy", Chroma: "444"}, "format uyvy cannot have chroma 444; it can have 422 (chroma 444: png bmp bmp24 y4m i444"},
		{Choice{Name: "y4m", Chroma: "440"}, "format y4m cannot have chroma 440; it can have 422 or 420 or 444 or 411 or 420dv"},
		{Choice{Name: "nv12", Chroma: "420dv"}, "format nv12 cannot have chroma 420dv; it can have 420 (chroma 420dv: y4m i420)"},
		{Choice{Name: "uyvy", Chroma: "411"}, "format uyvy cannot have chroma 411; it can have 422 (chroma 411: y4m i411)"},
		{Choice{Name: "y4m", Chroma: "411", Depth: 10}, "format y4m cannot have depth 10 with chroma 411, which is that of DV and has 8 bits; leave the depth out, or choose chroma 422 or 420"},
		{Choice{Name: "y4m", Chroma: "420dv", Depth: 10}, "format y4m cannot have depth 10 with chroma 420dv"},
		{Choice{Name: "y4m", Range: "full"}, "format y4m cannot have range full; it can have studio (range full: png bmp bmp24 rgb24 rgb565 rgb555)"},
		{Choice{Name: "rgb565", Range: "studio"}, "format rgb565 cannot have range studio; it can have full"},
		{Choice{Name: "png", Edition: "legacy"}, "format png cannot have edition legacy; leave it out (edition legacy: bt656)"},
		{Choice{Name: "bt656", Edition: "first"}, "format bt656 cannot have edition first; it can have current or legacy"},
		{Choice{Name: "png", Depth: -8}, "format png cannot have depth -8"},
	} {
		_, err := Resolve(tt.c)
		assert.ErrorContains(t, err, tt.want)
	}
}

func TestLattice(t *testing.T) {
	for _, tt := range []struct {
		c      Choice
		raster string
		want   string // part of the error; "" if it fits
		m      frame.Sampling
	}{
		{Choice{Name: "png"}, "486i", "", frame.S444},
		{Choice{Name: "uyvy"}, "240p", "", frame.S422},
		{Choice{Name: "i420"}, "240p", "", frame.S420},
		{Choice{Name: "i420"}, "480i", "", frame.S420Field},
		{Choice{Name: "nv12"}, "576i-dv", "", frame.S420Field},
		{Choice{Name: "y4m", Chroma: "411"}, "480i-dv", "", frame.S411},
		{Choice{Name: "i411"}, "240p", "", frame.S411},
		{Choice{Name: "i420"}, "576i-dv", "", frame.S420Field},
		{Choice{Name: "i420", Chroma: "420dv"}, "576i-dv", "", frame.S420DV},
		{Choice{Name: "y4m", Chroma: "420dv"}, "576i-dv", "", frame.S420DV},
		{Choice{Name: "y4m", Chroma: "420dv"}, "480i-dv", "format y4m: raster 480i-dv: 4:2:0 of DV has the samples and lines of raster 576i-dv alone; use that raster, or 4:1:1", 0},
		{Choice{Name: "i420"}, "486i", "format i420: raster 486i: 243 lines a field cannot be paired for 4:2:0 by field; use", 0},
		{Choice{Name: "bt656"}, "240p", "format bt656: raster 240p is not interlaced", 0},
		{Choice{Name: "bt656"}, "480i", "", frame.S422},
	} {
		f, err := Resolve(tt.c)
		require.NoError(t, err)
		r := timing.Lookup(tt.raster)
		lattice, err := f.Lattice(r)
		if tt.want != "" {
			assert.ErrorContains(t, err, tt.want)
			continue
		}
		require.NoError(t, err)
		assert.Equal(t, tt.m, f.Sampling(lattice), "%s on %s", f.Name, r.Name)
		if f.Name == "bt656" {
			assert.Equal(t, 486, lattice.Height())
		} else {
			assert.Same(t, r, lattice)
		}
	}
}

// converter returns what the converter calls a raw format.
func converter(name string) string {
	return map[string]string{"uyvy": "uyvy422", "yuyv": "yuyv422", "v210": "v210", "i420": "yuv420p", "i411": "yuv411p", "i422": "yuv422p",
		"i444": "yuv444p", "nv12": "nv12", "yuv420p10": "yuv420p10le", "yuv422p10": "yuv422p10le", "yuv444p10": "yuv444p10le",
		"rgb24": "rgb24", "rgb565": "rgb565le", "rgb555": "rgb555le"}[name]
}

// Every stream format of every variant, of two patterns at once, read by the
// converter (BT.656, which it does not read, by our reader): the codes are the
// rounded definition. Components of 5 and 6 bits come back widened.
func TestStreams(t *testing.T) {
	for _, f := range every(t) {
		if !f.Stream {
			continue
		}
		t.Run(f.Title, func(t *testing.T) {
			rasters := []string{"480i", "240p"}
			switch {
			case testing.Short():
				rasters = rasters[:1]
			case f.kind == digital:
				rasters = []string{"480i", "576i", "240p"}
			}
			if f.Chroma == "420dv" { // the only one that can have it
				rasters = []string{"576i-dv"}
			}
			for _, raster := range rasters {
				var want []*pixfmt.Codes
				var b []byte
				var shown *timing.Raster
				for _, spec := range []string{"bars-full", "circles"} {
					fr := sampled(t, f, spec, raster)
					if fr == nil {
						continue
					}
					shown = fr.Raster
					if b == nil {
						head, err := f.Header(shown, Meta{})
						require.NoError(t, err)
						b = append(b, head...)
					}
					before := len(b)
					b = f.AppendFrame(b, fr)
					require.Equal(t, f.FrameSize(timing.Lookup(raster)), len(b)-before)
					require.Equal(t, f.FrameSize(shown), len(b)-before)
					want = append(want, pixfmt.Round(fr, f.Coding))
				}
				if shown == nil {
					require.Equal(t, "bt656", f.Name, "only BT.656 refuses %s", raster)
					continue
				}
				check := func(n int, planes [3][]uint16) {
					for c := range planes {
						shift := 0
						if f.Name == "rgb565" || f.Name == "rgb555" {
							shift = 3
							if c == 1 && f.Name == "rgb565" {
								shift = 2
							}
						}
						for i, v := range want[n].Planes[c] {
							if planes[c][i]>>shift != v {
								require.Fail(t, fmt.Sprintf("%s, frame %d, plane %d, sample %d is %d, want %d", raster, n, c, i, planes[c][i]>>shift, v))
							}
						}
					}
				}
				if f.kind == digital {
					s, err := bt656.Read(b, f.Coding.Bits)
					require.NoError(t, err)
					for n := range want {
						c, err := s.Picture(shown, n)
						require.NoError(t, err)
						check(n, c.Planes)
					}
					continue
				}
				s := oracle.Stream{Format: converter(f.Name), W: shown.Width, H: shown.Height(), Data: bytes.NewReader(b)}
				if f.kind == video {
					s.Format, s.Planes = "y4m", converter(f.layout.Name)
				}
				n := oracle.ReadCodes(t, s, func(n int, c *oracle.Codes) { check(n, c.Plane) })
				assert.Equal(t, len(want), n)
			}
		})
	}
}

// Stills of every variant are what their encoders make, and a PNG says the
// shape of the raster's pixel when nothing else is said.
func TestStills(t *testing.T) {
	for _, f := range every(t) {
		if f.Stream {
			continue
		}
		fr := sampled(t, f, "bars-full", "480i")
		var b bytes.Buffer
		require.NoError(t, f.Still(&b, fr, Meta{Text: [][2]string{{"Title", "bars"}}}))
		if bits := map[string]byte{"bmp": 8, "bmp24": 24}[f.Name]; bits != 0 {
			assert.Equal(t, "BM", b.String()[:2])
			assert.Equal(t, bits, b.Bytes()[28], "bits of a pixel in %s", f.Name)
			continue
		}
		p, want := oracle.ReadPNG(t, b.Bytes()), pixfmt.Round(fr, f.Coding)
		assert.Equal(t, 1<<f.Coding.Bits-1, p.Max, f.Title)
		for _, i := range []int{0, 400, 100_000, len(want.Planes[0]) - 1} {
			assert.Equal(t, [3]uint16{want.Planes[0][i], want.Planes[1][i], want.Planes[2][i]}, [3]uint16(p.RGB[3*i:]), f.Title)
		}
		chunks := oracle.CheckPNG(t, b.Bytes())
		require.Equal(t, "pHYs", chunks[1].Type)
		at := chunks[1].Offset + 4
		assert.Equal(t, []byte{0, 0, 0, 11, 0, 0, 0, 10, 0}, b.Bytes()[at:at+9], "10:11: 11 across, 10 down")
		assert.Zero(t, f.FrameSize(fr.Raster))
		head, err := f.Header(fr.Raster, Meta{})
		assert.NoError(t, err)
		assert.Nil(t, head)
		assert.Panics(t, func() { f.AppendFrame(nil, fr) })
	}
}

// The shape that is said stands in the header, for a 16:9 screen 4/3 as wide.
func TestHeaderShape(t *testing.T) {
	f, err := Resolve(Choice{Name: "y4m"})
	require.NoError(t, err)
	r := timing.Lookup("576i")
	head, err := f.Header(r, Meta{Shape: r.PixelShape().Mul(timing.R(4, 3))})
	require.NoError(t, err)
	assert.Equal(t, "YUV4MPEG2 W720 H576 F25:1 It A118:81 C422 XCOLORRANGE=LIMITED\n", string(head))
	assert.Panics(t, func() { _ = f.Still(new(bytes.Buffer), sampled(t, f, "flat", "576i"), Meta{}) })
}

// From the second frame on nothing is allocated.
func TestAppendFrameAllocates(t *testing.T) {
	for _, f := range every(t) {
		if !f.Stream {
			continue
		}
		raster := "480i"
		if f.Chroma == "420dv" {
			raster = "576i-dv"
		}
		fr := sampled(t, f, "circles", raster)
		buf := f.AppendFrame(nil, fr)
		assert.Zero(t, testing.AllocsPerRun(2, func() { buf = f.AppendFrame(buf[:0], fr) }), f.Title)
	}
}
