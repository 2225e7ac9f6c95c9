package crosscheck

import (
	"math"

	"backporch/internal/composite"
	"backporch/timing"
)

// The reader looks at samples as an oscilloscope does: it knows the rate, when
// sample 0 was taken, and nothing of how the signal was made. A recording is
// read as a loop, because whole color sequences are.

// A tape is one channel of a recording.
type tape struct {
	v     []float32 // mV above blanking
	mhz   float64   // samples a microsecond
	start float64   // of sample 0 after 0H of line 1 of color field 1, in samples
}

// startOf is where the standards let sample 0 fall.
//
// 4 fsc, 525 lines: 0H is 33/90 sample after word 784 (SMPTE 244M clause 4.1
// and figure 4). 4 fsc, 625 lines: 0H of line 1 of field 1 is midway between two
// samples (EBU Tech 3280-E clause 1.1). 27 MHz: co-sited with 0H, as 13.5 MHz
// is (ITU-R BT.601-5 table 2).
func startOf(w *composite.Wire, s *timing.Scan) float64 {
	switch {
	case w.Kind == composite.YPbPr || w.Kind == composite.RGB:
		return 0
	case s.System == timing.System525:
		return 1 - 33.0/90
	}
	return 0.5
}

// fscOf is the subcarrier in MHz: 5 MHz x 63/88 (SMPTE 170M clause 11.1), and
// ITU-R BT.1700 Annex 1 Part B table 1.
func fscOf(s *timing.Scan) float64 {
	if s.System == timing.System525 {
		return 5 * 63.0 / 88
	}
	return 4.43361875
}

// mhzOf is the sampling rate of a wire.
func mhzOf(w *composite.Wire, s *timing.Scan) float64 {
	if w.Kind == composite.YPbPr || w.Kind == composite.RGB {
		return 27
	}
	return 4 * fscOf(s)
}

// us returns when sample i was taken, after 0H of line 1.
func (r tape) us(i float64) float64 { return (i + r.start) / r.mhz }

// index is the inverse of us.
func (r tape) index(us float64) float64 { return us*r.mhz - r.start }

// sample returns sample i of the loop.
func (r tape) sample(i int) float64 {
	n := len(r.v)
	return float64(r.v[((i%n)+n)%n])
}

// at returns the signal between the samples, at index x: the sum of sines
// through them, sin(x)/x under a Blackman window of 24 samples to each side. It
// is good to about 1e-4 of a step up to 0.9 of half the rate.
func (r tape) at(x float64) float64 {
	const half = 24
	base := int(math.Floor(x))
	d := x - float64(base)
	if d == 0 {
		return r.sample(base)
	}
	sum, weight := 0.0, 0.0
	for k := 1 - half; k <= half; k++ {
		u := d - float64(k)
		c := math.Cos(math.Pi * u / half)
		w := (0.34 + 0.5*c + 0.16*c*c) / u // 0.42 + 0.5 cos + 0.08 cos of twice
		if k%2 != 0 {
			w = -w
		}
		sum += w * r.sample(base+k)
		weight += w
	}
	return sum / weight
}

// crossing returns the index between samples i and i+1 where the signal passes
// a level that lies between them, by false position.
func (r tape) crossing(i int, level float64) float64 {
	a, b := float64(i), float64(i+1)
	va, vb := r.sample(i)-level, r.sample(i+1)-level
	for range 40 {
		x := a + (b-a)*va/(va-vb)
		v := r.at(x) - level
		if math.Abs(v) < 1e-6*math.Abs(level) || b-a < 1e-9 {
			return x
		}
		if (v > 0) == (va > 0) {
			a, va, vb = x, v, vb/2
		} else {
			b, vb, va = x, v, va/2
		}
	}
	return (a + b) / 2
}

// passed returns the index of the last crossing of a level at or before
// sample i, looking back.
func (r tape) passed(i int, level float64) float64 {
	above := r.sample(i) > level
	for (r.sample(i-1) > level) == above {
		i--
	}
	return r.crossing(i-1, level)
}

// passes returns the index of the first crossing of a level after sample i.
func (r tape) passes(i int, level float64) float64 {
	above := r.sample(i) > level
	for (r.sample(i+1) > level) == above {
		i++
	}
	return r.crossing(i, level)
}

// A pulse is one negative pulse; times in microseconds.
type pulse struct {
	at         float64 // half-way down its leading edge
	width      float64 // between half-way points
	fall, rise float64 // 10 to 90 %
	tip        float64 // mV, in its middle
}

