package measure

import (
	"cmp"
	"math"
	"slices"
)

// Findings below leastConfidence are not spoken of; from sure on they stand by
// themselves.
const (
	leastConfidence = 0.25
	sure            = 0.9
)

// findings returns what there is to say of levels.
func (v *verdict) findings() []Finding {
	var out []Finding
	for _, f := range levelFaults() {
		found := v.finding(f)
		if found.Confidence < leastConfidence {
			continue
		}
		if found.Confidence < sure {
			found.Alike = v.alike(f)
		}
		out = append(out, found)
	}
	return out
}

// finding sums up what all hypotheses say of a fault. Where they have different
// numbers for it, the mean would be true of none: it is taken of those that
// agree, and that together are the most probable.
func (v *verdict) finding(f Fault) Finding {
	type said struct{ weight, value, sigma float64 }
	out := Finding{Fault: f, Value: math.NaN(), Sigma: math.NaN()}
	var list []said
	for i, h := range v.list {
		w := v.weight[i] * h.present(f)
		out.Confidence += w
		const some = 1e-4 // less moves nothing
		if value, sigma, ok := h.number(f); ok && w > some {
			list = append(list, said{w, value, sigma})
		}
	}
	var most float64
	for _, about := range list {
		var mass, mean, square float64
		for _, s := range list {
			if math.Abs(s.value-about.value) > 3*math.Hypot(s.sigma, about.sigma) {
				continue
			}
			mass += s.weight
			mean += float64(s.weight * s.value)
			square += float64(s.weight * (float64(s.value*s.value) + float64(s.sigma*s.sigma)))
		}
		if mass > most {
			most, out.Value = mass, mean/mass
			out.Sigma = math.Sqrt(max(0, square/mass-float64(out.Value*out.Value)))
		}
	}
	return out
}

// alike lists the faults that explain the data in the place of f, most probable
// first.
func (v *verdict) alike(f Fault) []Fault {
	var with, without float64
	for i, h := range v.list {
		if h.has(f) {
			with += v.weight[i]
		} else {
			without += v.weight[i]
		}
	}
	share := map[Fault]float64{}
	var out []Fault
	for _, o := range levelFaults() {
		if o == f {
			continue
		}
		var a, b float64
		for i, h := range v.list {
			switch {
			case !h.has(o):
			case h.has(f):
				a += v.weight[i]
			default:
				b += v.weight[i]
			}
		}
		// It stands in the place of f if it is there more often where f is not.
		if b > 0.05 && b/without > a/with+0.2 {
			share[o] = b
			out = append(out, o)
		}
	}
	slices.SortStableFunc(out, func(a, b Fault) int { return cmp.Compare(share[b], share[a]) })
	return out
}
