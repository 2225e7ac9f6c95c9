package trace

import (
	"math"
	"math/cmplx"
)

// A burst is what was found of it on one line.
type burst struct {
	found bool
	pp    float64    // mV
	from  float64    // us after 0H, where it reaches half its height
	to    float64    // likewise
	z     complex128 // as of a tone
}

// faintest is the burst, of the depth of sync, below which there is none; the
// two are alike in the standards (common practice: a set shows no color from 5
// to 10 %).
const faintest = 0.08

// findBurst looks for the burst of a line between sync and picture.
func (s *signal) findBurst(n *line, l layout, depth, mhz float64) (b burst) {
	from, to := n.at+l.syncEnd+0.35, n.at+l.pictureFrom-0.2
	if !s.holds(from, to) {
		return b
	}
	step := 0.02
	var top, at float64
	for t := from; t <= to; t += step {
		if e := s.envelope(t); e > top {
			top, at = e, t
		}
	}
	if top < faintest*depth {
		return b
	}
	cross := func(dir float64) float64 {
		last := s.envelope(at)
		for t := at + dir*step; t > from-0.2 && t < to+0.2; t += dir * step {
			e := s.envelope(t)
			if e < top/2 {
				return t - dir*step*(top/2-e)/(last-e)
			}
			last = e
		}
		return math.NaN()
	}
	// The top of the envelope of a noisy burst is a little high; its height is
	// that of the tone in its flat part, and the ends are those of half that.
	for range 2 {
		first, last := cross(-1), cross(+1)
		if math.IsNaN(first) || math.IsNaN(last) || last-first < 3/s.fsc {
			return burst{}
		}
		tone, ok := s.fitTone(first+0.35, last-0.35, mhz)
		if !ok {
			return burst{}
		}
		b = burst{true, 2 * cmplx.Abs(tone.z), first - n.at, last - n.at, tone.z}
		top = b.pp
	}
	return b
}

// frequency finds how fast the subcarrier is on the scope's scale, from burst to
// burst, in MHz: the bursts of a source follow one carrier. nominal holds where
// there is one burst alone. turns says that V changes its sign from line to
// line, and the burst with it by a quarter of a cycle.
func frequency(lines []line, nominal float64, turns bool) (mhz float64, bursts int) {
	var t, phase []float64
	for _, n := range lines {
		if n.burst.found {
			t = append(t, n.at)
			phase = append(phase, cmplx.Phase(n.burst.z)*180/math.Pi)
		}
	}
	if len(t) < 2 {
		return nominal, len(t)
	}
	// Phases are against nominal already, so what they drift is the error. Folded,
	// the two bursts of alternate lines are one.
	fold := 360.0
	if turns {
		fold = 90
	}
	near := func(d float64) float64 { return d - fold*math.Round(d/fold) }
	var slopes []float64
	for i := 1; i < len(t); i++ {
		d := near(phase[i] - phase[i-1])
		slopes = append(slopes, d/(t[i]-t[i-1]))
	}
	slope := median(slopes)
	// Then the best line through all of them.
	var st, sp, stt, stp float64
	for i := range t {
		x := t[i] - t[0]
		y := near(phase[i]-phase[0]-slope*x) + slope*x
		st, sp, stt, stp = st+x, sp+y, stt+float64(x*x), stp+float64(x*y)
	}
	n := float64(len(t))
	if det := n*stt - st*st; det > 0 {
		slope = (n*stp - st*sp) / det
	}
	return nominal + slope/360, len(t)
}
