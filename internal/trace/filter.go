package trace

import (
	"math"
	"slices"

	"backporch/internal/sinc"
)

// A signal is a trace that can be measured: at a rate of at most 80 MS/s, with
// all times in microseconds from its first sample on.
type signal struct {
	v      []float64 // mV
	step   float64
	smooth []float64 // v without the subcarrier and most of the noise
	fsc    float64   // MHz
}

// enough is a rate, in MHz, above which samples hold no more of a video signal,
// only more noise.
const enough = 40

// newSignal prepares samples for a system with that subcarrier, in MHz.
func newSignal(v []float64, step, fsc float64) *signal {
	s := &signal{v: v, step: step, fsc: fsc}
	if by := int(1 / step / enough); by > 1 {
		s.v, s.step = decimate(v, by), step*float64(by)
	}
	s.smooth = s.lowpass()
	return s
}

func (s *signal) at(i int) float64 { return float64(i) * s.step }

// index returns the first sample at or after t; it may be out of range.
func (s *signal) index(t float64) int { return int(math.Ceil(t / s.step)) }

// end is the time of the last sample.
func (s *signal) end() float64 { return s.at(len(s.v) - 1) }

// holds reports whether the signal was recorded from one time to another.
func (s *signal) holds(from, to float64) bool { return from >= 0 && to <= s.end() }

// between returns the samples of v, which is s.v or s.smooth, within two times.
func (s *signal) between(v []float64, from, to float64) []float64 {
	i, j := max(0, s.index(from)), min(len(v), s.index(to))
	if i >= j {
		return nil
	}
	return v[i:j]
}

// decimate keeps every by-th sample behind a low pass: the filter between
// samples of the new rate, flat up to a third of it.
func decimate(v []float64, by int) []float64 {
	const half = sinc.Taps / 2
	n := half * by
	h := make([]float64, 2*n+1) // by distance in samples, n in the middle
	for phase := range by {
		for j, w := range sinc.Weights(float64(phase) / float64(by)) {
			h[(j-half+1)*by-phase+n] = w
		}
	}
	out := make([]float64, 0, len(v)/by+1)
	for c := 0; c < len(v); c += by {
		// At the ends the filter is cut off, and the rest stands for all of it.
		from, to := max(0, c-n), min(len(v)-1, c+n)
		sum, weight := 0.0, 0.0
		for i := from; i <= to; i++ {
			w := h[i-c+n]
			sum += float64(w * v[i])
			weight += w
		}
		out = append(out, sum/weight)
	}
	return out
}

// window is a raised cosine two cycles of the subcarrier long: it does not pass
// the subcarrier nor its harmonics, and being symmetrical leaves the half-way
// point of an edge where it is.
func (s *signal) window() []float64 {
	n := int(1 / s.fsc / s.step)
	h := make([]float64, 2*n+1)
	for i := range h {
		h[i] = 0.5 + 0.5*math.Cos(math.Pi*float64(i-n)*s.step*s.fsc)
	}
	return h
}

func (s *signal) lowpass() []float64 {
	h := s.window()
	n := len(h) / 2
	out := make([]float64, len(s.v))
	for c := range out {
		from, to := max(0, c-n), min(len(s.v)-1, c+n)
		sum, weight := 0.0, 0.0
		for i := from; i <= to; i++ {
			w := h[i-c+n]
			sum += float64(w * s.v[i])
			weight += w
		}
		out[c] = sum / weight
	}
	return out
}

// envelope returns the peak-to-peak subcarrier about a time.
func (s *signal) envelope(t float64) float64 {
	from, to := max(0, s.index(t-1/s.fsc)), min(len(s.v), s.index(t+1/s.fsc))
	var re, im, weight float64
	mean := s.level(t)
	for i := from; i < to; i++ {
		d := s.at(i) - t
		w := 0.5 + 0.5*math.Cos(math.Pi*d*s.fsc)
		sin, cos := math.Sincos(2 * math.Pi * s.fsc * d)
		x := w * (s.v[i] - mean)
		re += float64(x * cos)
		im += float64(x * sin)
		weight += w
	}
	if weight == 0 {
		return 0
	}
	return 4 * math.Hypot(re, im) / weight
}

// level returns the smooth signal between samples.
func (s *signal) level(t float64) float64 {
	x := t / s.step
	i := int(math.Floor(x))
	i = max(0, min(i, len(s.smooth)-2))
	return s.smooth[i] + float64((x-float64(i))*(s.smooth[i+1]-s.smooth[i]))
}

// median returns the middle value; 0 of none. It does not change v.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Clone(v)
	slices.Sort(s)
	n := len(s) / 2
	if len(s)%2 == 0 {
		return (s[n-1] + s[n]) / 2
	}
	return s[n]
}

// mean returns the mean, and how far single values lie from it.
func mean(v []float64) (m, spread float64) {
	if len(v) == 0 {
		return 0, 0
	}
	for _, x := range v {
		m += x
	}
	m /= float64(len(v))
	if len(v) < 2 {
		return m, 0
	}
	for _, x := range v {
		spread += float64((x - m) * (x - m))
	}
	return m, math.Sqrt(spread / float64(len(v)-1))
}

// quantile returns the value below which a part of v lies.
func quantile(v []float64, part float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	return s[int(part*float64(len(s)-1))]
}
