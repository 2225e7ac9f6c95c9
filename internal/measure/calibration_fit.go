package measure

import (
	"math"
	"slices"

	"backporch/colorimetry"
	"backporch/pattern"
)

// Levels are what all flat patches of a picture say together of the way that
// they came: luma by a straight line, color by a plane map of the vectorscope.
//
//	Y'      = Black + Gain y'
//	(U, V)  = Matrix (u, v) + Shift
//
// Patches beyond black or white, and colors outside R'G'B', are left out: they
// may have been cut on the way.
type Levels struct {
	LumaKnown  bool    // black and white, or gray between, were seen
	Gain       float64 // 1: right
	Black      float64 // what black becomes; 0: right
	SigmaBlack float64 // standard deviations of the line at black and at white
	SigmaWhite float64
	Bent       float64 // greatest departure of a patch from the line
	BentAt     string  // name of that patch

	ChromaKnown bool
	Matrix      [2][2]float64 // U and V are amplitudes on the subcarrier in units of white
	Shift       [2]float64
	SigmaChroma float64 // of an element of Matrix
	SigmaShift  float64
	ChromaBent  float64 // greatest departure of a patch, in units of white
	Around      bool    // vectors of several directions were seen; else Matrix is a gain and a turn
}

// ChromaGain returns the mean gain of color, without regard to that of luma.
func (l *Levels) ChromaGain() float64 {
	m := &l.Matrix
	return math.Hypot(m[0][0]+m[1][1], m[1][0]-m[0][1]) / 2
}

// Phase returns the mean turn of color in degrees, from +(B'-Y') toward
// +(R'-Y').
func (l *Levels) Phase() float64 {
	m := &l.Matrix
	return math.Atan2(m[1][0]-m[0][1], m[0][0]+m[1][1]) * 180 / math.Pi
}

// SigmaLuma is the standard deviation of the line at a level.
func (l *Levels) SigmaLuma(y float64) float64 {
	return math.Hypot((1-y)*l.SigmaBlack, y*l.SigmaWhite)
}

// A sight is one patch as a fit sees it.
type sight struct {
	name       string
	want, got  colorimetry.Signal
	sigma      [3]float64
	wu, wv     float64
	gu, gv     float64
	lumaWeight float64
	weight     float64 // of color
}

// rounding is the standard deviation of a code that was rounded to 8 bits:
// 1/sqrt(12) of it.
const rounding = 0.2887 / 219

// FitLevels fits all flat patches to what they ought to be.
func FitLevels(patches []Patch) Levels {
	return fitLevels(patches, func(p *Patch) (colorimetry.Signal, [3]float64) { return p.Expect, [3]float64{} })
}

// fitLevels is FitLevels against other levels, known to a standard deviation.
func fitLevels(patches []Patch, known func(*Patch) (colorimetry.Signal, [3]float64)) (l Levels) {
	var list []sight
	for i := range patches {
		p := &patches[i]
		if !p.Measured() || p.Kind != pattern.Level || !keepable(p.Expect) {
			continue
		}
		want, sigma := known(p)
		s := sight{name: p.Name, want: want, got: p.Got}
		for c := range s.sigma {
			s.sigma[c] = math.Sqrt(rounding*rounding + p.Sigma[c]*p.Sigma[c] + sigma[c]*sigma[c])
		}
		s.wu, s.wv = vector(want)
		s.gu, s.gv = vector(p.Got)
		list = append(list, s)
	}
	l.luma(list)
	l.chroma(list)
	return l
}

// keepable reports a level that no stage has a reason to cut.
func keepable(s colorimetry.Signal) bool {
	const over = 0.02
	r, g, b := s.RGB()
	return s.Y > -0.005 && s.Y < 1.005 && min(r, g, b) > -over && max(r, g, b) < 1+over
}

// leastSpan is how far apart the darkest and the brightest patch must be for a
// line to be drawn through them.
const leastSpan = 0.3

// rounds of a fit in which patches far from it lose weight.
const rounds = 8

// weights sets weights that a few patches far off cannot move: the deviation is
// the stated one, or that which half of the patches show.
func weights(list []sight, off func(*sight) float64, sigma func(*sight) float64, set func(*sight, float64)) {
	var all []float64
	for i := range list {
		all = append(all, math.Abs(off(&list[i])))
	}
	slices.Sort(all)
	usual := 1.4826 * all[len(all)/2]
	for i := range list {
		s := &list[i]
		d := math.Hypot(sigma(s), usual)
		w := 1 / (sigma(s) * sigma(s))
		if far := math.Abs(off(s)) / (3 * d); far > 1 {
			w /= far * far
		}
		set(s, w)
	}
}

