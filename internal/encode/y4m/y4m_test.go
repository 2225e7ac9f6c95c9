package y4m

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/oracle"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// header returns the header of a raster as the program writes it.
func header(r *timing.Raster, l *pixfmt.Layout) Header {
	return headerOf(r, samplingOf(r, l), l.Bits)
}

func headerOf(r *timing.Raster, m frame.Sampling, bits int) Header {
	return Header{r.Width, r.Height(), r.FrameRate(), InterlaceOf(r.Order()), r.PixelShape(), ChromaOf(m, bits), "LIMITED"}
}

// samplingOf returns the sampling that a planar layout has where nothing else
// is said.
func samplingOf(r *timing.Raster, l *pixfmt.Layout) frame.Sampling {
	switch {
	case l.Down == 2:
		return frame.Subsample420(r)
	case l.Across == 4:
		return frame.S411
	case l.Across == 2:
		return frame.S422
	}
	return frame.S444
}

// Whole headers, by yuv4mpeg(5) for the letters; rates and sample shapes are
// those of the scans (SMPTE 170M 11, ITU-R BT.1700 table 1; shapes common
// practice). 240p runs at 1125000/18733 Hz, not 59.94.
func TestHeader(t *testing.T) {
	for _, tt := range []struct{ raster, layout, want string }{
		{"480i", "i422", "YUV4MPEG2 W720 H480 F30000:1001 It A10:11 C422 XCOLORRANGE=LIMITED\n"},
		{"480i-dv", "i420", "YUV4MPEG2 W720 H480 F30000:1001 Ib A10:11 C420mpeg2 XCOLORRANGE=LIMITED\n"},
		{"486i", "yuv422p10", "YUV4MPEG2 W720 H486 F30000:1001 Ib A10:11 C422p10 XCOLORRANGE=LIMITED\n"},
		{"576i", "i444", "YUV4MPEG2 W720 H576 F25:1 It A59:54 C444 XCOLORRANGE=LIMITED\n"},
		{"240p", "yuv444p10", "YUV4MPEG2 W720 H240 F1125000:18733 Ip A5:11 C444p10 XCOLORRANGE=LIMITED\n"},
		{"240p", "yuv420p10", "YUV4MPEG2 W720 H240 F1125000:18733 Ip A5:11 C420p10 XCOLORRANGE=LIMITED\n"},
		{"480i-dv", "i411", "YUV4MPEG2 W720 H480 F30000:1001 Ib A10:11 C411 XCOLORRANGE=LIMITED\n"},
	} {
		h := header(timing.Lookup(tt.raster), pixfmt.Lookup(tt.layout))
		got, err := h.Append(nil)
		require.NoError(t, err)
		assert.Equal(t, tt.want, string(got))
	}
	dv, err := headerOf(timing.Lookup("576i-dv"), frame.S420DV, 8).Append(nil)
	require.NoError(t, err)
	assert.Equal(t, "YUV4MPEG2 W720 H576 F25:1 Ib A59:54 C420paldv XCOLORRANGE=LIMITED\n", string(dv))
	for _, m := range []frame.Sampling{frame.S411, frame.S420DV} {
		assert.Panics(t, func() { ChromaOf(m, 10) }, "%v has no tag at 10 bits", m)
	}
	assert.Panics(t, func() { ChromaOf(frame.Sampling(99), 8) })
}

// Every header is short enough for the readers that stop at 96 bytes, also on a
// 16:9 screen, and reads back as it was.
func TestHeaders(t *testing.T) {
	for _, r := range timing.Rasters() {
		for _, l := range pixfmt.Layouts() {
			if pixfmt.Planar(l.Bits, l.Across, l.Down) != l {
				continue // not of planes
			}
			for _, screen := range []timing.Ratio{timing.Int(1), timing.R(4, 3)} {
				h := header(r, l)
				h.Shape = h.Shape.Mul(screen)
				line, err := h.Append([]byte("x"))
				require.NoError(t, err, "%s %s", r.Name, l.Name)
				assert.Less(t, len(line)-1, 96, "%s", line)
				got, err := ParseHeader(string(line[1:]))
				require.NoError(t, err)
				assert.Equal(t, h, got)
				layout, err := got.Layout()
				require.NoError(t, err)
				assert.Same(t, l, layout)
			}
		}
	}
	h := header(timing.Lookup("240p"), pixfmt.Lookup("i422"))
	h.Shape = timing.R(1<<61-1, 1<<60)
	_, err := h.Append(nil)
	assert.ErrorContains(t, err, "some readers stop at 96")
}

