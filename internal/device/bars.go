package device

import (
	"math"

	"backporch/colorimetry"
	"backporch/internal/readings"
	"backporch/pattern"
)

// A Bar is one of a set.
type Bar struct {
	Name    string
	RGB     [3]uint8           // that a picture holds
	Want    colorimetry.Signal // of a set of exactly that amplitude
	Got     colorimetry.Signal
	Error   Error
	Neutral bool
	Level   readings.Level // of Got on the wire: what an instrument reads
}

// Bars is the set of color bars that a device emits best.
type Bars struct {
	Amplitude float64 // of R', G' and B', 0 to 1: 0.714 for 71.4 % bars
	Wire      *colorimetry.Family
	Bars      []Bar
	Worst     Error // the greatest of each, without their signs
}

// usualBars is the amplitude that is looked for first.
const usualBars = 0.75

// BestBars returns the bars on one of the outputs that are nearest to 75 % and
// hold together: all of them, by luma, amplitude and hue, within the limits of
// bars of one amplitude. Where none does, it is the set of least error. On 3
// bits it is 5/7, 71.4 %.
func (p *Profile) BestBars(wire *colorimetry.Family) Bars {
	var best Bars
	bestRank := math.Inf(1)
	for _, b := range p.barSets(wire) {
		// Within the limits the amplitude decides, else the error.
		rank := math.Abs(b.Amplitude - usualBars)
		if s := b.score(); s > 1+tidyLimit {
			rank = 1 + s
		}
		if rank < bestRank-tidyLimit {
			best, bestRank = b, rank
		}
	}
	return best
}

// score is the greatest error of any bar in units of its limit.
func (b *Bars) score() (s float64) {
	for _, bar := range b.Bars {
		s = max(s, bar.Error.score(bar.Neutral))
	}
	return s
}

// barSets returns the sets that come into question.
func (p *Profile) barSets(wire *colorimetry.Family) (sets []Bars) {
	switch {
	case len(p.Color.Fixed) > 0:
		sets = p.inkSets(wire)
	case p.Color.Bits != [3]int{}:
		sets = p.levelSets(wire)
	default:
		sets = append(sets, p.videoBars(wire, p.Coding.Model == colorimetry.RGB))
	}
	return sets
}

// videoBars is the set of a device that plays video, which has codes for 75 %:
// what is left is rounding. still is for bars in an R'G'B' picture.
func (p *Profile) videoBars(wire *colorimetry.Family, still bool) Bars {
	return barSet(wire, usualBars, func(want colorimetry.Signal, _ [3]float64) (colorimetry.Signal, [3]uint8) {
		return p.Plays(want, still), inkOfSignal(want).RGB
	})
}

// inkSets are the sets of a fixed palette: for each amplitude, in steps of 0.1 %,
// the colors that are nearest. Of those that are the same colors it is the
// amplitude that they come nearest to.
func (p *Profile) inkSets(wire *colorimetry.Family) (sets []Bars) {
	l := p.palette(wire)
	known := make(map[[8]colorID]int)
	for per1000 := 300; per1000 <= 1000; per1000++ {
		var inks [8]colorID
		n := 0
		b := barSet(wire, float64(per1000)/1000, func(want colorimetry.Signal, _ [3]float64) (colorimetry.Signal, [3]uint8) {
			id := l.nearest(want)
			inks[n] = id
			n++
			return p.Color.Fixed[id].Signal, p.Color.Fixed[id].RGB
		})
		at, ok := known[inks]
		switch {
		case !ok:
			known[inks] = len(sets)
			sets = append(sets, b)
		case b.score() < sets[at].score():
			sets[at] = b
		}
	}
	return sets
}

// levelSets are the sets of a device with channels: each level of green above a
// quarter with the levels of red and blue around it.
func (p *Profile) levelSets(wire *colorimetry.Family) (sets []Bars) {
	l := p.palette(wire)
	table := l.levels
	for g, level := range table[1] {
		if level < 0.25 {
			continue
		}
		for _, r := range around(table[0], level) {
			for _, b := range around(table[2], level) {
				codes := [3]int{r, g, b}
				on := [3]float64{table[0][r], level, table[2][b]}
				off := [3]float64{table[0][0], table[1][0], table[2][0]}
				// The amplitude whose white is theirs.
				a := colorimetry.FromRGB(on[0], on[1], on[2]).Y
				sets = append(sets, barSet(wire, a, func(_ colorimetry.Signal, bar [3]float64) (colorimetry.Signal, [3]uint8) {
					var v [3]float64
					var c [3]int
					for i := range v {
						v[i] = off[i]
						if bar[i] > 0 {
							v[i], c[i] = on[i], codes[i]
						}
					}
					return colorimetry.FromRGB(v[0], v[1], v[2]), l.rgb(idOf(c))
				}))
			}
		}
	}
	return sets
}

// around returns the codes whose levels lie next to v.
func around(levels []float64, v float64) (codes []int) {
	n := closest(levels, v)
	for k := max(1, n-1); k <= min(len(levels)-1, n+1); k++ {
		codes = append(codes, k)
	}
	return codes
}

// barSet fills a set in.
func barSet(wire *colorimetry.Family, amplitude float64, emit func(want colorimetry.Signal, bar [3]float64) (colorimetry.Signal, [3]uint8)) Bars {
	b := Bars{Amplitude: amplitude, Wire: wire}
	for i := range 8 {
		name, rgb := pattern.BarPrimary(i)
		bar := Bar{Name: name, Want: colorimetry.FromRGB(amplitude*rgb[0], amplitude*rgb[1], amplitude*rgb[2])}
		bar.Got, bar.RGB = emit(bar.Want, rgb)
		bar.Error, bar.Neutral = errorOf(wire, bar.Want, bar.Got)
		bar.Level = readings.On(wire, bar.Got)
		b.Bars = append(b.Bars, bar)
		w := &b.Worst
		w.Luma, w.MV, w.Hue = max(w.Luma, math.Abs(bar.Error.Luma)), max(w.MV, math.Abs(bar.Error.MV)), max(w.Hue, math.Abs(bar.Error.Hue))
		if !bar.Neutral {
			w.Chroma = max(w.Chroma, math.Abs(bar.Error.Chroma))
		}
	}
	return b
}
