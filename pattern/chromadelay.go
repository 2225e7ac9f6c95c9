package pattern

import (
	"fmt"
	"math"

	"backporch/colorimetry"
	"backporch/timing"
)

// ChromaDelay is rows of stripes in two colors each, with luma and chroma
// changing at the same place, or chroma by Delay later.
type ChromaDelay struct {
	Delay float64 // ns; > 0: chroma comes late
}

// A pair is the two colors of a row, before they are scaled to what a view's
// coding holds.
type pair struct {
	name   string
	names  [2]string
	colors [2]colorimetry.Signal
}

const (
	pairLevel   = 0.75 // of the colors
	stripes     = 8
	mostDelay   = 500
	chromaGray  = 0.5 // luma of the row where only chroma changes
	lumaStripes = 0.75
)

// delayPairs are the rows from top to bottom.
func delayPairs() []pair {
	full := func(r, g, b float64) colorimetry.Signal {
		return colorimetry.FromRGB(pairLevel*r, pairLevel*g, pairLevel*b)
	}
	green, magenta := full(0, 1, 0), full(1, 0, 1)
	on := func(s colorimetry.Signal) colorimetry.Signal { s.Y = chromaGray; return s }
	return []pair{
		{"luma only", [2]string{"black", "gray"}, [2]colorimetry.Signal{black, colorimetry.Gray(lumaStripes)}},
		{"green-magenta", [2]string{"green", "magenta"}, [2]colorimetry.Signal{green, magenta}},
		{"yellow-blue", [2]string{"yellow", "blue"}, [2]colorimetry.Signal{full(1, 1, 0), full(0, 0, 1)}},
		{"cyan-red", [2]string{"cyan", "red"}, [2]colorimetry.Signal{full(0, 1, 1), full(1, 0, 0)}},
		{"chroma only", [2]string{"green", "magenta"}, [2]colorimetry.Signal{on(green), on(magenta)}},
	}
}

// crossed returns the four combinations of luma and color difference that a
// pair runs through when chroma comes early or late.
func crossed(c [2]colorimetry.Signal) [4]colorimetry.Signal {
	return [4]colorimetry.Signal{c[0], c[1],
		{Y: c[0].Y, CB: c[1].CB, CR: c[1].CR}, {Y: c[1].Y, CB: c[0].CB, CR: c[0].CR}}
}

// holdPair returns the pair as the view's coding holds it with delayed chroma:
// itself, or around 50 % luma with the same change of luma and the greatest
// chroma for which all four combinations have codes.
func (v View) holdPair(c [2]colorimetry.Signal) ([2]colorimetry.Signal, string) {
	absent := ""
	for _, s := range crossed(c) {
		if _, why := v.hold(s, s); why != "" {
			absent = v.Coding.Name + " has no code for the colors between these two"
		}
	}
	if absent == "" {
		return c, ""
	}
	shift := 0.5 - (c[0].Y+c[1].Y)/2
	c[0].Y, c[1].Y = c[0].Y+shift, c[1].Y+shift
	part := 1.0
	for _, s := range crossed(c) {
		part = min(part, v.chromaPart(s))
	}
	return [2]colorimetry.Signal{smaller(c[0], part), smaller(c[1], part)}, absent
}

// Scene implements Pattern.
func (p *ChromaDelay) Scene(v View) (*Scene, error) {
	pairs := delayPairs()
	late := v.ns(p.Delay)
	top := v.down(0)
	var bands []Band
	var patches []Patch
	changed := ""
	for i, q := range pairs {
		absent := ""
		if p.Delay != 0 {
			if q.colors, absent = v.holdPair(q.colors); absent != "" {
				changed = absent
			}
		}
		bottom := v.down(float64(i+1) / float64(len(pairs)))
		band, more := v.stripes(q, top, bottom, late, absent)
		bands, patches, top = append(bands, band), append(patches, more...), bottom
	}
	s := still(endsAt(bands), patches...)
	switch {
	case p.Delay > 0:
		s.Notes = []string{fmt.Sprintf("Chroma comes %g ns late on purpose: a set that shows its edges clean is wrong by as much the other way.", p.Delay)}
	case p.Delay < 0:
		s.Notes = []string{fmt.Sprintf("Chroma comes %g ns early on purpose: a set that shows its edges clean is wrong by as much the other way.", -p.Delay)}
	}
	if changed != "" {
		s.Notes = append(s.Notes, changed+", which stand where chroma is early or late: rows of colors have less chroma, about a luma of 50 %.")
	}
	return s, nil
}

// lumaAndChroma paints luma from one row and color differences from another.
func lumaAndChroma(luma, chroma row) painter {
	return func(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, t int) {
		if c == colorimetry.Y {
			luma.paint(dst, c, x, y, t)
			return
		}
		chroma.paint(dst, c, x, y, t)
	}
}

// stripes lays out a row of both colors by turns. Two in the middle are named:
// the edge between them stands in the middle of the picture.
func (v View) stripes(q pair, top, bottom, late float64, absent string) (Band, []Patch) {
	var luma, chroma row
	for i := range stripes {
		c := q.colors[i%2]
		if i == 0 {
			luma.First, chroma.First = c, c
			continue
		}
		x := v.across(float64(i) / stripes)
		luma.Steps = append(luma.Steps, step{x, c, v.Edge})
		chroma.Steps = append(chroma.Steps, step{x + late, c, v.Edge})
	}
	band := Band{Bottom: bottom, Uniform: true, Paint: lumaAndChroma(luma, chroma)}
	var patches []Patch
	for i := stripes/2 - 1; i <= stripes/2; i++ {
		x0, x1 := v.across(float64(i)/stripes), v.across(float64(i+1)/stripes)
		free := math.Abs(late)
		patches = append(patches, area(q.name+": "+q.names[i%2], x0+free, top, x1-free, bottom, q.colors[i%2], absent))
	}
	return band, patches
}

var chromaDelayEntries = []Entry{{
	Name: "chroma-delay", Group: GroupColor,
	Use:     "delay between luma and chroma: the colored edges must stand exactly below those of the luma-only row, without a fringe on one side; the chroma-only row shows how soft color alone is",
	Source:  "own design; colors 75 % of ITU-R BT.601-5 clause 3.5; luma and chroma edges have the same 50 % points",
	Example: "backporch render chroma-delay --delay 100 -o late.y4m",
	Still:   stillBright,
	New: func() (Pattern, []*Option) {
		p := &ChromaDelay{}
		return p, []*Option{
			number("delay", &p.Delay, -mostDelay, mostDelay, "ns", "chroma later (or, below 0, earlier) than luma, to learn what an error looks like"),
		}
	},
}}
