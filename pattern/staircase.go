package pattern

import (
	"fmt"

	"backporch/colorimetry"
)

// Staircase is steps of luma from black to white, all of one height and one
// width.
type Staircase struct {
	Risers    string // 5 or 10
	Direction string // up: white at the right; down: at the left; both: up above, down below
}

// Scene implements Pattern.
func (p *Staircase) Scene(v View) (*Scene, error) {
	var risers int
	switch p.Risers {
	case "5":
		risers = 5
	case "10":
		risers = 10
	default:
		return nil, fmt.Errorf("risers: %q is none of 5, 10", p.Risers)
	}
	top, middle, bottom := v.down(0), v.down(1.0/2), v.down(1)
	switch p.Direction {
	case "up", "down":
		band, patches := v.stairs(top, bottom, risers, p.Direction == "up", "")
		return still(endsAt([]Band{band}), patches...), nil
	case "both":
		upper, patches := v.stairs(top, middle, risers, true, "rising ")
		lower, more := v.stairs(middle, bottom, risers, false, "falling ")
		return still(endsAt([]Band{upper, lower}), append(patches, more...)...), nil
	}
	return nil, fmt.Errorf("direction: %q is none of up, down, both", p.Direction)
}

// stairs lays out a row of steps. Step n is n risers above black.
func (v View) stairs(top, bottom float64, risers int, up bool, prefix string) (Band, []Patch) {
	list := make([]bar, risers+1)
	for i := range list {
		n := i
		if !up {
			n = risers - i
		}
		list[i] = bar{
			Name:  fmt.Sprintf("%sstep %d", prefix, n),
			Until: v.across(float64(i+1) / float64(risers+1)),
			Want:  colorimetry.Gray(float64(n) / float64(risers)),
		}
	}
	return v.bars(v.across(0), top, bottom, list...)
}

var staircaseEntries = []Entry{{
	Name: "staircase", Group: GroupLevels,
	Use:     "gray tracking and luma linearity: every step must have the same color, and on the oscilloscope the same height",
	Source:  "risers of equal height as in ITU-T J.63 (1990) Annexes I and II (5) or 10 of 10 IRE (memory); over the full line: own design",
	Example: "backporch render staircase --risers 10 --direction both -o stairs.png",
	New: func() (Pattern, []*Option) {
		p := &Staircase{Risers: "10", Direction: "up"}
		return p, []*Option{
			choice("risers", &p.Risers, "number of equal risers from black to white", "5", "10"),
			choice("direction", &p.Direction, "rising to the right (up), to the left (down), or one above the other (both)", "up", "down", "both"),
		}
	},
}}
