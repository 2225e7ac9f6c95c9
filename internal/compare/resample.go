package compare

import (
	"math"

	"backporch/pattern/frame"
	"backporch/timing"
)

// taps is the reach of the resampling kernel to each side, in samples of the
// wire: 12 keep the response within 0.1 dB up to 5.5 MHz.
const taps = 12

// inset is how far within the analog picture samples are taken, microseconds:
// nearer to its edges the signal already falls to blanking.
const inset = 0.3

// resampled returns the decoded frame on the samples and lines of a raster.
func (o *Outcome) resampled(r *timing.Raster) *frame.Frame {
	out := &frame.Frame{Raster: r, Sampling: frame.S444}
	row := make(map[timing.Line]int, len(o.frame.Raster.Lines))
	for j, l := range o.frame.Raster.Lines {
		row[l] = j
	}
	var z resampler
	type key struct {
		source int32
		comb   timing.Comb
	}
	for c := range out.Planes {
		from := &o.frame.Planes[c]
		var in frame.Interner
		out.Planes[c].Lines = make([]int32, len(r.Lines))
		done := make(map[key]int32)
		for j, l := range r.Lines {
			k, ok := row[l]
			if !ok {
				out.Planes[c].Lines[j] = in.Add(make([]float64, r.Width))
				continue
			}
			at := key{from.Lines[k], o.frame.Raster.Comb(k)}
			if i, ok := done[at]; ok {
				out.Planes[c].Lines[j] = i
				continue
			}
			i := in.Add(z.row(from.Row(k), at.comb, r.Comb(j), r.Picture(), r.Scan.System))
			done[at], out.Planes[c].Lines[j] = i, i
		}
		out.Planes[c].Rows = in.Rows()
	}
	return out
}

// A resampler keeps the weights of the last pair of combs.
type resampler struct {
	from, to timing.Comb
	first    []int
	weights  [][2 * taps]float64
}

func (z *resampler) row(v []float64, from, to timing.Comb, e timing.Extent, s *timing.System) []float64 {
	if z.from != from || z.to != to {
		z.prepare(from, to, e, s)
	}
	out := make([]float64, to.N)
	for i := range out {
		sum := 0.0
		w := v[z.first[i] : z.first[i]+2*taps]
		for k, x := range w {
			sum += float64(x * z.weights[i][k])
		}
		out[i] = sum
	}
	return out
}

// prepare makes weights of a sinc under a raised cosine; their sum is 1 for
// each sample, so that a level stays what it is.
func (z *resampler) prepare(from, to timing.Comb, e timing.Extent, s *timing.System) {
	z.from, z.to = from, to
	z.first, z.weights = make([]int, to.N), make([][2 * taps]float64, to.N)
	in := inset * s.HeightsPerMicrosecond().Float64()
	for i := range z.first {
		x := min(max(to.At(i), e.X0+in), e.X1-in)
		at := (x - from.X0) / from.DX
		first := min(max(int(math.Floor(at))-taps+1, 0), from.N-2*taps)
		sum := 0.0
		for k := range z.weights[i] {
			w := kernel(at - float64(first+k))
			z.weights[i][k] = w
			sum += w
		}
		for k := range z.weights[i] {
			z.weights[i][k] /= sum
		}
		z.first[i] = first
	}
}

func kernel(x float64) float64 {
	switch {
	case math.Abs(x) < 1e-9:
		return 1
	case math.Abs(x) >= taps:
		return 0
	}
	return math.Sin(math.Pi*x) / (math.Pi * x) * (0.5 + float64(0.5*math.Cos(math.Pi*x/taps)))
}
