package measure

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// play is capture for all faults: those of place and time, too, which are made by
// sampling the scene itself elsewhere.
func (b *bench) play(t testing.TB, ills []ill, lossy bool, noise float64, rnd *rand.Rand) *Picture {
	c := *b
	for _, i := range ills {
		switch i.fault {
		case Shifted, Shape:
			c.full = b.sampled(t, displacedRaster(b.raster, i))
		case ShiftedY:
			f := *b.full
			for p := range f.Planes {
				f.Planes[p].Lines = lowered(f.Planes[p].Lines, int(i.value))
			}
			c.full = &f
		case FieldsLate:
			c.full = b.late(t)
		}
	}
	p := c.capture(ills, lossy, noise, rnd)
	for _, i := range ills {
		if i.fault == ChromaFields {
			mixFields(p)
		}
	}
	return p
}

func (b *bench) sampled(t testing.TB, r *timing.Raster) *frame.Frame {
	f, err := pattern.Sample(b.scene, r, frame.S444, 0)
	require.NoError(t, err)
	return f
}

// displacedRaster samples earlier by the shift, or faster about the middle of
// the analog picture.
func displacedRaster(r *timing.Raster, i ill) *timing.Raster {
	out := *r
	fine := func(v float64) timing.Ratio { return timing.R(int64(math.Round(v*1e4)), 1e4) }
	if i.fault == Shifted {
		out.Start = r.Start.Sub(fine(i.value))
		return &out
	}
	s := r.Scan.System
	middle := s.Left.Add(s.Right).Div(timing.Int(2)).Div(timing.Int(1_000_000)) // seconds
	out.Clock = r.Clock.Mul(timing.Int(1).Add(fine(i.value / 100)))
	out.Start = r.Start.Add(fine(middle.Mul(out.Clock.Sub(r.Clock)).Float64()))
	return &out
}

// lowered moves rows down, the first row taking the place of what is missing.
func lowered(lines []int32, rows int) []int32 {
	out := make([]int32, len(lines))
	for j := range out {
		out[j] = lines[min(max(j-rows, 0), len(lines)-1)]
	}
	return out
}

// late weaves the newer field of frame 0 with the older one of frame 1, which is
// later.
func (b *bench) late(t testing.TB) *frame.Frame {
	one, err := pattern.Sample(b.scene, b.raster, frame.S444, 1)
	require.NoError(t, err)
	f := *b.full
	for c := range f.Planes {
		from := &one.Planes[c]
		p := &frame.Plane{Rows: slices.Clone(f.Planes[c].Rows), Lines: slices.Clone(f.Planes[c].Lines)}
		n := int32(len(p.Rows))
		p.Rows = append(p.Rows, from.Rows...)
		for j, l := range b.raster.Lines {
			if l.Field == 1 {
				p.Lines[j] = from.Lines[j] + n
			}
		}
		f.Planes[c] = *p
	}
	return &f
}

// mixFields gives rows 2k and 2k+1 the mean of their chroma.
func mixFields(p *Picture) {
	for c := colorimetry.CB; c <= colorimetry.CR; c++ {
		for j := 0; j+1 < p.Height; j += 2 {
			a, b := p.Row(c, j), p.Row(c, j+1)
			for i := range a {
				m := (a[i] + b[i]) / 2
				a[i], b[i] = m, m
			}
		}
	}
}
