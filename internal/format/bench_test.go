package format

import (
	"io"
	"os"
	"testing"

	"backporch/pattern/frame"

	"github.com/stretchr/testify/require"
)

// BenchmarkStream writes frames of 480i, one write a frame:
//
//	discard  a moving picture, packed anew each time, to nowhere
//	moving   the same into a pipe of the default size
//	still    one packed frame again and again into the pipe
//	bare     as still, from a loop that knows nothing of formats: the yardstick
//
// The pattern is circles, of whose rows half differ; bars have one or a few.
func BenchmarkStream(b *testing.B) {
	for _, name := range Names() {
		f, err := Resolve(Choice{Name: name})
		require.NoError(b, err)
		if !f.Stream {
			continue
		}
		for _, spec := range []string{"bars-full", "circles"} {
			fr := sampled(b, f, spec, "480i")
			b.Run(name+"/480i/"+spec, func(b *testing.B) { benchmark(b, f, fr) })
		}
	}
}

func benchmark(b *testing.B, f *Format, fr *frame.Frame) {
	run := func(name string, w io.Writer, moving bool) {
		b.Run(name, func(b *testing.B) {
			buf := f.AppendFrame(make([]byte, 0, f.FrameSize(fr.Raster)), fr)
			b.SetBytes(int64(len(buf)))
			b.ReportAllocs()
			for b.Loop() {
				if moving {
					buf = f.AppendFrame(buf[:0], fr)
				}
				if _, err := w.Write(buf); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "frames/s")
		})
	}
	pipe := drained(b)
	run("discard", io.Discard, true)
	run("moving", pipe, true)
	run("still", pipe, false)
	bare := make([]byte, f.FrameSize(fr.Raster))
	b.Run("bare", func(b *testing.B) {
		b.SetBytes(int64(len(bare)))
		for b.Loop() {
			if _, err := pipe.Write(bare); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "frames/s")
	})
}

// drained returns the end of a pipe that somebody empties.
func drained(b *testing.B) io.Writer {
	r, w, err := os.Pipe()
	require.NoError(b, err)
	done := make(chan struct{})
	go func() {
		defer close(done)
		buf := make([]byte, 1<<20)
		for {
			if _, err := r.Read(buf); err != nil {
				return
			}
		}
	}()
	b.Cleanup(func() {
		_ = w.Close()
		<-done
		_ = r.Close()
	})
	return w
}
