package trace

import (
	"math"
	"math/cmplx"

	"backporch/internal/readings"
	"backporch/pattern"
	"backporch/timing"
)

// A spot is a patch that a row of the pattern crosses; us after 0H.
type spot struct {
	index    int // of the reading
	from, to float64
}

// settle is how long a band-limited color takes to be what it is behind the
// edge of a patch, us: a class of 1.3 MHz (common practice).
const settle = 0.45

// spots lists the patches of one level that a row of the raster crosses, as far
// as they are wide enough to be measured away from their edges.
func (t *Target) spots(row int, l layout) (list []spot) {
	span := t.View.Shown.Span(row)
	perUS := t.View.Shown.Scan.System.HeightsPerMicrosecond().Float64()
	s := t.View.Shown.Scan.System
	middle := s.Left.Add(s.Right).Float64() / 2
	for i, r := range t.Readings {
		p := r.Patch
		if p.Kind != pattern.Level || p.Want != p.To || span.Y < p.Y0 || span.Y > p.Y1 {
			continue
		}
		p = p.Interior(t.View)
		from := max(middle+p.X0/perUS, l.pictureFrom+0.2)
		to := min(middle+p.X1/perUS, l.pictureTo()-0.2)
		away := min(settle, (to-from)/4)
		if from, to = from+away, to-away; to-from >= 1.5/l.fsc {
			list = append(list, spot{i, from, to})
		}
	}
	return list
}

// A sample is what one line says of a patch.
type sample struct {
	level float64    // mV above blanking
	z     complex128 // subcarrier, mV peak to peak, at its angle from +(B'-Y') where V is positive
}

// measure reads a spot on a line. minus is the sign of V; it matters only where
// V turns.
func (s *signal) measure(n *line, k *kind, p spot, mhz float64, minus bool) (out sample, ok bool) {
	from, to := n.at+p.from, n.at+p.to
	if !s.holds(from, to) {
		return out, false
	}
	if !k.chroma {
		// What crosstalk of the subcarrier there is goes with the smooth signal.
		inset := min(1/s.fsc, (to-from)/4)
		v := s.between(s.smooth, from+inset, to-inset)
		if len(v) == 0 {
			return out, false
		}
		m, _ := mean(v)
		return sample{level: m - n.blank}, true
	}
	tone, ok := s.fitTone(from, to, mhz)
	if !ok {
		return out, false
	}
	if k.luma {
		out.level = tone.level - n.blank
	}
	if n.burst.found {
		out.z = relative(2*tone.z, n.burst.z, k.turns, minus)
	}
	return out, true
}

// relative turns a subcarrier by the phase of the burst: it lies at 180 degrees
// (SMPTE 170M clause 8.2), or at 135 with the sign of V (ITU-R BT.470-6 table 2
// item 2.16). Where V is negative, what is found is mirrored.
func relative(z, burst complex128, turns, minus bool) complex128 {
	z *= cmplx.Conj(burst) / complex(cmplx.Abs(burst), 0)
	switch {
	case !turns:
		return -z
	case minus:
		return cmplx.Conj(z * cmplx.Rect(1, -0.75*math.Pi))
	}
	return z * cmplx.Rect(1, 0.75*math.Pi)
}

// vSigns tells the lines whose V is negative by their bursts, and whether it
// could: lines of both kinds are needed.
func vSigns(lines []line) (minus []bool, known bool) {
	minus = make([]bool, len(lines))
	var sum complex128
	for _, n := range lines {
		if n.burst.found {
			sum += n.burst.z / complex(cmplx.Abs(n.burst.z), 0)
		}
	}
	var plus, other int
	for i, n := range lines {
		if !n.burst.found {
			continue
		}
		// The mean of the two lies along -U.
		d := cmplx.Phase(sum*cmplx.Conj(n.burst.z)) * 180 / math.Pi
		if math.Abs(d) < 15 {
			return minus, false
		}
		if minus[i] = d < 0; minus[i] {
			other++
		} else {
			plus++
		}
	}
	return minus, plus > 0 && other > 0
}

// patches measures every patch on every line; the result is by index of the
// readings. A line whose sign of V its burst does not tell takes the sign whose
// colors are nearer to those wanted.
func (s *signal) patches(lines []line, k *kind, t *Target, list []candidate, l layout, mhz float64) map[int][]sample {
	found := map[int][]sample{}
	minus, known := vSigns(lines)
	spotsOf := map[int][]spot{}
	for i := range lines {
		n := &lines[i]
		row := rowOf(n, &list[n.match.row], t.View.Shown.Lines)
		spots, ok := spotsOf[row]
		if !ok {
			spots = t.spots(row, l)
			spotsOf[row] = spots
		}
		signs := []bool{minus[i]}
		if k.turns && !known {
			signs = []bool{false, true}
		}
		var best []sample
		var indexes []int
		least := math.Inf(1)
		for _, sign := range signs {
			var got []sample
			var at []int
			miss := 0.0
			for _, p := range spots {
				if m, ok := s.measure(n, k, p, mhz, sign); ok {
					got, at = append(got, m), append(at, p.index)
					_, pp, deg := k.want(t.Readings[p.index].Held)
					miss += cmplx.Abs(m.z/complex(n.match.gain, 0) - cmplx.Rect(pp, deg*math.Pi/180))
				}
			}
			if miss < least {
				best, indexes, least = got, at, miss
			}
		}
		for j, m := range best {
			found[indexes[j]] = append(found[indexes[j]], m)
		}
	}
	return found
}

// rowOf returns which row of the raster a line shows: its own if it has a
// number, else the middle one of those that look like it.
func rowOf(n *line, c *candidate, lines []timing.Line) int {
	if n.number > 0 {
		for _, j := range c.rows {
			if lines[j].Number == n.number {
				return j
			}
		}
	}
	return c.rows[len(c.rows)/2]
}

// neutral reports a reading without color.
func neutral(r readings.Reading) bool {
	return math.Abs(r.Held.CB) < 1e-6 && math.Abs(r.Held.CR) < 1e-6
}
