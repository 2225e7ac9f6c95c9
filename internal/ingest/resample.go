package ingest

import (
	"math"

	"backporch/internal/sinc"
	"backporch/pattern/frame"
	"backporch/timing"
)

// On returns the picture on the lattice of a signal of the same scan, in 4:4:4:
// on the lines that both have. Between its samples the picture is a sinc of
// their band under a Kaiser window of 16 samples, as the filter behind a
// player's converter makes it; beyond its ends a row keeps its last value.
func (p *Picture) On(r *timing.Raster) *frame.Frame {
	at := make(map[timing.Line]int)
	for j, l := range p.Raster.Lines {
		at[l] = j
	}
	played := *r
	played.Lines = nil
	f := &frame.Frame{Raster: &played}
	type key struct {
		row  int32
		comb timing.Comb
	}
	between := newFilter()
	var in [3]frame.Interner
	var done [3]map[key]int32
	for i := range done {
		done[i] = make(map[key]int32)
	}
	for k, l := range r.Lines {
		j, ok := at[l]
		if !ok {
			continue
		}
		played.Lines = append(played.Lines, l)
		to, from := r.Comb(k), p.Raster.Comb(j)
		for i := range p.planes {
			id := key{p.planes[i].Lines[j], to}
			n, ok := done[i][id]
			if !ok {
				step := float64(p.step[i])
				first := (to.X0-from.X0)/from.DX - p.first[i]
				n = in[i].Add(between.row(p.planes[i].Row(j), first/step, to.DX/from.DX/step, to.N))
				done[i][id] = n
			}
			f.Planes[i].Lines = append(f.Planes[i].Lines, n)
		}
	}
	for i := range in {
		f.Planes[i].Rows = in[i].Rows()
	}
	return f
}

// A filter interpolates at phases places between two samples.
type filter [phases][sinc.Taps]float64

const (
	taps   = sinc.Taps
	phases = 1024
)

func newFilter() *filter {
	f := new(filter)
	for k := range f {
		f[k] = sinc.Weights(float64(k) / phases)
	}
	return f
}

// row returns n samples of a row from a place on, step apart, in its samples.
func (f *filter) row(src []float64, from, step float64, n int) []float64 {
	out := make([]float64, n)
	last := len(src) - 1
	for i := range out {
		place := math.Floor((from+float64(float64(i)*step))*phases + 0.5)
		whole := int(math.Floor(place / phases))
		h := &f[int(place)-whole*phases]
		first := whole - taps/2 + 1
		v := 0.0
		if first >= 0 && first+taps <= len(src) {
			for j, x := range src[first : first+taps] {
				v += float64(h[j] * x)
			}
		} else {
			for j := range h {
				v += float64(h[j] * src[min(max(first+j, 0), last)])
			}
		}
		out[i] = v
	}
	return out
}
