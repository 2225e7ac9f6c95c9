package white

import "math"

// want is a step as a tolerance: rows of the sum of parts of d and c, each of
// which is a distance from the target in limits.
type want struct {
	level, limit float64
	rows         [2][6]float64 // u', v'
}

// wants returns what the steps of the last round ask for, where d and c are
// those now believed in: equal light of the guns, seen as u', v'.
func (k *learner) wants(steps []Reading) (out []want) {
	slope := k.t.slope()
	for _, r := range steps {
		w := want{level: r.Level, limit: k.limit(r.Level, steps)}
		mean := 0.
		for g := range 3 {
			mean += (k.mean[g]*r.Level + k.mean[3+g]) / 3
		}
		mean = max(mean, .01)
		for i := range 2 {
			for g := range 3 {
				per := slope[i][g] * k.gamma / mean / w.limit
				w.rows[i][g], w.rows[i][3+g] = per*r.Level, per
			}
		}
		out = append(out, w)
	}
	return out
}

// limit is the distance allowed at a step: between the darkest and the lightest
// of them as their logarithms are.
func (k *learner) limit(v float64, steps []Reading) float64 {
	hi, lo := k.t.o.Within, k.t.o.WithinDark
	if hi == 0 {
		hi = .0010
	}
	if lo == 0 {
		lo = .0024
	}
	least, most := math.Inf(1), math.Inf(-1)
	for _, r := range steps {
		least, most = min(least, r.Level), max(most, r.Level)
	}
	part := (math.Log(max(v, .01)) - math.Log(max(least, .01))) / (math.Log(most) - math.Log(max(least, .01)))
	return lo * math.Pow(hi/lo, part)
}

// caution weighs the doubt about the effects in a cost; 1 would be the plain
// expectation, which moves so little that nothing is learned (own choice).
const caution = .1

// A cost is what is expected of a set of moves x, in half travels: the mean of
// the squares of all distances, in limits: x'Ax + 2b'x + a constant. The doubt
// about the effects is in it, so that little-known controls are moved with care.
type cost struct {
	a [][]float64
	b []float64
}

func (k *learner) cost(wants []want) (c cost) {
	n := len(k.controls)
	var square [6][6]float64
	for _, w := range wants {
		for _, row := range w.rows {
			for i := range 6 {
				for j := range 6 {
					square[i][j] += float64(row[i] * row[j])
				}
			}
		}
	}
	// between is the sum over the believed product of two columns.
	between := func(p, q func(i int) int) (sum float64) {
		for i := range 6 {
			for j := range 6 {
				sum += square[i][j] * (float64(k.mean[p(i)]*k.mean[q(j)]) + caution*k.cov[p(i)][q(j)])
			}
		}
		return sum
	}
	guns := func(i int) int { return i }
	c.a, c.b = make([][]float64, n), make([]float64, n)
	for x := range n {
		c.a[x] = make([]float64, n)
		for y := range n {
			c.a[x][y] = between(func(i int) int { return place(x, i) }, func(i int) int { return place(y, i) })
		}
		c.b[x] = between(func(i int) int { return place(x, i) }, guns)
	}
	return c
}

func (c cost) at(x []float64) (sum float64) {
	for i := range x {
		for j := range x {
			sum += float64(c.a[i][j] * x[i] * x[j])
		}
		sum += 2 * float64(c.b[i]*x[i])
	}
	return sum
}

// least returns the moves of the smallest cost within bounds: one control after
// another to the bottom of its parabola, until none moves any more. The cost is
// convex, so this ends at the one minimum.
func (c cost) least(lo, hi []float64) []float64 {
	x := make([]float64, len(c.b))
	for range 5000 {
		most := 0.
		for i := range x {
			if lo[i] == hi[i] || c.a[i][i] <= 0 {
				continue
			}
			slope := c.b[i]
			for j := range x {
				slope += float64(c.a[i][j] * x[j])
			}
			next := min(max(x[i]-slope/c.a[i][i], lo[i]), hi[i])
			most = max(most, math.Abs(next-x[i]))
			x[i] = next
		}
		if most < 1e-9 {
			break
		}
	}
	return x
}

// stepped moves x to what controls with steps can be set to: of all ways to go
// up or down to the next step, the one of the smallest cost, where those
// without steps follow. step is the step in half travels, 0 for none.
func (c cost) stepped(x, lo, hi, step []float64) []float64 {
	var which []int
	for i := range x {
		if step[i] > 0 && lo[i] < hi[i] {
			which = append(which, i)
		}
	}
	if len(which) == 0 {
		return x
	}
	best, bestCost := x, math.Inf(1)
	for n := range 1 << len(which) {
		l, h := append([]float64(nil), lo...), append([]float64(nil), hi...)
		ok := true
		for bit, i := range which {
			v := math.Floor(x[i]/step[i]+1e-9) * step[i]
			if n>>bit&1 == 1 {
				v += step[i]
			}
			ok = ok && v >= lo[i]-1e-9 && v <= hi[i]+1e-9
			l[i], h[i] = v, v
		}
		if !ok {
			continue
		}
		try := c.fixed(l, h)
		if at := c.at(try); at < bestCost {
			best, bestCost = try, at
		}
	}
	return best
}

// fixed is least where bounds that are equal hold moves in place.
func (c cost) fixed(lo, hi []float64) []float64 {
	free := false
	for i := range lo {
		free = free || lo[i] < hi[i]
	}
	if !free {
		return lo
	}
	shift := cost{a: c.a, b: append([]float64(nil), c.b...)}
	for i := range lo {
		if lo[i] == hi[i] {
			for j := range shift.b {
				shift.b[j] += float64(c.a[j][i] * lo[i])
			}
		}
	}
	x := shift.least(lo, hi)
	for i := range x {
		if lo[i] == hi[i] {
			x[i] = lo[i]
		}
	}
	return x
}
