package oracle

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// clone keeps what each is given only for its call.
func clone(c *Codes) *Codes {
	d := *c
	for i, p := range c.Plane {
		d.Plane[i] = bytes16(p)
	}
	return &d
}

func bytes16(p []uint16) []uint16 { return append([]uint16(nil), p...) }

// Every format comes back code for code, two different frames of it, from a
// width that fills neither a word nor a group of v210.
func TestReadCodes(t *testing.T) {
	needFFmpeg(t)
	const w, h = 56, 4
	for _, l := range layouts() {
		t.Run(l.name, func(t *testing.T) {
			var file []byte
			var want []*Codes
			for seed := range uint64(2) {
				c := picture(planars()[l.planar], w, h, seed)
				b := pack(l.name, c, w, h)
				require.Len(t, b, l.bytes(w, h))
				file = append(file, b...)
				want = append(want, c)
			}
			var got []*Codes
			n := ReadCodes(t, Stream{Format: l.name, W: w, H: h, Data: bytes.NewReader(file)}, func(n int, c *Codes) {
				assert.Equal(t, len(got), n)
				got = append(got, clone(c))
			})
			require.Equal(t, 2, n)
			bits := upper(l.name)
			if bits[0] < 16 { // only the upper bits are the code
				for _, c := range append(got, want...) {
					for i, p := range c.Plane {
						for j := range p {
							p[j] >>= 8 - bits[i]
						}
					}
				}
			}
			assert.Equal(t, want, got)
		})
	}
}

// y4m returns frames in the form of yuv4mpeg(5).
func y4m(head string, frames ...[]byte) io.Reader {
	b := []byte("YUV4MPEG2 " + head + "\n")
	for _, f := range frames {
		b = append(append(b, "FRAME\n"...), f...)
	}
	return bytes.NewReader(b)
}

func TestReadCodesY4M(t *testing.T) {
	needFFmpeg(t)
	const w, h = 56, 4
	for _, tt := range []struct{ planes, tag string }{
		{"yuv444p", "C444"}, {"yuv422p", "C422"}, {"yuv420p", "C420mpeg2"}, {"yuv411p", "C411"},
		{"yuv422p10le", "C422p10"}, {"yuv444p10le", "C444p10"}, {"yuv420p10le", "C420p10"},
	} {
		t.Run(tt.tag, func(t *testing.T) {
			want := picture(planars()[tt.planes], w, h, 1)
			data := y4m(fmt.Sprintf("W%d H%d F30000:1001 Ib A10:11 %s XCOLORRANGE=LIMITED", w, h, tt.tag),
				pack(tt.planes, want, w, h))
			n := ReadCodes(t, Stream{Format: "y4m", Planes: tt.planes, W: w, H: h, Data: data}, func(_ int, c *Codes) {
				assert.Equal(t, want, c)
			})
			assert.Equal(t, 1, n)
		})
	}
}

// flat fills a planar picture with one color, row by row from codes(y).
func flat(p planar, w, h int, codes func(field int) [3]uint16) *Codes {
	c := picture(p, w, h, 0)
	for i := range 3 {
		for j := range c.Plane[i] {
			c.Plane[i][j] = codes(j / c.W[i] % 2)[i]
		}
	}
	return c
}

// decode is ITU-R BT.601 read backward, at 8 bits: Y' = 219 E'Y + 16 and
// C = 224 E'C + 128, with E'CB = 0.564 (B-Y) = 0.5/0.886 (B-Y), E'CR likewise
// of 0.701 and Y 0.299, 0.587, 0.114 (BT.601-5 clause 3.5).
func decode(y, cb, cr, scale float64) (r, g, b float64) {
	luma := (y - 16*scale) / (219 * scale)
	r = luma + (cr-128*scale)/(224*scale)*2*0.701
	b = luma + (cb-128*scale)/(224*scale)*2*0.886
	g = (luma - 0.299*r - 0.114*b) / 0.587
	return r, g, b
}

