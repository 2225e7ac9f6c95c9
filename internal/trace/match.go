package trace

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/timing"
)

// A candidate is one of the distinct rows of a pattern, as the smooth signal of
// it would be; or the line without picture.
type candidate struct {
	level, pp []float64 // mV, by sample of the lattice
	lines     []timing.Line
	rows      []int // of the raster
}

// A match is which candidate a line is.
type match struct {
	row    int     // index of the candidate
	gain   float64 // of its levels
	misfit float64 // root mean square, mV of nominal levels
	shape  float64 // misfit at the gain that fits best, however far off it is
	next   float64 // misfit of the next best
}

// candidates are the rows of a target, and last of all no picture.
func (t *Target) candidates(k *kind, l layout) []candidate {
	triples, lines := t.Picture.Distinct()
	list := make([]candidate, len(triples)+1)
	width := t.Picture.Raster.Width
	for i, three := range triples {
		y, cb, cr := t.Picture.Triple(three)
		c := candidate{level: make([]float64, width), pp: make([]float64, width)}
		for x := range c.level {
			c.level[x], c.pp[x], _ = k.want(colorimetry.Signal{Y: y[x], CB: cb[x], CR: cr[x]})
		}
		c.level, c.pp = smoothed(c.level, l), smoothed(c.pp, l)
		list[i] = c
	}
	for j, i := range lines {
		list[i].lines = append(list[i].lines, t.Picture.Raster.Lines[j])
		list[i].rows = append(list[i].rows, j)
	}
	list[len(triples)] = candidate{level: make([]float64, width), pp: make([]float64, width)}
	return list
}

// smoothed passes a row of the lattice through the window of [signal.window].
func smoothed(v []float64, l layout) []float64 {
	n := int(13.5 / l.fsc)
	out := make([]float64, len(v))
	for c := range v {
		sum, weight := 0.0, 0.0
		for i := max(0, c-n); i <= min(len(v)-1, c+n); i++ {
			w := 0.5 + 0.5*math.Cos(math.Pi*float64(i-c)*l.fsc/13.5)
			sum += float64(w * v[i])
			weight += w
		}
		out[c] = sum / weight
	}
	return out
}

// How well the shape of a line must match, and how little a line without picture
// may show, in parts of white: root mean square.
const matching, nothing = 0.12, 0.06

// find returns which candidate a line of the signal is; lone is the only one
// that it can be, or -1. scale is how much higher sync is than nominal.
func (s *signal) find(n *line, k *kind, l layout, list []candidate, lone int, scale float64) match {
	first := int((l.pictureFrom+0.5)*13.5) - latticeStart
	last := int((l.pictureTo()-0.5)*13.5) - latticeStart
	level, pp := make([]float64, 0, last-first), make([]float64, 0, last-first)
	for x := first; x < last; x++ {
		t := n.at + float64(latticeStart+x)/13.5
		if t > s.end()-1/s.fsc {
			break
		}
		level = append(level, s.level(t)-n.blank)
		if k.chroma {
			pp = append(pp, s.envelope(t))
		}
	}
	best := match{row: -1, misfit: math.Inf(1), next: math.Inf(1)}
	if len(level) < (last-first)/4 {
		return best
	}
	for i := range list {
		if lone >= 0 && i != lone {
			continue
		}
		c := &list[i]
		var wanted, product, power float64
		each := func(want, got float64) {
			wanted, product, power = wanted+float64(want*want), product+float64(want*got), power+float64(got*got)
		}
		for x := range level {
			if k.luma {
				each(c.level[first+x], level[x])
			}
			if k.chroma {
				each(c.pp[first+x]/4, pp[x]/4) // luma tells more
			}
		}
		gain, free := scale, scale
		if wanted > 0 {
			free = max(0.3*scale, min(3*scale, product/wanted))
			gain = max(0.7*scale, min(1.4*scale, free))
		}
		misfit := func(gain float64) float64 {
			rest := max(0, power-2*gain*product+gain*gain*wanted)
			return math.Sqrt(rest/float64(len(level))) / gain
		}
		off := misfit(gain)
		if wanted == 0 && off > nothing*float64(k.peaks) {
			continue // there is something
		}
		switch {
		case off < best.misfit-1e-9:
			best.next = best.misfit
			best.row, best.gain, best.misfit, best.shape = i, gain, off, misfit(free)
		case off < best.next:
			best.next = off
		}
	}
	return best
}

// A Band is the lines of a record that show the same row of the pattern.
type Band struct {
	Lines    string  // of the frame, that show this row: "23-262, 286-525"
	Count    int     // lines of the record
	Numbered bool    // they were counted from a field sync, or given
	Misfit   float64 // root mean square, mV
	Next     float64 // of the row of the pattern that fits next best; infinite if there is none
	Sure     string  // "certain", "likely" or "cannot tell"
}

// sure says how far a row can be told from the next best one.
func sure(numbered bool, misfit, next float64) string {
	switch {
	case numbered || next > 3*misfit+15:
		return "certain"
	case next > 1.3*misfit+2:
		return "likely"
	}
	return "cannot tell"
}

// bands sums up which rows the lines show, the most frequent first.
func bands(lines []line, list []candidate) []Band {
	of := map[int]*Band{}
	var rows []int
	for _, n := range lines {
		b := of[n.match.row]
		if b == nil {
			b = &Band{Lines: ranges(list[n.match.row].lines)}
			of[n.match.row] = b
			rows = append(rows, n.match.row)
		}
		b.Count++
		b.Misfit += n.match.misfit
		b.Next += n.match.next
		b.Numbered = n.number > 0
	}
	slices.SortStableFunc(rows, func(a, b int) int { return cmp.Compare(of[b].Count, of[a].Count) })
	out := make([]Band, 0, len(rows))
	for _, r := range rows {
		b := of[r]
		b.Misfit, b.Next = b.Misfit/float64(b.Count), b.Next/float64(b.Count)
		b.Sure = sure(b.Numbered, b.Misfit, b.Next)
		out = append(out, *b)
	}
	return out
}

// ranges writes the numbers of lines: "23-262, 286-525".
func ranges(lines []timing.Line) string {
	var numbers []int
	for _, l := range lines {
		numbers = append(numbers, l.Number)
	}
	slices.Sort(numbers)
	var parts []string
	for i := 0; i < len(numbers); {
		j := i
		for j+1 < len(numbers) && numbers[j+1] == numbers[j]+1 {
			j++
		}
		if i == j {
			parts = append(parts, fmt.Sprint(numbers[i]))
		} else {
			parts = append(parts, fmt.Sprintf("%d-%d", numbers[i], numbers[j]))
		}
		i = j + 1
	}
	if len(parts) > 6 {
		return fmt.Sprintf("%d lines from %d to %d", len(numbers), numbers[0], numbers[len(numbers)-1])
	}
	return strings.Join(parts, ", ")
}
