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

// finding sums up what all hypotheses say of a fault.
func (v *verdict) finding(f Fault) Finding {
	out := Finding{Fault: f, Value: math.NaN(), Sigma: math.NaN()}
	var mass, mean, square float64
	for i, h := range v.list {
		w := v.weight[i] * h.present(f)
		out.Confidence += w
		if value, sigma, ok := h.number(f); ok {
			mass += w
			mean += float64(w * value)
			square += float64(w * (float64(value*value) + float64(sigma*sigma)))
		}
	}
	if mass > 0 {
		out.Value = mean / mass
		out.Sigma = math.Sqrt(max(0, square/mass-float64(out.Value*out.Value)))
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
