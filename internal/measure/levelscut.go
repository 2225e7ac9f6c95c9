package measure

import "math"

// beyond is how far past black or white a neutral patch must lie to say whether
// such levels arrive: less is not told from rounding.
const beyond = 0.012

// cuts weighs, over all hypotheses, whether levels below black and above white
// were lost that the coding of the capture could have held. A stretched range
// and coarse colors lose them by their nature: that is no finding of its own.
func (v *verdict) cuts() []Finding {
	var out []Finding
	for _, end := range []struct {
		fault    Fault
		at, sign float64
	}{{BelowBlackCut, 0, -1}, {AboveWhiteCut, 1, 1}} {
		f := Finding{Fault: end.fault, Value: math.NaN(), Sigma: math.NaN()}
		for i, h := range v.list {
			if h.span >= 0 && h.bits == 0 {
				f.Confidence += float64(v.weight[i] * h.lost(v.data, &v.limits, end.at, end.sign))
			}
		}
		if f.Confidence >= leastConfidence {
			out = append(out, f)
		}
	}
	return out
}

// lost is the probability, by one hypothesis, that luma beyond a level is cut
// off there. sign is -1 below it.
func (h *hypothesis) lost(data []datum, l *limits, level, sign float64) float64 {
	var gain float64
	seen := false
	for i := range data {
		d := &data[i]
		if math.Hypot(d.want.CB, d.want.CR) > 0.02 {
			continue
		}
		whole := l.hold(h.apply(d.want, uncut))
		if sign*(whole.Y-level) < beyond {
			continue
		}
		seen = true
		gain += lossOf((d.got.Y-whole.Y)/d.sigma[0]) - lossOf((d.got.Y-level)/d.sigma[0])
	}
	if !seen {
		return 0
	}
	return 1 / (1 + math.Exp(-(gain-faultCost)/2))
}
