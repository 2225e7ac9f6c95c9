package measure

import (
	"cmp"
	"math"
	"slices"
)

// A verdict is all hypotheses with the probability of each.
type verdict struct {
	list   []*hypothesis // most probable first
	weight []float64     // sum 1
	data   []datum
	limits limits
}

// mostFaults is how many faults of level are believed to come together, unless
// the data need one more.
const mostFaults = 3

// Misfits, for each number that was measured, from which on more is tried: about
// 1 or less is what a true hypothesis leaves.
const (
	doubtful    = 1.3
	unexplained = 2.5
)

// judge weighs all hypotheses against the data. There is none where there are
// no data.
func judge(data []datum, l limits) *verdict {
	v := &verdict{data: data, limits: l}
	if len(data) == 0 {
		return v
	}
	colored := slices.ContainsFunc(data, func(d datum) bool { return max(math.Abs(d.want.CB), math.Abs(d.want.CR)) > 0.01 })
	add := func(n int, c bits) {
		for _, h := range hypotheses(n, c, colored) {
			h.fit(data, &l)
			v.list = append(v.list, h)
		}
	}
	for n := range mostFaults + 1 {
		// Faults cost whatever they explain: so many are beyond belief where fewer
		// explain all.
		if n > 1 && faultCost*float64(n) > v.leastCost()+incredible {
			break
		}
		add(n, 0)
	}
	// Coarse colors are tried where something is wrong, with more besides where
	// the usual does not explain what was measured.
	best := slices.MinFunc(v.list, func(a, b *hypothesis) int { return cmp.Compare(a.cost, b.cost) })
	most := 0
	switch {
	case v.misfit() > doubtful:
		most = mostFaults
	case best.faults() > 0:
		most = 2
	}
	for _, c := range coarse() {
		for n := range most {
			add(n+1, c)
		}
	}
	if v.misfit() > unexplained {
		add(mostFaults+1, 0)
	}
	v.weigh()
	return v
}

// incredible is a difference of cost that leaves 3 in 10000.
const incredible = 16

func (v *verdict) leastCost() float64 {
	least := math.Inf(1)
	for _, h := range v.list {
		least = min(least, h.cost)
	}
	return least
}

// misfit is the least of all hypotheses, for each number that was measured.
func (v *verdict) misfit() float64 {
	least := math.Inf(1)
	for _, h := range v.list {
		least = min(least, h.chi2)
	}
	return least / float64(3*len(v.data))
}

// weigh turns costs into probabilities. Where nothing explains the data, their
// deviations are greater than was thought, and differences count for less.
func (v *verdict) weigh() {
	scale := max(1, v.misfit())
	cost := func(h *hypothesis) float64 { return h.chi2/scale + (h.cost - h.chi2) }
	slices.SortStableFunc(v.list, func(a, b *hypothesis) int { return cmp.Compare(cost(a), cost(b)) })
	v.weight = make([]float64, len(v.list))
	var sum float64
	for i, h := range v.list {
		v.weight[i] = math.Exp((cost(v.list[0]) - cost(h)) / 2)
		sum += v.weight[i]
	}
	for i := range v.weight {
		v.weight[i] /= sum
	}
}

// best is the most probable hypothesis; nil without data.
func (v *verdict) best() *hypothesis {
	if len(v.list) == 0 {
		return nil
	}
	return v.list[0]
}

// present returns how probable the fault is according to one hypothesis: not at
// all, wholly, or as far as it is enough to matter.
func (h *hypothesis) present(f Fault) float64 {
	if !h.has(f) {
		return 0
	}
	for _, p := range h.free {
		if p.fault() != f {
			continue
		}
		off := h.value[p]
		if p == gammaParameter {
			off--
		}
		return normal((math.Abs(off) - p.matters()) / h.sigma[p])
	}
	return 1
}

// normal is the probability that a normal variate lies below x.
func normal(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }
