package measure

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"
)

// A spectrum gathers, for one frequency, the product of what was captured with
// what was to be, and the power of the latter; both over the variance.
type spectrum struct {
	mhz   float64
	cross complex128
	power float64
	got   float64 // power of what was captured
}

// A window is the samples of a Hann window and its power.
type window struct {
	v     []float64
	power float64
}

func hann(n int) window {
	w := window{v: make([]float64, n)}
	for i := range w.v {
		w.v[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
		w.power += float64(w.v[i] * w.v[i])
	}
	return w
}

// times returns v under the window, without its mean: in a short window that
// would leak.
func (w window) times(v []float64) []float64 {
	var sum, weight float64
	for i := range v {
		sum, weight = sum+float64(w.v[i]*v[i]), weight+w.v[i]
	}
	out := make([]float64, len(v))
	for i := range v {
		out[i] = w.v[i] * (v[i] - sum/weight)
	}
	return out
}

// addAll takes a row to all spectra of a list: got and want, the variance of a
// sample of got, and samples in a microsecond.
func addAll(list []spectrum, w window, got, want []float64, variance, rate float64) {
	got, want = w.times(got), w.times(want)
	for k := range list {
		s := &list[k]
		a, b := transform(got, want, s.mhz/rate)
		s.cross += cmplx.Conj(b) * a / complex(variance*w.power, 0)
		s.power += real(b*cmplx.Conj(b)) / (variance * w.power)
		s.got += real(a*cmplx.Conj(a)) / (variance * w.power)
	}
}

// transform returns the Fourier sums of two rows at so many cycles a sample.
func transform(a, b []float64, cycles float64) (complex128, complex128) {
	turn := cmplx.Rect(1, -2*math.Pi*cycles)
	tr, ti := real(turn), imag(turn)
	var ar, ai, br, bi float64
	c, s := 1.0, 0.0
	for i, x := range a {
		y := b[i]
		ar, ai = ar+float64(x*c), ai+float64(x*s)
		br, bi = br+float64(y*c), bi+float64(y*s)
		c, s = float64(c*tr)-float64(s*ti), float64(c*ti)+float64(s*tr)
	}
	return complex(ar, ai), complex(br, bi)
}

// response returns what became of the frequency; false if nothing can be said.
func (s *spectrum) response() (Response, bool) {
	const most = 0.1 // a gain that is not known to a tenth is not known
	if s.power < 0.5/(most*most) {
		return Response{}, false
	}
	h := s.cross / complex(s.power, 0)
	return Response{
		MHz: s.mhz, Gain: cmplx.Abs(h),
		Delay: -cmplx.Phase(h) / (2 * math.Pi * s.mhz) * 1000,
		Sigma: math.Sqrt(0.5 / s.power),
	}, true
}

// coherence is the correlation of what was captured with what was to be, over
// those frequencies where there is something; 1 where there is nothing.
func coherence(list []spectrum) float64 {
	const some = 20 // times the noise
	var explained, all float64
	for i := range list {
		if s := &list[i]; s.power > some {
			explained += real(s.cross*cmplx.Conj(s.cross)) / s.power
			all += s.got
		}
	}
	if all == 0 {
		return 1
	}
	return math.Sqrt(explained / all)
}

func frequencies(from, to, step float64) []spectrum {
	var out []spectrum
	for i := 0; from+float64(float64(i)*step) <= to; i++ {
		out = append(out, spectrum{mhz: from + float64(float64(i)*step)})
	}
	return out
}

func responses(list []spectrum) []Response {
	var out []Response
	for i := range list {
		if r, ok := list[i].response(); ok {
			out = append(out, r)
		}
	}
	return out
}

// insert adds a response in the order of frequency, unless there is a more
// certain one near it; less certain ones give way.
func insert(list []Response, x Response) []Response {
	const close = 0.13 // MHz: half the grid
	at := func(r Response) bool { return math.Abs(r.MHz-x.MHz) < close }
	if slices.ContainsFunc(list, func(r Response) bool { return at(r) && r.Sigma <= x.Sigma }) {
		return list
	}
	list = append(slices.DeleteFunc(list, at), x)
	slices.SortFunc(list, func(a, b Response) int { return cmp.Compare(a.MHz, b.MHz) })
	return list
}

// relative makes the gains relative to that of slow changes. It is 1 by the fit
// of levels, to a standard deviation, and what the lowest frequencies say when
// they are extended to 0 by a straight line over the square of frequency, which
// every filter begins with.
func relative(list []Response, upTo, sigma float64) []Response {
	n, sx, sy, sxx, sxy := 1/float64(sigma*sigma), 0.0, 1/float64(sigma*sigma), 0.0, 0.0
	for _, r := range list {
		if r.MHz > upTo {
			break
		}
		s := math.Hypot(r.Sigma, 0.003) // no filter is quite such a line
		w, x := 1/float64(s*s), float64(r.MHz*r.MHz)
		n, sx, sy = n+w, sx+float64(w*x), sy+float64(w*r.Gain)
		sxx, sxy = sxx+float64(w*float64(x*x)), sxy+float64(w*float64(x*r.Gain))
	}
	sxx++ // without detail the line is level
	d := float64(n*sxx) - float64(sx*sx)
	zero := (float64(sy*sxx) - float64(sx*sxy)) / d
	const gone = 0.2
	if !(zero > gone) {
		return list
	}
	for i := range list {
		list[i].Gain /= zero
		list[i].Sigma /= zero
	}
	return list
}
