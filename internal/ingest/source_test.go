package ingest

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/encode/pngfile"
	"backporch/internal/ffmpeg"
	"backporch/pattern/frame"
	"backporch/timing"
)

// noisy is a stream of frames whose samples are 100 and 128 with noise of a
// standard deviation of 2 codes.
func noisy(chroma string, w, h, frames int) []byte {
	random := rand.New(rand.NewPCG(1, 2))
	b := fmt.Appendf(nil, "YUV4MPEG2 W%d H%d F25:1 It A12:11 C%s\n", w, h, chroma)
	n := w * h * 2
	for range frames {
		b = append(b, "FRAME\n"...)
		for i := range n {
			v := 100.0
			if i >= w*h {
				v = 128
			}
			b = append(b, byte(math.Round(v+2*random.NormFloat64())))
		}
	}
	return b
}

// TestMean: mean and standard deviation are those that the samples were made
// with; that of rounding, 1/12 of a code squared, comes on top.
func TestMean(t *testing.T) {
	const w, h, frames = 64, 32, 200
	s, err := Open("a.y4m", bytes.NewReader(noisy("422", w, h, frames)), Options{})
	require.NoError(t, err)
	calls := 0
	m, err := s.Mean(context.Background(), 0, func(int) { calls++ })
	require.NoError(t, err)
	assert.Equal(t, frames, m.Frames)
	assert.Equal(t, frames-1, calls)
	assert.Equal(t, Info{
		Width: w, Height: h, Order: 't', Rate: timing.Int(25), Shape: timing.R(12, 11), Coding: colorimetry.YCbCr8,
		Across: 2, Down: 1, Kind: "YUV4MPEG2 422",
	}, m.Info)
	// ITU-R BT.601-5 clause 3.5.3: 219 codes of luma, 224 of a color difference.
	for i, want := range []float64{84.0 / 219, 0, 0} {
		scale := []float64{219, 224, 224}[i]
		var mean, square float64
		for x := range m.Planes[i] {
			mean += float64(m.Planes[i][x])
			square += float64(m.Noise[i][x]) * float64(m.Noise[i][x])
		}
		n := float64(len(m.Planes[i]))
		assert.InDelta(t, want, mean/n, 0.02/scale)
		assert.InDelta(t, math.Sqrt(4+1.0/12), math.Sqrt(square/n)*scale, 0.02)
	}
	_, err = s.Mean(context.Background(), 0, nil)
	assert.ErrorIs(t, err, io.EOF)
}

// TestMeanOfSome: no more than asked, and the next call goes on behind them.
func TestMeanOfSome(t *testing.T) {
	s, err := Open("a.y4m", bytes.NewReader(noisy("422", 16, 2, 5)), Options{})
	require.NoError(t, err)
	m, err := s.Mean(context.Background(), 3, nil)
	require.NoError(t, err)
	assert.Equal(t, 3, m.Frames)
	list, err := s.Take(context.Background(), 7)
	require.NoError(t, err)
	assert.Len(t, list, 2)
	assert.Nil(t, list[0].Noise[0])
}

// TestSumsMove: sums that have been moved from 32 bits to 64 give the same.
func TestSumsMove(t *testing.T) {
	const frames = 2*mostRecent + 10
	s, err := Open("a.y4m", bytes.NewReader(noisy("422", 4, 2, frames)), Options{})
	require.NoError(t, err)
	m, err := s.Mean(context.Background(), 0, nil)
	require.NoError(t, err)
	assert.Equal(t, frames, m.Frames)
	assert.InDelta(t, 84.0/219, m.Planes[0][3], 0.2/219)
	assert.InDelta(t, 2.02/219, m.Noise[0][3], 0.1/219)
}

// TestDamagedInMean: what ends within a frame is an error, not a shorter mean.
func TestDamagedInMean(t *testing.T) {
	data := noisy("422", 16, 2, 3)
	s, err := Open("a.y4m", bytes.NewReader(data[:len(data)-5]), Options{})
	require.NoError(t, err)
	_, err = s.Mean(context.Background(), 0, nil)
	assert.EqualError(t, err, "y4m: invalid stream: frame 2 ends after 59 of 64 bytes")
	ctx, cancel := context.WithCancelCause(context.Background())
	cancel(io.ErrNoProgress)
	s, err = Open("a.y4m", bytes.NewReader(data), Options{})
	require.NoError(t, err)
	_, err = s.Mean(ctx, 0, nil)
	assert.ErrorIs(t, err, io.ErrNoProgress)
}

// TestFullRange: ITU-T T.871 clause 7: Y' 0 to 255, CB and CR about 128 with 255
// to a full swing.
func TestFullRange(t *testing.T) {
	data := append([]byte("YUV4MPEG2 W2 H1 F25:1 Ip A1:1 C444 XCOLORRANGE=FULL\nFRAME\n"), 0, 255, 128, 255, 128, 1)
	s, err := Open("a.y4m", bytes.NewReader(data), Options{})
	require.NoError(t, err)
	m, err := s.Mean(context.Background(), 0, nil)
	require.NoError(t, err)
	assert.Nil(t, m.Coding)
	assert.InDeltaSlice(t, []float32{0, 1}, m.Planes[0], 1e-6)
	assert.InDeltaSlice(t, []float32{0, 127.0 / 255}, m.Planes[1], 1e-6)
	assert.InDeltaSlice(t, []float32{0, -127.0 / 255}, m.Planes[2], 1e-6)
}

