package scope

import (
	"image"
	"math"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/require"
)

// bars are the eight of the trade from left to right, R'G'B' of 0 or 1.
var bars = [8][3]float64{{1, 1, 1}, {1, 1, 0}, {0, 1, 1}, {0, 1, 0}, {1, 0, 1}, {1, 0, 0}, {0, 0, 1}, {0, 0, 0}}

// barsOn samples bars of a level, 0 to 1, on a lattice, with edges of 0.3 us.
func barsOn(r *timing.Raster, level float64) *frame.Frame {
	f := &frame.Frame{Raster: r}
	var in [3]frame.Interner
	for c := range f.Planes {
		f.Planes[c].Lines = make([]int32, len(r.Lines))
	}
	edge := 0.3 * r.Scan.System.HeightsPerMicrosecond().Float64()
	width := 2 * r.Picture().X1 / 8
	same := map[timing.Comb]int{}
	for j := range r.Lines {
		comb := r.Comb(j)
		if k, ok := same[comb]; ok {
			for c := range f.Planes {
				f.Planes[c].Lines[j] = f.Planes[c].Lines[k]
			}
			continue
		}
		same[comb] = j
		rows := [3][]float64{make([]float64, comb.N), make([]float64, comb.N), make([]float64, comb.N)}
		for i := range comb.N {
			var s colorimetry.Signal
			x := (comb.At(i) - r.Picture().X0) / width // in bars
			k := min(max(int(math.Floor(x+0.5)), 1), 7)
			d := (x - float64(k)) * width / edge // from the nearest edge
			up := 0.5 + 0.5*math.Sin(math.Pi*min(max(d, -0.5), 0.5))
			for c, b := range [2][3]float64{bars[k-1], bars[k]} {
				v := colorimetry.FromRGB(level*b[0], level*b[1], level*b[2])
				part := up
				if c == 0 {
					part = 1 - up
				}
				s.Y, s.CB, s.CR = s.Y+part*v.Y, s.CB+part*v.CB, s.CR+part*v.CR
			}
			rows[0][i], rows[1][i], rows[2][i] = s.Y, s.CB, s.CR
		}
		for c := range f.Planes {
			f.Planes[c].Lines[j] = in[c].Add(rows[c])
		}
	}
	for c := range f.Planes {
		f.Planes[c].Rows = in[c].Rows()
	}
	return f
}

// wave is bars on a wire.
func wave(t testing.TB, wire string, s *timing.Scan, level float64, o composite.Options, frames int) *composite.Wave {
	t.Helper()
	e, err := composite.NewEncoder(composite.Lookup(wire), s, o)
	require.NoError(t, err)
	w, err := e.Encode(0, frames, func(r *timing.Raster, _ int) (*frame.Frame, error) { return barsOn(r, level), nil })
	require.NoError(t, err)
	return w
}

func standard(t testing.TB, wire string, s *timing.Scan, level float64) *composite.Wave {
	t.Helper()
	return wave(t, wire, s, level, composite.Standard, 1)
}

// darkness is a picture in gray, 0 white to 255 black.
func darkness(m *image.RGBA, x, y int) int {
	c := m.RGBAAt(x, y)
	return 255 - (299*int(c.R)+587*int(c.G)+114*int(c.B)+500)/1000
}

// traceBox returns the box of the n-th trace of a picture.
func traceBox(t testing.TB, p *Picture, n int) image.Rectangle {
	t.Helper()
	for _, it := range p.items {
		if it.trace == nil {
			continue
		}
		if n == 0 {
			return it.trace.box
		}
		n--
	}
	require.Fail(t, "no such trace")
	return image.Rectangle{}
}

// traceAlone is the picture with nothing behind its traces.
func traceAlone(p *Picture) *image.RGBA {
	q := &Picture{Width: p.Width, Height: p.Height}
	for _, it := range p.items {
		if it.trace != nil {
			q.items = append(q.items, it)
		}
	}
	return q.Image()
}
