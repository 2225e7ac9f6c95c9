package oracle

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"testing"

	"backporch/internal/ffmpeg"
)

// Stream is frames of one size, one behind the other, as a file holds them.
// One process of the converter reads all of them.
type Stream struct {
	// Format is "y4m", or the pixel format of raw frames as the converter
	// names it: uyvy422 yuyv422 yvyu422 v210 nv12 p010le, yuv444p yuv422p
	// yuv420p yuv411p and the first three with 10le, rgb24 bgr24 rgb0 bgr0
	// rgb565le rgb555le rgb8 gbrp.
	Format string
	// Planes is the planar format that a y4m holds, such as yuv422p10le. It
	// is not needed for raw frames.
	Planes string
	W, H   int
	Data   io.Reader
	// Interlaced says that the rows are those of two fields in turn: ReadColors
	// then takes the chroma of 4:2:0 within a field. What a y4m says of itself
	// is not looked at.
	Interlaced bool
}

// Codes is one frame as stored, before any conversion: planes Y, CB, CR or R,
// G, B, each row after row without a gap.
type Codes struct {
	W, H  [3]int // of each plane
	Plane [3][]uint16
}

// Colors is one frame of R'G'B', 0 black and 1 white, not clipped, in planes
// of W x H.
type Colors struct {
	W, H    int
	R, G, B []float32
}

// ReadCodes calls each with every frame of s, in order, and returns how many
// there were. What each is given is used again for the next frame. The
// samples of 5 and 6 bits of rgb565le, rgb555le and rgb8 come back widened to
// 8 bits: the upper bits are the code. The test fails when the converter
// refuses the stream or the stream ends within a frame.
func ReadCodes(t testing.TB, s Stream, each func(n int, c *Codes)) int {
	t.Helper()
	name, p := s.planes(t)
	c := new(Codes)
	for i := range 3 {
		c.W[i], c.H[i] = p.size(i, s.W, s.H)
		c.Plane[i] = make([]uint16, c.W[i]*c.H[i])
	}
	// The accurate flags change nothing where no code is converted; should a
	// version of the converter take a detour, it is the least lossy one.
	filter := "scale=flags=accurate_rnd+full_chroma_int,format=" + name
	return s.read(t, needFFmpeg(t), filter, name, p.frame(s.W, s.H), func(n int, b []byte) {
		for i := range 3 {
			dst := c.Plane[i]
			if p.gbr {
				dst = c.Plane[[3]int{1, 2, 0}[i]]
			}
			for j := range dst {
				if p.bytes == 1 {
					dst[j] = uint16(b[j])
				} else {
					dst[j] = binary.LittleEndian.Uint16(b[2*j:])
				}
			}
			b = b[len(dst)*p.bytes:]
		}
		each(n, c)
	})
}

// ReadColors calls each with every frame of s, a stream of Y'CbCr with the
// matrix of ITU-R BT.601 and limited range, as R'G'B' in float, and returns
// how many there were. What each is given is used again for the next frame.
//
// The zimg library does the arithmetic, unclipped; flat areas are exact to
// 1e-5, and chroma between its samples is interpolated in a way of its own.
// The converter's other scaler is not used: it clips, and its 16-bit results
// are short by 255/256.
func ReadColors(t testing.TB, s Stream, each func(n int, c *Colors)) int {
	t.Helper()
	name, p := s.planes(t)
	if p.gbr {
		t.Fatalf("oracle: %s is R'G'B' already; use ReadCodes", s.Format)
	}
	size := s.W * s.H
	c := &Colors{s.W, s.H, make([]float32, size), make([]float32, size), make([]float32, size)}
	// zimg takes planes only; taking the samples apart changes no code.
	filter := "zscale=matrixin=170m:rangein=limited:matrix=gbr:range=full,format=gbrpf32le"
	if s.Interlaced {
		// The converter's own flag for fields does not reach zimg, so the
		// fields are parted before it; which one is first does not matter.
		filter = "setfield=tff,separatefields," + filter + ",weave=first_field=top"
	}
	filter = "format=" + name + "," + filter
	return s.read(t, needZscale(t), filter, "gbrpf32le", 12*size, func(n int, b []byte) {
		for i, dst := range [][]float32{c.G, c.B, c.R} {
			for j := range dst {
				dst[j] = math.Float32frombits(binary.LittleEndian.Uint32(b[4*(i*size+j):]))
			}
		}
		each(n, c)
	})
}

// planes returns the planar format that the stream comes apart into.
func (s Stream) planes(t testing.TB) (string, planar) {
	t.Helper()
	name := s.Planes
	if s.Format != "y4m" {
		l, ok := layoutOf(s.Format)
		if !ok {
			t.Fatalf("oracle: no layout for %q", s.Format)
		}
		name = l.planar
	}
	p, ok := planars()[name]
	if !ok {
		t.Fatalf("oracle: no planes %q for %s", name, s.Format)
	}
	return name, p
}

// read runs the converter over the stream and calls each with every frame of
// its output, size bytes long.
func (s Stream) read(t testing.TB, tool *ffmpeg.Tool, filter, out string, size int, each func(n int, b []byte)) int {
	t.Helper()
	if s.W <= 0 || s.H <= 0 {
		t.Fatalf("oracle: no picture of %d x %d", s.W, s.H)
	}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	in := &counter{r: s.Data}
	r, w := io.Pipe()
	done := make(chan error, 1)
	go func() {
		err := tool.Run(ctx, in, w, append(s.input(), "-vf", filter,
			"-fps_mode", "passthrough", "-f", "rawvideo", "-pix_fmt", out, "pipe:1")...)
		_ = w.Close()
		done <- err
	}()
	defer r.Close() // lets the converter go when each ends the test

	buf := make([]byte, size)
	n := 0
	var short error
	for {
		_, err := io.ReadFull(r, buf)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			short = fmt.Errorf("frame %d comes back incomplete: %w", n, err)
			break
		}
		each(n, buf)
		n++
	}
	_ = r.Close()
	if err := <-done; err != nil {
		t.Fatalf("oracle: %s of %d x %d: %v", s.Format, s.W, s.H, err)
	}
	if short != nil {
		t.Fatalf("oracle: %s of %d x %d: %v", s.Format, s.W, s.H, short)
	}
	if l, ok := layoutOf(s.Format); ok {
		if want := int64(l.bytes(s.W, s.H)) * int64(n); in.n != want {
			t.Fatalf("oracle: %d bytes were given, but %d frames of %s at %d x %d are %d bytes",
				in.n, n, s.Format, s.W, s.H, want)
		}
	}
	return n
}

// input returns the arguments that say what the standard input is.
func (s Stream) input() []string {
	size := fmt.Sprintf("%dx%d", s.W, s.H)
	switch s.Format {
	case "y4m":
		return []string{"-f", "yuv4mpegpipe", "-i", "pipe:0"}
	case "v210":
		return []string{"-f", "v210", "-video_size", size, "-i", "pipe:0"}
	}
	return []string{"-f", "rawvideo", "-pix_fmt", s.Format, "-s", size, "-i", "pipe:0"}
}

// counter counts what is read.
type counter struct {
	r io.Reader
	n int64
}

func (c *counter) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	c.n += int64(n)
	return n, err
}