func TestParseHeader(t *testing.T) {
	for _, tt := range []struct {
		line string
		want Header
		bad  string // part of the error
	}{
		{line: "YUV4MPEG2 W4 H2", want: Header{4, 2, timing.Ratio{}, '?', timing.Ratio{}, "420jpeg", ""}},
		{line: "YUV4MPEG2 H2 W4 I? F0:0 A0:0 C444 XSOMETHING\n", want: Header{4, 2, timing.Ratio{}, '?', timing.Ratio{}, "444", ""}},
		{line: "YUV4MPEG2  W4 H2 F50:2 C422 XCOLORRANGE=FULL", want: Header{4, 2, timing.Int(25), '?', timing.Ratio{}, "422", "FULL"}},
		{line: "YUV4MPEG W4 H2", bad: "does not begin with YUV4MPEG2"},
		{line: "", bad: "does not begin with"},
		{line: "YUV4MPEG2 W4", bad: "no width and height"},
		{line: "YUV4MPEG2 W0 H2", bad: "W0 is not a size"},
		{line: "YUV4MPEG2 W-4 H2", bad: "W-4 is not a size"},
		{line: "YUV4MPEG2 W99999999 H2", bad: "W99999999 is not a size from 1 to 32767"},
		{line: "YUV4MPEG2 W4 H2 F25", bad: "F25 is not a ratio such as F25:1"},
		{line: "YUV4MPEG2 W4 H2 A1:0", bad: "A1:0 is not a ratio"},
		{line: "YUV4MPEG2 W4 H2 Im", bad: "unsupported: frames of mixed interlacing"},
		{line: "YUV4MPEG2 W4 H2 Ix", bad: "interlacing Ix"},
		{line: "YUV4MPEG2 W4 H2 C411p10", bad: "unsupported: chroma tag C411p10; 420, 422 and 444 of 8 or 10 bits and 411 of 8 are read"},
		{line: "YUV4MPEG2 W4 H2 C411", want: Header{4, 2, timing.Ratio{}, '?', timing.Ratio{}, "411", ""}},
		{line: "YUV4MPEG2 W4 H4 Ib C420paldv", want: Header{4, 4, timing.Ratio{}, 'b', timing.Ratio{}, "420paldv", ""}},
		{line: "YUV4MPEG2 W4 H2 C422 XCOLORRANGE=ODD", bad: `color range "ODD"`},
	} {
		got, err := ParseHeader(tt.line)
		if tt.bad != "" {
			assert.ErrorContains(t, err, tt.bad, tt.line)
			continue
		}
		require.NoError(t, err, tt.line)
		assert.Equal(t, tt.want, got, tt.line)
	}
}

// grid returns a frame in which every sample of a row differs, and every row.
func grid(r *timing.Raster, m frame.Sampling) *frame.Frame {
	across, down := m.Step()
	f := &frame.Frame{Raster: r, Sampling: m}
	for c := range f.Planes {
		w, h, zero := r.Width, r.Height(), 0.0
		if c > 0 {
			w, h, zero = w/across, h/down, 0.5
		}
		rows, lines := make([][]float64, h), make([]int32, h)
		for j := range rows {
			rows[j], lines[j] = make([]float64, w), int32(j)
			for i := range rows[j] {
				rows[j][i] = float64((7*i+13*j+31*c)%200)/199 - zero
			}
		}
		f.Planes[c] = frame.Plane{Rows: rows, Lines: lines}
	}
	return f
}

// stream returns n frames of a raster, and the codes of each.
func stream(t *testing.T, r *timing.Raster, l *pixfmt.Layout, k *colorimetry.Coding, m frame.Sampling, n int) ([]byte, *pixfmt.Codes) {
	b, err := headerOf(r, m, l.Bits).Append(nil)
	require.NoError(t, err)
	f := grid(r, m)
	var p pixfmt.Packer
	for range n {
		at := len(b)
		b = AppendFrame(b, &p, l, k, f)
		require.Equal(t, FrameSize(l, r.Width, r.Height()), len(b)-at)
	}
	return b, pixfmt.Round(f, k)
}