// TestAnyPicture: PNG of any size, with its text, R'G'B' turned into Y', CB, CR
// (ITU-R BT.601-5 clause 3.5.1: 0.299, and CR of red 0.5).
func TestAnyPicture(t *testing.T) {
	file, err := os.ReadFile("../../golden/bars-eg1.png")
	require.NoError(t, err)
	s, err := Open("a.png", bytes.NewReader(file), Options{})
	require.NoError(t, err)
	m, err := s.Mean(context.Background(), 0, nil)
	require.NoError(t, err)
	assert.Len(t, m.Planes[2], m.Width*m.Height)
	assert.Equal(t, pngfile.Text(file), m.Tags)
	assert.Equal(t, colorimetry.RGB8, m.Coding)
	red := &Mean{Info: Info{Coding: colorimetry.RGB8}, Planes: [3][]float32{{1}, {0}, {0}}, Noise: [3][]float32{{0.01}, {0}, {0}}}
	red.fromRGB()
	assert.InDelta(t, 0.299, red.Planes[0][0], 1e-6)
	assert.InDelta(t, 0.5, red.Planes[2][0], 1e-6)
	assert.InDelta(t, 0.005, red.Noise[2][0], 1e-6)
}

// TestSignal: a flat picture through encoder and decoder comes out as it went in.
func TestSignal(t *testing.T) {
	wire := composite.Lookup("yc-m")
	e, err := composite.NewEncoder(wire, timing.Scan525i, composite.Standard)
	require.NoError(t, err)
	red := colorimetry.FromRGB(0.75, 0, 0)
	w, err := e.Encode(0, 2, func(r *timing.Raster, _ int) (*frame.Frame, error) {
		f := &frame.Frame{Raster: r}
		for i, v := range []float64{red.Y, red.CB, red.CR} {
			row := make([]float64, r.Width)
			for x := range row {
				row[x] = v
			}
			f.Planes[i] = frame.Plane{Rows: [][]float64{row}, Lines: make([]int32, r.Height())}
		}
		return f, nil
	})
	require.NoError(t, err)
	s, err := OpenSignal(w, &composite.Decoder{Family: wire.Family})
	require.NoError(t, err)
	m, err := s.Mean(context.Background(), 0, nil)
	require.NoError(t, err)
	assert.Equal(t, 2, m.Frames)
	assert.Nil(t, m.Coding)
	at := 240*m.Width + m.Width/2
	for i, v := range []float64{red.Y, red.CB, red.CR} {
		assert.InDelta(t, v, m.Planes[i][at], 0.002)
	}
	assert.Equal(t, len(m.Raster.Lines), m.Height)
}

// TestOther: a file that only the converter reads, codes as they were.
func TestOther(t *testing.T) {
	ctx := context.Background()
	tool, err := ffmpeg.Find(ctx)
	if err != nil {
		if os.Getenv("BACKPORCH_REQUIRE_TOOLS") != "" {
			t.Fatal(err)
		}
		t.Skip(err)
	}
	path := filepath.Join(t.TempDir(), "a: b.mkv")
	data := noisy("422", 64, 32, 4)
	require.NoError(t, tool.Run(ctx, bytes.NewReader(data), nil, "-f", "yuv4mpegpipe", "-i", "pipe:0",
		"-vf", "setparams=field_mode=tff:range=tv:colorspace=bt470bg", "-c:v", "ffv1", "file:"+path))
	s, err := OpenOther(ctx, tool, path)
	require.NoError(t, err)
	defer s.Close()
	assert.Empty(t, s.Notes)
	assert.Equal(t, byte('t'), s.Order)
	assert.Equal(t, timing.R(12, 11), s.Shape)
	assert.Equal(t, "ffv1 in matroska,webm", s.Kind)
	want, err := Open("a.y4m", bytes.NewReader(data), Options{})
	require.NoError(t, err)
	for range 4 {
		a, err := s.Take(ctx, 1)
		require.NoError(t, err)
		b, err := want.Take(ctx, 1)
		require.NoError(t, err)
		assert.Equal(t, b[0].Planes, a[0].Planes)
	}
	_, err = s.Take(ctx, 1)
	assert.ErrorIs(t, err, io.EOF)
	require.NoError(t, s.Close())

	// Closed early: the converter is stopped.
	s, err = OpenOther(ctx, tool, path)
	require.NoError(t, err)
	require.NoError(t, s.Close())
}

func TestPixelsOf(t *testing.T) {
	for name, want := range map[string]string{
		"yuv420p": "yuv420p", "yuvj422p": "yuvj422p", "uyvy422": "uyvy422", "yuv422p10le": "yuv422p10le", "bgr24": "rgb24", "pal8": "rgb24",
		"yuv422p12le": "yuv422p10le", "p010le": "yuv420p10le", "yuv440p": "yuv444p", "gray": "yuv444p", "yuva444p10le": "yuv444p10le",
	} {
		px := pixelsOf(name)
		assert.Equal(t, want, px.name, name)
		assert.NotEmpty(t, px.layout, name)
	}
}

// BenchmarkMean: a capture with noise in every sample.
func BenchmarkMean(b *testing.B) {
	const frames = 30
	data := noisy("422", 720, 480, frames)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		s, err := Open("a.y4m", bytes.NewReader(data), Options{})
		require.NoError(b, err)
		_, err = s.Mean(context.Background(), 0, nil)
		require.NoError(b, err)
	}
	b.ReportMetric(frames*float64(b.N)/b.Elapsed().Seconds(), "frames/s")
}
