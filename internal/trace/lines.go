package trace

import (
	"math"
	"slices"

	"backporch/timing"
)

// A line is one that was recorded from its 0H on; times in us
// from the first sample on, levels in mV.
type line struct {
	at     float64 // 0H
	number int     // of the frame; 0: not known
	width  float64 // of sync
	tip    float64
	blank  float64 // behind the burst
	next   float64 // 0H of the line that follows; 0: not recorded

	burst burst
	match match
}

// lines lists the lines of a scan among pulses, those of the vertical interval
// left out, and numbers them where the record has a field sync. It also returns
// how many pulses of the vertical interval there are.
func linesOf(pulses []pulse, s *timing.Scan, l layout) (all []line, vertical int) {
	base, at := fieldSync(pulses, s, l)
	for i, p := range pulses {
		if p.kind != linePulse {
			vertical++
			continue
		}
		n := line{at: p.at, width: p.width, tip: p.tip, blank: p.back}
		if i+1 < len(pulses) {
			// Half a line ends in an equalizing pulse: it has no whole picture.
			if d := pulses[i+1].at - p.at; math.Abs(d-l.period) < 0.1*l.period {
				n.next = pulses[i+1].at
			} else if math.Abs(d-l.period/2) < 0.1*l.period {
				vertical++
				continue
			}
		}
		if base > 0 {
			n.number = numberAt(base+(p.at-at)/l.period, s.Lines)
		}
		all = append(all, n)
	}
	return all, vertical
}

// numberAt rounds a place to the number of a line, from 1.
func numberAt(place float64, lines int) int {
	n := int(math.Round(place)) - 1
	return ((n%lines)+lines)%lines + 1
}

// fieldSync finds the first broad pulse of a field, and returns its time and the
// place on the frame, in lines, where it begins: 4 or 266.5 on 525 lines, 1 or
// 313.5 on 625 (SMPTE 170M figure 7, ITU-R BT.1700 Annex 1 Part B figure 8). 0
// is none. Without interlace every field is as the first.
func fieldSync(pulses []pulse, s *timing.Scan, l layout) (place, at float64) {
	i := slices.IndexFunc(pulses, func(p pulse) bool { return p.kind == broadPulse })
	if i < 0 {
		return 0, 0
	}
	if i == 0 || pulses[i].at-pulses[i-1].at > 0.75*l.period {
		return 0, 0 // the record may begin in the middle of them
	}
	first := [2]float64{4, 266.5}
	if s.System == timing.System625 {
		first = [2]float64{1, 313.5}
	}
	at = pulses[i].at
	if !s.Interlaced() {
		return first[0], at
	}
	// Whether it begins with a line or in the middle of one, the nearest pulse of
	// a line says.
	for d := 1; d < len(pulses); d++ {
		for _, k := range []int{i - d, i + d} {
			if k < 0 || k >= len(pulses) || pulses[k].kind != linePulse {
				continue
			}
			whole := (pulses[k].at - at) / l.period
			off := math.Abs(whole - math.Round(whole))
			if off < 0.1 {
				return first[0], at
			}
			if off > 0.4 {
				return first[1], at
			}
		}
	}
	return 0, 0
}

// whole leaves out lines that were not recorded as far as their picture.
func (s *signal) whole(all []line, l layout) []line {
	return slices.DeleteFunc(all, func(n line) bool { return !s.holds(n.at, n.at+l.pictureFrom) })
}

// ending finds 0H of the line behind one that is the last of the record, if its
// leading edge was still recorded.
func (s *signal) ending(n *line, l layout) {
	about := n.at + l.period
	if n.next > 0 || !s.holds(n.at, about+1.2) {
		return
	}
	depth := n.blank - n.tip
	tip := median(s.between(s.smooth, about+0.8, about+1.2))
	if math.Abs(n.blank-tip-depth) > 0.3*depth {
		return
	}
	front := median(s.between(s.smooth, about-1.0, about-0.5))
	if t, ok := s.crosses(s.index(about), -1, (front+tip)/2); ok {
		n.next = t
	}
}

// levels measures blanking behind the burst, and the tip of sync. A burst that
// ends late leaves less of the porch.
func (s *signal) levels(n *line, l layout) {
	from := max(n.at+l.porchFrom, n.at+n.burst.to+0.3)
	if porch := s.between(s.v, from, max(from+0.3, n.at+l.porchTo)); len(porch) > 0 {
		n.blank, _ = mean(porch)
	}
	if tip := s.between(s.v, n.at+0.6, n.at+n.width-0.6); len(tip) > 0 {
		n.tip, _ = mean(tip)
	}
}