type variant struct {
	layout, planes string
	k              *colorimetry.Coding
	m              frame.Sampling
}

func variants(r *timing.Raster) []variant {
	all := []variant{
		{"i411", "yuv411p", colorimetry.YCbCr8, frame.S411},
		{"i420", "yuv420p", colorimetry.YCbCr8, frame.Subsample420(r)},
		{"i422", "yuv422p", colorimetry.YCbCr8, frame.S422},
		{"i444", "yuv444p", colorimetry.YCbCr8, frame.S444},
		{"yuv420p10", "yuv420p10le", colorimetry.YCbCr10, frame.Subsample420(r)},
		{"yuv422p10", "yuv422p10le", colorimetry.YCbCr10, frame.S422},
		{"yuv444p10", "yuv444p10le", colorimetry.YCbCr10, frame.S444},
	}
	if frame.S420DV.Check(r) == nil {
		all = append(all, variant{"i420", "yuv420p", colorimetry.YCbCr8, frame.S420DV})
	}
	return all
}

// Our reader and the converter find the same codes in what we write.
func TestFrames(t *testing.T) {
	rasters := []string{"240p", "480i", "576i-dv"}
	if testing.Short() {
		rasters = rasters[:1]
	}
	for _, name := range rasters {
		r := timing.Lookup(name)
		for _, v := range variants(r) {
			t.Run(fmt.Sprint(name, " ", v.layout, " ", v.m), func(t *testing.T) {
				b, want := stream(t, r, pixfmt.Lookup(v.layout), v.k, v.m, 2)

				z, err := NewReader(bytes.NewReader(b))
				require.NoError(t, err)
				for range 2 {
					c, err := z.Next()
					require.NoError(t, err)
					assert.True(t, equal(want, c), "read back differs")
				}
				_, err = z.Next()
				assert.Equal(t, io.EOF, err)

				n := oracle.ReadCodes(t, oracle.Stream{Format: "y4m", Planes: v.planes, W: r.Width, H: r.Height(), Data: bytes.NewReader(b)},
					func(n int, c *oracle.Codes) {
						for i := range c.Plane {
							for j, x := range want.Planes[i] {
								if c.Plane[i][j] != x {
									require.Fail(t, fmt.Sprintf("frame %d, plane %d, sample %d: the converter reads %d, want %d", n, i, j, c.Plane[i][j], x))
								}
							}
						}
					})
				assert.Equal(t, 2, n)
			})
		}
	}
}

func equal(a, b *pixfmt.Codes) bool {
	for i := range a.Planes {
		if len(a.Planes[i]) != len(b.Planes[i]) {
			return false
		}
		for j, v := range a.Planes[i] {
			if b.Planes[i][j] != v {
				return false
			}
		}
	}
	return a.Width == b.Width && a.Height == b.Height && a.Across == b.Across && a.Down == b.Down
}

// What the converter's prober says of size, rate, shape, field order, range
// and chroma of our headers.
func TestProbe(t *testing.T) {
	probe := oracle.Need(t, "ffprobe")
	for _, tt := range []struct{ raster, want string }{
		{"480i", "720|480|10:11|tt|30000/1001"}, // tt: coded and shown with the top field first
		{"486i", "720|486|10:11|bb|30000/1001"},
		{"576i", "720|576|59:54|tt|25/1"},
		{"240p", "720|240|5:11|progressive|1125000/18733"},
	} {
		r := timing.Lookup(tt.raster)
		b, _ := stream(t, r, pixfmt.Lookup("i422"), colorimetry.YCbCr8, frame.S422, 2)
		cmd := exec.CommandContext(t.Context(), probe, "-v", "error", "-f", "yuv4mpegpipe", "-show_entries",
			"stream=width,height,sample_aspect_ratio,field_order,r_frame_rate", "-of", "compact=p=0:nk=1", "pipe:0")
		cmd.Stdin = bytes.NewReader(b)
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, "%s", out)
		assert.Equal(t, tt.want, strings.TrimSpace(string(out)), tt.raster)

		cmd = exec.CommandContext(t.Context(), probe, "-v", "error", "-f", "yuv4mpegpipe", "-show_entries",
			"stream=color_range,pix_fmt", "-of", "compact=p=0:nk=1", "pipe:0")
		cmd.Stdin = bytes.NewReader(b)
		out, err = cmd.CombinedOutput()
		require.NoError(t, err, "%s", out)
		assert.Equal(t, "yuv422p|tv", strings.TrimSpace(string(out)), tt.raster)
	}
}