// Colors in and out of the legal range, from every Y'CbCr format, against the
// equations of the standard: nothing is clipped and no code is bent.
func TestReadColors(t *testing.T) {
	needZscale(t)
	const w, h = 48, 4
	colors := [][3]uint16{
		{180, 128, 128}, {162, 44, 142}, {35, 212, 114}, // 75 % white, yellow, blue of BT.601 bars
		{7, 128, 128}, {254, 128, 128}, {16, 240, 16}, {235, 16, 240}, // below black, above white, far out of gamut
	}
	for _, l := range layouts() {
		p := planars()[l.planar]
		if p.gbr {
			continue
		}
		t.Run(l.name, func(t *testing.T) {
			scale := 1.0
			if p.bytes == 2 {
				scale = 4
			}
			var file []byte
			for _, c := range colors {
				for i := range c {
					c[i] *= uint16(scale)
				}
				file = append(file, pack(l.name, flat(p, w, h, func(int) [3]uint16 { return c }), w, h)...)
			}
			n := ReadColors(t, Stream{Format: l.name, W: w, H: h, Data: bytes.NewReader(file)}, func(n int, got *Colors) {
				c := colors[n]
				r, g, b := decode(float64(c[0])*scale, float64(c[1])*scale, float64(c[2])*scale, scale)
				require.Len(t, got.R, w*h)
				for i := range got.R {
					require.InDelta(t, r, got.R[i], 1e-5, "R of frame %d, pixel %d", n, i)
					require.InDelta(t, g, got.G[i], 1e-5, "G of frame %d, pixel %d", n, i)
					require.InDelta(t, b, got.B[i], 1e-5, "B of frame %d, pixel %d", n, i)
				}
			})
			assert.Equal(t, len(colors), n)
		})
	}
}

// Two fields of different colors in 4:2:0: read as fields they stay apart,
// read as a frame their chroma runs together.
func TestReadColorsFields(t *testing.T) {
	needZscale(t)
	const w, h, frames = 16, 32, 3
	fields := [2][3]uint16{{162, 44, 142}, {35, 212, 114}}
	c := flat(planars()["yuv420p"], w, h, func(field int) [3]uint16 { return fields[field] })
	frame := pack("yuv420p", c, w, h)
	// worst returns the largest error of blue, over all pictures.
	worst := func(s Stream) (worst float64) {
		s.W, s.H = w, h
		n := ReadColors(t, s, func(_ int, got *Colors) {
			for i, v := range got.B {
				f := fields[i/w%2]
				_, _, b := decode(float64(f[0]), float64(f[1]), float64(f[2]), 1)
				worst = max(worst, float64(v)-b, b-float64(v))
			}
		})
		assert.Equal(t, frames, n)
		return worst
	}
	raw := bytes.Repeat(frame, frames)
	assert.InDelta(t, 0, worst(Stream{Format: "yuv420p", Data: bytes.NewReader(raw), Interlaced: true}), 1e-5)
	assert.Greater(t, worst(Stream{Format: "yuv420p", Data: bytes.NewReader(raw)}), 0.1)
	for _, tag := range []string{"It", "Ib"} {
		data := y4m("W16 H32 F25:1 "+tag+" A12:11 C420mpeg2", frame, frame, frame)
		assert.InDelta(t, 0, worst(Stream{Format: "y4m", Planes: "yuv420p", Data: data, Interlaced: true}), 1e-5, tag)
	}
}

// What cannot be a whole stream must fail the test, not shorten it.
func TestReadRefuses(t *testing.T) {
	needFFmpeg(t)
	const w, h = 16, 2
	frame := make([]byte, 2*w*h)
	read := func(s Stream) func(testing.TB) {
		return func(t testing.TB) { ReadCodes(t, s, func(int, *Codes) {}) }
	}
	for _, tt := range []struct {
		name string
		s    Stream
		want string
	}{
		{"one byte short", Stream{Format: "uyvy422", W: w, H: h, Data: bytes.NewReader(frame[1:])}, "uyvy422 of 16 x 2"},
		{"one byte over", Stream{Format: "uyvy422", W: w, H: h, Data: bytes.NewReader(append(frame, 0))}, "uyvy422"},
		{"not y4m", Stream{Format: "y4m", Planes: "yuv422p", W: w, H: h, Data: strings.NewReader("P6 1 1 255\n")}, "ffmpeg failed"},
		{"y4m of another size", Stream{Format: "y4m", Planes: "yuv422p", W: 2 * w, H: h, Data: y4m("W16 H2 F25:1 Ip C422", frame)}, "incomplete"},
		{"y4m of unknown planes", Stream{Format: "y4m", W: w, H: h, Data: y4m("W16 H2 F25:1 C422", frame)}, `no planes ""`},
		{"unknown format", Stream{Format: "xyz12", W: w, H: h}, `no layout for "xyz12"`},
		{"no size", Stream{Format: "uyvy422", Data: bytes.NewReader(frame)}, "no picture of 0 x 0"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			assert.Contains(t, failed(t, read(tt.s)), tt.want)
		})
	}
}
