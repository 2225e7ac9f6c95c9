package wavefile

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"hash"
	"io"

	"backporch/internal/encode/samples"
	"backporch/pattern/frame"
	"backporch/timing"
)

// Written is what is known of a file only when all of it has been written.
type Written struct {
	SHA256  string  // of the whole file; "" if it was not asked for
	Clipped []int64 // samples of each channel that had no code of their own
}

// A repeater can write the same bytes again and again faster than one by one.
type repeater interface {
	Repeat(p []byte, n int, after func(done int)) error
}

// maxHeld is the longest color sequence of a still picture that is held and
// repeated; longer ones are made frame by frame.
const maxHeld = 4

// Write writes the file to w, with its SHA-256 if sum is true. Each write is
// of whole frames. A still picture is encoded once and its color sequence
// repeated; of a moving one no more than a frame is held. It stops between
// writes when ctx is canceled.
func (j *Job) Write(ctx context.Context, w io.Writer, sum bool) (Written, error) {
	out := &stream{ctx: ctx, w: w}
	if sum {
		out.sum = sha256.New()
	}
	if j.Format == WAV {
		head, err := j.header().Append(nil)
		if err != nil {
			return Written{}, err
		}
		if err := out.write(head); err != nil {
			return Written{}, err
		}
	}
	f := &framer{Job: j, clipped: make([]int64, len(j.scales))}
	var err error
	if j.Period <= 1 && j.sequence <= maxHeld {
		err = j.repeat(out, f)
	} else {
		err = j.each(out, f)
	}
	if err != nil {
		return Written{}, err
	}
	done := Written{Clipped: f.clipped}
	if sum {
		done.SHA256 = hex.EncodeToString(out.sum.Sum(nil))
	}
	return done, nil
}

// repeat writes a still picture.
func (j *Job) repeat(out *stream, f *framer) (err error) {
	var buf []byte
	for n := range j.sequence {
		if buf, err = f.append(buf, n); err != nil {
			return err
		}
	}
	times := j.Frames / j.sequence
	for c := range f.clipped {
		f.clipped[c] *= int64(times)
	}
	return out.repeat(buf, times, func(done int) { j.progress(done * j.sequence) })
}

// each writes frame after frame.
func (j *Job) each(out *stream, f *framer) (err error) {
	var buf []byte
	for n := range j.Frames {
		if buf, err = f.append(buf[:0], n); err != nil {
			return err
		}
		if err := out.write(buf); err != nil {
			return err
		}
		j.progress(n + 1)
	}
	return nil
}

func (j *Job) progress(done int) {
	if j.Progress != nil {
		j.Progress(done, j.Frames)
	}
}

// A framer makes the words of frames.
type framer struct {
	*Job
	lattice *timing.Raster
	picture *frame.Frame // on that lattice
	mv      [][]float32
	clipped []int64
}

// append appends the words of frame n to dst.
func (f *framer) append(dst []byte, n int) ([]byte, error) {
	if r := f.encoder.Lattice(n); f.picture == nil || f.Period > 1 || r != f.lattice {
		p, err := f.Picture(r, n)
		if err != nil {
			return nil, err
		}
		f.picture, f.lattice = p, r
	}
	for c := range f.mv {
		f.mv[c] = f.mv[c][:0]
	}
	f.mv = f.encoder.Append(f.mv, f.picture, n)
	return samples.Append(dst, f.scales, f.mv, f.clipped), nil
}

// A stream is what a file is written to.
type stream struct {
	ctx context.Context
	w   io.Writer
	sum hash.Hash // or nil
}

func (s *stream) write(p []byte) error {
	if err := s.ctx.Err(); err != nil {
		return err
	}
	if s.sum != nil {
		s.sum.Write(p)
	}
	_, err := s.w.Write(p)
	return err
}

// repeat writes p n times.
func (s *stream) repeat(p []byte, n int, after func(done int)) error {
	if r, ok := s.w.(repeater); ok {
		return r.Repeat(p, n, func(done int) {
			if s.sum != nil {
				s.sum.Write(p)
			}
			after(done)
		})
	}
	for i := range n {
		if err := s.write(p); err != nil {
			return err
		}
		after(i + 1)
	}
	return nil
}
