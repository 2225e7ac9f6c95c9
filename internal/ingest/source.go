package ingest

import (
	"context"
	"errors"
	"io"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"
	"backporch/timing"
)

// Info is what a file says of its pictures.
type Info struct {
	Width, Height int
	Order         byte         // 'p', 't' (top field first), 'b', or '?': not said
	Rate          timing.Ratio // frames a second; the zero Ratio if not said
	Shape         timing.Ratio // sample width over height; the zero Ratio if not said

	// Coding is what its codes are; nil for full-range Y'CbCr, which is no coding
	// of ours, and for a signal, which has none.
	Coding       *colorimetry.Coding
	Across, Down int // luma samples and rows to one of chroma

	// Raster is the lattice of a decoded signal, whose lines are known; nil for
	// files of pictures.
	Raster *timing.Raster

	Kind  string      // in a few words: "YUV4MPEG2 422", "h264 in mov,mp4"
	Notes []string    // what had to be done to read it, in sentences
	Tags  [][2]string // keyword and text of a PNG
}

// A Source is an open file of pictures. It is not safe for concurrent use.
type Source struct {
	Info

	scale [3]linear
	first float64 // chroma sample 0, in luma samples

	// codes returns the next picture as codes, or io.EOF; it is nil for a signal,
	// which has decoded instead.
	codes   func() (*pixfmt.Codes, error)
	decoded func() (*frame.Frame, error)
	close   func() error
}

// Close ends what is still running to deliver pictures.
func (s *Source) Close() error {
	if s.close == nil {
		return nil
	}
	return s.close()
}

// linear turns a code into the real number v = slope*code + zero.
type linear struct{ slope, zero float64 }

// scaleOf returns the three of a coding; of R'G'B' they give R', G' and B'.
func scaleOf(k *colorimetry.Coding) (l [3]linear) {
	one := colorimetry.Signal{Y: 1, CB: 1, CR: 1}
	if k.Model == colorimetry.RGB {
		one = colorimetry.Gray(1)
	}
	zero, full := k.Real(colorimetry.Gray(0)), k.Real(one)
	for i := range l {
		l[i].slope = 1 / (full[i] - zero[i])
		l[i].zero = -zero[i] * l[i].slope
	}
	return l
}

// fullRange is Y'CbCr whose codes all are picture: ITU-T T.871 clause 7, with 2^n
// in place of 256.
func fullRange(bits int) (l [3]linear) {
	top := float64(int(1)<<bits - 1)
	half := float64(int(1) << (bits - 1))
	return [3]linear{{1 / top, 0}, {1 / top, -half / top}, {1 / top, -half / top}}
}

// next returns the next picture for itself, or io.EOF.
func (s *Source) next() (*Mean, error) {
	m := &Mean{Info: s.Info, Frames: 1}
	if s.codes == nil {
		f, err := s.decoded()
		if err != nil {
			return nil, err
		}
		for i := range f.Planes {
			m.Planes[i] = make([]float32, 0, s.Width*s.Height)
			for j := range f.Planes[i].Lines {
				for _, v := range f.Planes[i].Row(j) {
					m.Planes[i] = append(m.Planes[i], float32(v))
				}
			}
		}
		return m, nil
	}
	c, err := s.codes()
	if err != nil {
		return nil, err
	}
	for i, plane := range c.Planes {
		m.Planes[i] = make([]float32, len(plane))
		for x, code := range plane {
			m.Planes[i][x] = float32(float64(code)*s.scale[i].slope + s.scale[i].zero)
		}
	}
	m.fromRGB()
	return m, nil
}

// Take returns the next n pictures, each for itself; fewer at the end of the
// file, and io.EOF when there is none.
func (s *Source) Take(ctx context.Context, n int) ([]*Mean, error) {
	var list []*Mean
	for len(list) < n {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		m, err := s.next()
		if errors.Is(err, io.EOF) && len(list) > 0 {
			return list, nil
		}
		if err != nil {
			return nil, err
		}
		list = append(list, m)
	}
	return list, nil
}
