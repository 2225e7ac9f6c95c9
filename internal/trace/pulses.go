package trace

import "math"

// A pulseKind is what a pulse of sync is for.
type pulseKind int

const (
	linePulse pulseKind = iota
	equalizingPulse
	broadPulse
	numPulseKinds
)

// widths are between which limits a pulse of each kind lasts, us: about half
// way between the kinds, so that a wrong one is measured and not lost (SMPTE
// 170M table 3, ITU-R BT.1700 Annex 1 Part B table 3: 4.7, 2.3 and 27.1).
var widths = [numPulseKinds][2]float64{{3.5, 6.5}, {1.6, 3.2}, {24, 30}}

// A pulse is one of sync, found in the signal; times in us.
type pulse struct {
	kind  pulseKind
	at    float64 // half-way point of the leading edge
	width float64 // between half-way points
	tip   float64 // mV on the scope's own scale
	back  float64 // behind it: blanking
}

// slices at which parts of the whole height pulses are looked for: sync is two
// sevenths of a picture with white, and nearly all of a black one.
var cuts = []float64{0.12, 0.2, 0.3, 0.45}

// findPulses looks for sync that goes down.
func (s *signal) findPulses() []pulse {
	part := s.smooth
	if by := len(part) / 200_000; by > 1 {
		part = nil
		for i := 0; i < len(s.smooth); i += by {
			part = append(part, s.smooth[i])
		}
	}
	low, high := quantile(part, 0.005), quantile(part, 0.995)
	if high-low < 1e-3 {
		return nil
	}
	for _, cut := range cuts {
		all := s.runs(low+float64(cut*(high-low)), low, high)
		for _, p := range all {
			if p.kind == linePulse {
				return all
			}
		}
	}
	return nil
}

// runs lists the pulses below a level.
func (s *signal) runs(level, low, high float64) (all []pulse) {
	for i := 1; i < len(s.smooth); i++ {
		if !(s.smooth[i-1] > level && s.smooth[i] <= level) {
			continue
		}
		j := i
		for j < len(s.smooth) && s.smooth[j] <= level {
			j++
		}
		if j == len(s.smooth) {
			break
		}
		if p, ok := s.pulse(i, j); ok && p.tip < low+0.1*(high-low) {
			all = append(all, p)
		}
		i = j
	}
	return all
}

// pulse measures the pulse that lies about samples i to j.
func (s *signal) pulse(i, j int) (p pulse, ok bool) {
	from, to := s.at(i), s.at(j)
	if rough := to - from; rough < 1.2 || rough > widths[broadPulse][1]+1 {
		return p, false
	}
	inset := min(0.8, (to-from)/3)
	p.tip = median(s.between(s.smooth, from+inset, to-inset))
	// Blanking on both sides; each edge is halved between what it joins. The
	// porch in front is shorter than any, and there need not be one in the record.
	p.back = median(s.between(s.smooth, to+0.35, to+0.6))
	front := s.between(s.smooth, from-1.0, from-0.5)
	before := p.back
	if len(front) > 0 && s.at(0) < from-0.9 {
		before = median(front)
	}
	depth := p.back - p.tip
	if depth <= 0 || math.Abs(before-p.back) > 0.5*depth {
		// No porch in front: the level behind is the better guess of the two.
		before = p.back
	}
	if depth <= 0 {
		return p, false
	}
	first, okFirst := s.crosses(i, -1, (before+p.tip)/2)
	last, okLast := s.crosses(j, +1, (p.back+p.tip)/2)
	if !okFirst || !okLast {
		return p, false
	}
	p.at, p.width = first, last-first
	for k, w := range widths {
		if p.width >= w[0] && p.width <= w[1] {
			p.kind = pulseKind(k)
			return p, true
		}
	}
	return p, false
}

// crosses returns when the smooth signal passes a level on the edge about
// sample i; rise is +1 for a rising edge and -1 for a falling one.
func (s *signal) crosses(i int, rise float64, level float64) (float64, bool) {
	reach := int(0.6/s.step) + 1
	best, least := 0.0, math.Inf(1)
	for k := max(1, i-reach); k < min(len(s.smooth), i+reach); k++ {
		a, b := rise*(s.smooth[k-1]-level), rise*(s.smooth[k]-level)
		if a < 0 && b >= 0 {
			t := s.at(k-1) + s.step*a/(a-b)
			if d := math.Abs(t - s.at(i)); d < least {
				best, least = t, d
			}
		}
	}
	return best, least < math.Inf(1)
}
