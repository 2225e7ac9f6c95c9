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
	Modulated bool   // a subcarrier of one amplitude and phase on all steps
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
	f := flight{risers: risers, last: white}
	var notes []string
	if p.Modulated {
		f.first, f.last, f.absent = v.modulate(0, v.modulatedHeight())
		notes = v.modulationNotes(f.absent)
	}
	top, middle, bottom := v.down(0), v.down(1.0/2), v.down(1)
	var s *Scene
	switch p.Direction {
	case "up", "down":
		band, patches := v.stairs(top, bottom, f, p.Direction == "up", "")
		s = still(endsAt([]Band{band}), patches...)
	case "both":
		upper, patches := v.stairs(top, middle, f, true, "rising ")
		lower, more := v.stairs(middle, bottom, f, false, "falling ")
		s = still(endsAt([]Band{upper, lower}), append(patches, more...)...)
	default:
		return nil, fmt.Errorf("direction: %q is none of up, down, both", p.Direction)
	}
	s.Notes = notes
	return s, nil
}

// A flight is the steps of a staircase: equal risers of luma from first to
// last, which have the same color difference.
type flight struct {
	risers      int
	first, last colorimetry.Signal
	absent      string
}

// step returns the level n risers above the first.
func (f flight) step(n int) colorimetry.Signal {
	s := f.first
	s.Y = blend(f.first.Y, f.last.Y, float64(n)/float64(f.risers))
	return s
}

// stairs lays out a row of steps. Step n is n risers above the first.
func (v View) stairs(top, bottom float64, f flight, up bool, prefix string) (Band, []Patch) {
	risers := f.risers
	list := make([]bar, risers+1)
	for i := range list {
		n := i
		if !up {
			n = risers - i
		}
		list[i] = bar{
			Name:   fmt.Sprintf("%sstep %d", prefix, n),
			Until:  v.across(float64(i+1) / float64(risers+1)),
			Want:   f.step(n),
			Absent: f.absent,
		}
	}
	return v.bars(v.across(0), top, bottom, list...)
}

var staircaseEntries = []Entry{{
	Name: "staircase", Group: GroupLevels,
	Use:     "gray tracking and luma linearity: every step must have the same color, and on the oscilloscope the same height; modulated, differential gain (the subcarrier's amplitude from step to step, per cent of the one on black) and phase (its angle, degrees)",
	Source:  "risers of equal height as in ITU-T J.63 (1990) Annexes I and II (5) or 10 of 10 IRE (memory); modulated: 5 of 18 IRE with 40 IRE peak to peak at burst phase (Annex II D2), at 625 lines 5 of 140 mV with 280 mV at 60 degrees (Annex I D2); over the full line: own design",
	Example: "backporch render staircase --risers 10 --direction both -o stairs.png",
	New: func() (Pattern, []*Option) {
		p := &Staircase{Risers: "10", Direction: "up"}
		return p, []*Option{
			choice("risers", &p.Risers, "number of equal risers from black to white", "5", "10"),
			choice("direction", &p.Direction, "rising to the right (up), to the left (down), or one above the other (both)", "up", "down", "both"),
			toggle("modulated", &p.Modulated, "a subcarrier of 40 IRE peak to peak at burst phase on every step (625 lines: 280 mV at 60 degrees), and at 525 lines steps up to 90 IRE above black"),
		}
	},
}}