func TestReaderRefuses(t *testing.T) {
	const head = "YUV4MPEG2 W2 H1 F25:1 Ip C444\n"
	for _, tt := range []struct {
		name, stream, bad string
	}{
		{"nothing", "", "EOF"},
		{"no line", "YUV4MPEG2 W2", "ends within a line of text"},
		{"endless line", strings.Repeat("Y", 2000), "longer than 1024 bytes"},
		{"no frame line", head + "FRAMES\n......", "no FRAME line where frame 0 begins"},
		{"short frame", head + "FRAME\nabcde", "frame 0 ends after 5 of 6 bytes"},
		{"rest", head + "FRAME\nabcdefFRA", "ends within a line of text"},
		{"odd width", "YUV4MPEG2 W3 H1 C422\nFRAME\n......", "width must be a multiple of 2"},
		{"width of 4:1:1", "YUV4MPEG2 W6 H1 C411\nFRAME\n.........", "width must be a multiple of 4"},
		{"short 4:1:1", "YUV4MPEG2 W8 H1 C411\nFRAME\nabcdefghij", "frame 0 ends after 10 of 12 bytes"},
	} {
		z, err := NewReader(strings.NewReader(tt.stream))
		for err == nil {
			_, err = z.Next()
		}
		assert.ErrorContains(t, err, tt.bad, tt.name)
	}
	// Parameters of a frame are passed over.
	z, err := NewReader(strings.NewReader(head + "FRAME Xsomething\nabcdef"))
	require.NoError(t, err)
	c, err := z.Next()
	require.NoError(t, err)
	assert.Equal(t, [3][]uint16{{'a', 'b'}, {'c', 'd'}, {'e', 'f'}}, c.Planes)
}

// failing gives an error that is not the end.
type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errors.New("cable pulled") }

func TestReaderPassesErrors(t *testing.T) {
	_, err := NewReader(failing{})
	assert.EqualError(t, err, "cable pulled")
	z, err := NewReader(io.MultiReader(strings.NewReader("YUV4MPEG2 W2 H1 C444\nFRAME\nab"), failing{}))
	require.NoError(t, err)
	_, err = z.Next()
	assert.EqualError(t, err, "cable pulled")
}

// FuzzReader: a stream is refused, or its frames pack to the same bytes.
func FuzzReader(f *testing.F) {
	f.Add([]byte("YUV4MPEG2 W2 H2 F25:1 It A12:11 C420mpeg2 XCOLORRANGE=LIMITED\nFRAME\nabcdef"))
	f.Add([]byte("YUV4MPEG2 W2 H1 C422p10\nFRAME\na\x00b\x00c\x00d\x00FRAME Ix\n12345678"))
	f.Add([]byte("YUV4MPEG2 W8 H1 Ib C411\nFRAME\nabcdefghijkl"))
	f.Add([]byte("YUV4MPEG2 W2 H4 Ib C420paldv\nFRAME\nabcdefghijkl"))
	f.Add([]byte("YUV4MPEG2 W32767 H32767 C444\nFRAME\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		z, err := NewReader(bytes.NewReader(src))
		if err != nil {
			return
		}
		l, err := z.Header.Layout()
		require.NoError(t, err, "a header that was read has a layout")
		if line, err := z.Header.Append(nil); err == nil {
			again, err := ParseHeader(string(line))
			require.NoError(t, err)
			require.Equal(t, z.Header, again)
		}
		for {
			c, err := z.Next()
			if err != nil {
				return
			}
			require.True(t, bytes.Contains(src, l.AppendCodes(nil, c)), "a frame that is not in the stream")
		}
	})
}