// pulses finds every pulse that goes down past 3/4 of sync, in order. Bursts
// go down to half of it at most.
func (r tape) pulses(sync float64) (all []pulse) {
	deep := 0.75 * sync
	for i := range r.v {
		if !(r.sample(i) > deep && r.sample(i+1) <= deep) {
			continue
		}
		var p pulse
		at := r.passed(i+1, sync/2)
		p.at = r.us(at)
		p.fall = (r.passes(i, 0.9*sync) - r.passed(i+1, 0.1*sync)) / r.mhz
		j := i + 1
		for r.sample(j+1) <= deep {
			j++
		}
		end := r.passes(j, sync/2)
		p.width = (end - at) / r.mhz
		p.rise = (r.passes(j, 0.1*sync) - r.passed(j+1, 0.9*sync)) / r.mhz
		p.tip = r.sample(int((at + end) / 2))
		all = append(all, p)
	}
	// The pulse at 0H of line 1 goes down over the seam of the loop.
	if n := len(all) - 1; n >= 0 && all[n].at > r.us(float64(len(r.v)))-1 {
		last := all[n]
		last.at -= float64(len(r.v)) / r.mhz
		all = append([]pulse{last}, all[:n]...)
	}
	return all
}

// kind names a pulse by its width, with limits half-way between the nominal
// widths of the three sorts.
func (p pulse) kind() string {
	switch {
	case p.width < 3.5:
		return "EQ"
	case p.width < 15:
		return "H"
	}
	return "BROAD"
}

// A tone is what least squares find of a subcarrier in a stretch of signal:
// dc + amplitude sin(2 pi fsc t + degrees), t from 0H of line 1 of color field 1.
type tone struct{ dc, amplitude, degrees float64 }

// tone fits the samples taken from from to to, in microseconds.
func (r tape) tone(from, to, fsc float64) tone {
	var m [3][4]float64
	for i := int(math.Ceil(r.index(from))); i <= int(math.Floor(r.index(to))); i++ {
		s, c := math.Sincos(2 * math.Pi * cycles(fsc*r.us(float64(i))))
		x := [3]float64{1, s, c}
		for a := range 3 {
			for b := range 3 {
				m[a][b] += x[a] * x[b]
			}
			m[a][3] += x[a] * r.sample(i)
		}
	}
	for a := range 3 {
		for b := range 3 {
			if b == a {
				continue
			}
			f := m[b][a] / m[a][a]
			for k := range 4 {
				m[b][k] -= f * m[a][k]
			}
		}
	}
	s, c := m[1][3]/m[1][1], m[2][3]/m[2][2]
	return tone{m[0][3] / m[0][0], math.Hypot(s, c), turn(math.Atan2(c, s) * 180 / math.Pi)}
}

// cycles returns the fraction of a number of turns.
func cycles(x float64) float64 { return x - math.Floor(x) }

// turn returns degrees from 0 up to but not including 360.
func turn(d float64) float64 { return 360 * cycles(d/360) }

// apart returns how far a is ahead of b, in degrees from -180 to 180.
func apart(a, b float64) float64 { return turn(a-b+180) - 180 }

// envelope returns the amplitude of a tone of known phase at the samples from
// from to to (microseconds) that lie away from its zero crossings, and when.
func (r tape) envelope(from, to, fsc, degrees float64) (us, v []float64) {
	for i := int(math.Ceil(r.index(from))); i <= int(math.Floor(r.index(to))); i++ {
		t := r.us(float64(i))
		s := math.Sin(2*math.Pi*cycles(fsc*t) + degrees*math.Pi/180)
		if math.Abs(s) > 0.5 {
			us, v = append(us, t), append(v, r.sample(i)/s)
		}
	}
	return us, v
}

// pass returns when a curve first goes through a level, between its points by
// a straight line; NaN if it does not.
func pass(us, v []float64, level float64) float64 {
	for i := 1; i < len(v); i++ {
		if (v[i-1] < level) != (v[i] < level) {
			return us[i-1] + (level-v[i-1])/(v[i]-v[i-1])*(us[i]-us[i-1])
		}
	}
	return math.NaN()
}

// extremes returns the true extremes between two times: between the samples
// too, at the top of a parabola through three points an eighth apart.
func (r tape) extremes(from, to float64) (least, greatest float64) {
	least, greatest = math.Inf(1), math.Inf(-1)
	x := r.index(from)
	a, b := r.at(x), r.at(x+0.125)
	for x += 0.25; x <= r.index(to); x += 0.125 {
		c := r.at(x)
		top := b
		if bend := a - 2*b + c; (b-a)*(c-b) <= 0 && bend != 0 {
			top -= (c - a) * (c - a) / 8 / bend
		}
		least, greatest = min(least, top), max(greatest, top)
		a, b = b, c
	}
	return least, greatest
}