// luma draws the straight line.
func (l *Levels) luma(list []sight) {
	least, most := math.Inf(1), math.Inf(-1)
	for i := range list {
		least, most = min(least, list[i].want.Y), max(most, list[i].want.Y)
	}
	if !(most-least >= leastSpan) {
		return
	}
	off := func(s *sight) float64 { return s.got.Y - l.Black - float64(l.Gain*s.want.Y) }
	sigma := func(s *sight) float64 { return s.sigma[0] }
	for i := range list {
		list[i].lumaWeight = 1 / (sigma(&list[i]) * sigma(&list[i]))
	}
	var n, sx, sy, sxx, sxy, chi float64
	for range rounds {
		n, sx, sy, sxx, sxy = 0, 0, 0, 0, 0
		for i := range list {
			s := &list[i]
			w, x, y := s.lumaWeight, s.want.Y, s.got.Y
			n, sx, sy = n+w, sx+float64(w*x), sy+float64(w*y)
			sxx, sxy = sxx+float64(w*x*x), sxy+float64(w*x*y)
		}
		d := float64(n*sxx) - float64(sx*sx)
		if d <= 0 {
			return
		}
		l.Gain = (float64(n*sxy) - float64(sx*sy)) / d
		l.Black = (sy - float64(l.Gain*sx)) / n
		weights(list, off, sigma, func(s *sight, w float64) { s.lumaWeight = w })
	}
	d := float64(n*sxx) - float64(sx*sx)
	for i := range list {
		e := off(&list[i])
		chi += float64(list[i].lumaWeight * e * e)
		if math.Abs(e) > l.Bent {
			l.Bent, l.BentAt = math.Abs(e), list[i].name
		}
	}
	scale := math.Sqrt(max(1, chi/max(1, float64(len(list)-2))))
	l.SigmaBlack = scale * math.Sqrt(sxx/d)
	l.SigmaWhite = scale * math.Sqrt(max(0, sxx-2*sx+n)/d)
	l.LumaKnown = true
}

// chroma fits the color: a plane map where there are vectors around, else a
// gain and a turn.
func (l *Levels) chroma(list []sight) {
	var n, far float64
	var inertia [3]float64 // sums of uu, uv, vv
	for i := range list {
		s := &list[i]
		s.weight = 1 / (s.sigma[1]*s.sigma[1] + s.sigma[2]*s.sigma[2])
		n++
		far = max(far, math.Hypot(s.wu, s.wv))
		inertia[0] += s.wu * s.wu
		inertia[1] += s.wu * s.wv
		inertia[2] += s.wv * s.wv
	}
	if n < 2 || far < 0.05 {
		return
	}
	// Of the two axes of inertia the lesser must be no less than a tenth of the
	// greater for the map to be known in both.
	middle, half := (inertia[0]+inertia[2])/2, math.Hypot((inertia[0]-inertia[2])/2, inertia[1])
	l.Around = n >= 4 && middle-half > 0.1*(middle+half)
	off := func(s *sight) float64 {
		return math.Hypot(s.gu-l.Shift[0]-float64(l.Matrix[0][0]*s.wu)-float64(l.Matrix[0][1]*s.wv),
			s.gv-l.Shift[1]-float64(l.Matrix[1][0]*s.wu)-float64(l.Matrix[1][1]*s.wv))
	}
	var cov [2]float64
	for range rounds {
		var ok bool
		if l.Around {
			cov, ok = l.plane(list)
		} else {
			cov, ok = l.turn(list)
		}
		if !ok {
			return
		}
		weights(list, off, func(s *sight) float64 { return math.Hypot(s.sigma[1], s.sigma[2]) }, func(s *sight, w float64) { s.weight = w })
	}
	var chi float64
	for i := range list {
		e := off(&list[i])
		chi += float64(list[i].weight * e * e)
		l.ChromaBent = max(l.ChromaBent, e)
	}
	scale := math.Sqrt(max(1, chi/max(1, n-3)))
	l.SigmaChroma, l.SigmaShift = scale*math.Sqrt(cov[0]/2), scale*math.Sqrt(cov[1]/2)
	l.ChromaKnown = true
}

// plane fits U and V each to u, v and 1. It returns the mean variance of an
// element of the matrix and that of the shift.
func (l *Levels) plane(list []sight) (cov [2]float64, ok bool) {
	var a colorimetry.Matrix
	var u, v [3]float64
	for i := range list {
		s := &list[i]
		x := [3]float64{s.wu, s.wv, 1}
		for j := range x {
			for k := range x {
				a[j][k] += float64(s.weight * x[j] * x[k])
			}
			u[j] += float64(s.weight * x[j] * s.gu)
			v[j] += float64(s.weight * x[j] * s.gv)
		}
	}
	if a[0][0] == 0 || a[1][1] == 0 {
		return cov, false
	}
	in := a.Inverse()
	pu, pv := in.Mul(u), in.Mul(v)
	l.Matrix = [2][2]float64{{pu[0], pu[1]}, {pv[0], pv[1]}}
	l.Shift = [2]float64{pu[2], pv[2]}
	return [2]float64{(in[0][0] + in[1][1]) / 2, in[2][2]}, true
}

// turn fits a gain, a turn and a shift: a line through complex numbers.
func (l *Levels) turn(list []sight) (cov [2]float64, ok bool) {
	var n, mu, mv, nu, nv float64
	for i := range list {
		s := &list[i]
		n += s.weight
		mu, mv = mu+float64(s.weight*s.wu), mv+float64(s.weight*s.wv)
		nu, nv = nu+float64(s.weight*s.gu), nv+float64(s.weight*s.gv)
	}
	mu, mv, nu, nv = mu/n, mv/n, nu/n, nv/n
	var ss, re, im float64
	for i := range list {
		s := &list[i]
		a, b, c, d := s.wu-mu, s.wv-mv, s.gu-nu, s.gv-nv
		ss += float64(s.weight * (a*a + b*b))
		re += float64(s.weight * (a*c + b*d))
		im += float64(s.weight * (a*d - b*c))
	}
	if ss == 0 {
		return cov, false
	}
	re, im = re/ss, im/ss
	l.Matrix = [2][2]float64{{re, -im}, {im, re}}
	l.Shift = [2]float64{nu - re*mu + im*mv, nv - im*mu - re*mv}
	return [2]float64{1 / ss, 1/n + (mu*mu+mv*mv)/ss}, true
}
