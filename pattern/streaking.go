package pattern

import (
	"fmt"

	"backporch/colorimetry"
)

// Streaking is white and black bars of different lengths and heights on gray.
type Streaking struct {
	White, Black, Ground float64 // per cent
	Order                string  // white-first or black-first
}

// A streakRow is one bar: its length in parts of the width, its height and the
// ground above it in parts of the picture's height. All begin at streakStart,
// which leaves room on both sides.
type streakRow struct{ length, gap, height float64 }

var streakRows = []streakRow{
	{0.6, 0.04, 0.14}, {0.6, 0.04, 0.14},
	{0.3, 0.04, 0.10}, {0.3, 0.04, 0.10},
	{0.1, 0.04, 0.06}, {0.1, 0.04, 0.06},
}

const streakStart = 0.2

var streakLengths = [3]string{"long", "medium", "short"}

// Scene implements Pattern.
func (p *Streaking) Scene(v View) (*Scene, error) {
	levels := map[string]ink{}
	for _, l := range []struct {
		name  string
		level float64
	}{{"white", p.White}, {"black", p.Black}, {"ground", p.Ground}} {
		if !(l.level >= leastLevel && l.level <= greatestLevel) {
			return nil, fmt.Errorf("%s: %v is not within %d to %d %%; use one that is", l.name, l.level, leastLevel, greatestLevel)
		}
		held, absent := v.reach(colorimetry.Gray(l.level / 100))
		levels[l.name] = ink{held, absent}
	}
	colors := [2]string{"white", "black"}
	switch p.Order {
	case "white-first":
	case "black-first":
		colors = [2]string{"black", "white"}
	default:
		return nil, fmt.Errorf("order: %q is none of white-first, black-first", p.Order)
	}
	ground := levels["ground"]
	x0, from, x1 := v.across(0), v.across(streakStart), v.across(1)

	var bands []Band
	var patches []Patch
	add := func(band Band, more []Patch) { bands, patches = append(bands, band), append(patches, more...) }
	plainTo := func(name string, top, bottom float64) {
		add(v.bars(x0, top, bottom, bar{name, x1, ground.Signal, ground.absent}))
	}
	at, top := 0.0, v.down(0)
	for i, r := range streakRows {
		color := colors[i%2]
		name := streakLengths[i/2] + " " + color + " bar"
		begin, end := v.down(at+r.gap), v.down(at+r.gap+r.height)
		at += r.gap + r.height
		plainTo("ground above "+name, top, begin)
		add(v.bars(x0, begin, end,
			bar{"left of " + name, from, ground.Signal, ground.absent},
			bar{name, v.across(streakStart + r.length), levels[color].Signal, levels[color].absent},
			bar{"right of " + name, x1, ground.Signal, ground.absent}))
		top = end
	}
	plainTo("ground below", top, v.down(1))
	return still(endsAt(bands), patches...), nil
}

var streakingEntries = []Entry{{
	Name: "streaking", Group: GroupLevels,
	Use:     "streaking and smear: right and left of a bar the ground must be as dark as above and below it; long bars show low frequencies and clamping, short ones the range about 100 kHz",
	Source:  "own design; levels ITU-R BT.601-5 clause 3.5",
	Example: "backporch render streaking --ground 30 -o streaking.png",
	Still:   stillBright,
	New: func() (Pattern, []*Option) {
		p := &Streaking{White: 100, Black: 0, Ground: 50, Order: "white-first"}
		return p, []*Option{
			choice("order", &p.Order, "which bar of each length stands above the other", "white-first", "black-first"),
			number("white", &p.White, leastLevel, greatestLevel, "per cent", "level of the white bars"),
			number("black", &p.Black, leastLevel, greatestLevel, "per cent", "level of the black bars"),
			number("ground", &p.Ground, leastLevel, greatestLevel, "per cent", "level about the bars"),
		}
	},
}}
