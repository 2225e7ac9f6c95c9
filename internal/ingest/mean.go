package ingest

import (
	"context"
	"errors"
	"io"
	"math"
	"runtime"
	"sync"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
)

// A Mean is the mean of pictures of a file, in the samples of the file: Y' 0 at
// black and 1 at white, CB and CR within ±0.5.
type Mean struct {
	Info
	Frames int
	Planes [3][]float32 // rows top to bottom
	Noise  [3][]float32 // standard deviation over the frames; nil of one frame
}

// Mean averages the next pictures, at most that many (0: all that follow). It
// holds sums, never pictures. It returns io.EOF when there is none.
func (s *Source) Mean(ctx context.Context, most int, progress func(done int)) (*Mean, error) {
	if s.codes == nil {
		return s.meanOfSignal(ctx, most)
	}
	first, err := s.codes()
	if err != nil {
		return nil, err
	}
	sums := newSums(first)
	// One goroutine reads while another adds.
	pictures := make(chan *pixfmt.Codes, 1)
	ended := make(chan error, 1)
	done := make(chan struct{})
	defer close(done)
	go func() {
		defer close(pictures)
		for n := 1; most == 0 || n < most; n++ {
			c, err := s.codes()
			if err != nil {
				ended <- err
				return
			}
			select {
			case pictures <- c:
			case <-done:
				return
			}
		}
		ended <- io.EOF
	}()
	for c := range pictures {
		if ctx.Err() != nil {
			// Whoever reads is stopped by ctx too, or at the latest by Close.
			return nil, context.Cause(ctx)
		}
		sums.add(c)
		if progress != nil {
			progress(sums.frames)
		}
	}
	if err := <-ended; !errors.Is(err, io.EOF) {
		return nil, err
	}
	return sums.mean(s), nil
}

// meanOfSignal averages decoded frames, of which there are few.
func (s *Source) meanOfSignal(ctx context.Context, most int) (*Mean, error) {
	if most == 0 {
		most = math.MaxInt
	}
	list, err := s.Take(ctx, most)
	if err != nil {
		return nil, err
	}
	m := &Mean{Info: s.Info, Frames: len(list)}
	if len(list) == 1 {
		return list[0], nil
	}
	for i := range m.Planes {
		m.Planes[i], m.Noise[i] = make([]float32, len(list[0].Planes[i])), make([]float32, len(list[0].Planes[i]))
		for x := range m.Planes[i] {
			var sum, square float64
			for _, f := range list {
				d := float64(f.Planes[i][x]) - float64(list[0].Planes[i][x])
				sum, square = sum+d, square+float64(d*d)
			}
			m.set(i, x, float64(list[0].Planes[i][x]), 1, sum, square)
		}
	}
	return m, nil
}

// set stores mean and deviation from sums of differences, in codes, to a first
// value; one code is worth slope.
func (m *Mean) set(plane, x int, first, slope, sum, square float64) {
	n := float64(m.Frames)
	m.Planes[plane][x] = float32(first + float64(slope*sum/n))
	m.Noise[plane][x] = float32(math.Abs(slope) * math.Sqrt(max(0, square-float64(sum*sum)/n)/(n-1)))
}

// sums are the sums over frames of the differences of codes to those of the
// first frame, and of their squares.
type sums struct {
	first  *pixfmt.Codes
	frames int
	recent int // frames in sum and square since they were moved into total
	sum    [3][]int32
	square [3][]uint32
	total  [3][]struct{ sum, square int64 } // nil until needed
}

// most is how many frames fit into 32 bits: differences of 10-bit codes squared
// are below 2^20.
const mostRecent = 2048

func newSums(first *pixfmt.Codes) *sums {
	s := &sums{first: first, frames: 1}
	for i, plane := range first.Planes {
		s.sum[i], s.square[i] = make([]int32, len(plane)), make([]uint32, len(plane))
	}
	return s
}

// add adds a frame, on every processor: it is what takes longest.
func (s *sums) add(c *pixfmt.Codes) {
	s.frames++
	if s.recent++; s.recent == mostRecent {
		s.move()
	}
	parts := runtime.GOMAXPROCS(0)
	var wait sync.WaitGroup
	for k := range parts {
		wait.Go(func() {
			for i, plane := range c.Planes {
				a, b := k*len(plane)/parts, (k+1)*len(plane)/parts
				addPlane(s.sum[i][a:b], s.square[i][a:b], s.first.Planes[i][a:b], plane[a:b])
			}
		})
	}
	wait.Wait()
}

func addPlane(sum []int32, square []uint32, first, now []uint16) {
	now, sum, square = now[:len(first)], sum[:len(first)], square[:len(first)]
	for x, a := range first {
		d := int32(now[x]) - int32(a)
		if d == 0 {
			continue // nearly all samples of a file that nobody captured
		}
		sum[x] += d
		square[x] += uint32(d * d)
	}
}

// move empties the sums of 32 bits into those of 64.
func (s *sums) move() {
	for i := range s.sum {
		if s.total[i] == nil {
			s.total[i] = make([]struct{ sum, square int64 }, len(s.sum[i]))
		}
		for x := range s.sum[i] {
			s.total[i][x].sum += int64(s.sum[i][x])
			s.total[i][x].square += int64(s.square[i][x])
			s.sum[i][x], s.square[i][x] = 0, 0
		}
	}
	s.recent = 0
}

func (s *sums) mean(src *Source) *Mean {
	m := &Mean{Info: src.Info, Frames: s.frames}
	for i, plane := range s.first.Planes {
		m.Planes[i] = make([]float32, len(plane))
		l := src.scale[i]
		if s.frames > 1 {
			m.Noise[i] = make([]float32, len(plane))
		}
		for x, code := range plane {
			first := float64(float64(code)*l.slope) + l.zero
			if s.frames == 1 {
				m.Planes[i][x] = float32(first)
				continue
			}
			sum, square := float64(s.sum[i][x]), float64(s.square[i][x])
			if t := s.total[i]; t != nil {
				sum, square = sum+float64(t[x].sum), square+float64(t[x].square)
			}
			m.set(i, x, first, l.slope, sum, square)
		}
	}
	m.fromRGB()
	return m
}

// fromRGB turns planes of R'G'B' into Y', CB and CR. Noise of the three is taken
// to be independent.
func (m *Mean) fromRGB() {
	if m.Coding == nil || m.Coding.Model != colorimetry.RGB {
		return
	}
	var weight [3][3]float64 // of R', G', B' in each component
	for i := range weight {
		var v [3]float64
		v[i] = 1
		c := colorimetry.FromRGB(v[0], v[1], v[2])
		weight[0][i], weight[1][i], weight[2][i] = c.Y, c.CB, c.CR
	}
	for x := range m.Planes[0] {
		s := colorimetry.FromRGB(float64(m.Planes[0][x]), float64(m.Planes[1][x]), float64(m.Planes[2][x]))
		m.Planes[0][x], m.Planes[1][x], m.Planes[2][x] = float32(s.Y), float32(s.CB), float32(s.CR)
		if m.Noise[0] == nil {
			continue
		}
		var v [3]float64
		for c := range v {
			for i := range v {
				e := weight[c][i] * float64(m.Noise[i][x])
				v[c] += float64(e * e)
			}
		}
		for c := range v {
			m.Noise[c][x] = float32(math.Sqrt(v[c]))
		}
	}
}
