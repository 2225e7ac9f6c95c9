package pattern

import (
	"fmt"
	"strconv"
	"strings"

	"backporch/colorimetry"
	"backporch/timing"
)

// Gradient is a ramp of luma over the whole picture.
type Gradient struct {
	Direction string // horizontal: from left to right; vertical: from top to bottom
	Range     string // full, near-black, or FROM..TO in per cent
	Modulated bool   // a subcarrier of one amplitude and phase all over
}

// Limits of levels that the user may ask for, in per cent: what 8-bit Y'CbCr
// can hold.
const leastLevel, greatestLevel = -6, 108

var rampRange = fmt.Sprintf("full (0 to 100 %%), near-black (0 to 20 %%), or FROM..TO in per cent, %d to %d, as in 20..60", leastLevel, greatestLevel)

// parseRange reads the range of a ramp; 1 is white.
func parseRange(s string) (from, to float64, err error) {
	switch strings.ToLower(s) {
	case "full":
		return 0, 1, nil
	case "near-black":
		return 0, 0.2, nil
	}
	a, b, ok := strings.Cut(s, "..")
	if !ok {
		return 0, 0, fmt.Errorf("%q is not %s", s, rampRange)
	}
	from, err = parseLevel(a)
	if err == nil {
		to, err = parseLevel(b)
	}
	if err == nil && from == to {
		err = fmt.Errorf("both ends are %s %%", a)
	}
	if err != nil {
		return 0, 0, fmt.Errorf("%q: %w; use %s", s, err, rampRange)
	}
	return from, to, nil
}

// parseLevel reads a level in per cent; 1 is white.
func parseLevel(s string) (float64, error) {
	x, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil || !(x >= leastLevel && x <= greatestLevel) {
		return 0, fmt.Errorf("%q is not within %d to %d %%", s, leastLevel, greatestLevel)
	}
	return x / 100, nil
}

// Scene implements Pattern.
func (p *Gradient) Scene(v View) (*Scene, error) {
	from, to, err := parseRange(p.Range)
	if err != nil {
		return nil, fmt.Errorf("range: %w", err)
	}
	first, absent := v.reach(colorimetry.Gray(from))
	last, absentLast := v.reach(colorimetry.Gray(to))
	if absent == "" {
		absent = absentLast
	}
	var notes []string
	if p.Modulated {
		if strings.EqualFold(p.Range, "full") {
			last.Y = v.modulatedHeight()
		}
		var why string
		if first, last, why = v.modulate(first.Y, last.Y); why != "" {
			absent = why
		}
		notes = v.modulationNotes(why)
	}
	x0, y0, x1, y1 := v.across(0), v.down(0), v.across(1), v.down(1)
	patch := area("ramp", x0, y0, x1, y1, first, absent)
	patch.Kind, patch.To = Ramp, last

	band := Band{Bottom: endless, Uniform: true}
	switch height := last.Y - first.Y; p.Direction {
	case "horizontal":
		band.Paint = func(dst []float64, c colorimetry.Component, x timing.Comb, _ timing.Span, _ int) {
			fill(dst, first.Of(c))
			if c == colorimetry.Y {
				addRamp(dst, x, x0, x1, height)
			}
		}
	case "vertical":
		patch.Kind, band.Uniform = RampDown, false
		band.Paint = func(dst []float64, c colorimetry.Component, _ timing.Comb, y timing.Span, _ int) {
			k := min(max((y.Y-y0)/(y1-y0), 0), 1)
			fill(dst, blend(first.Of(c), last.Of(c), k))
		}
	default:
		return nil, fmt.Errorf("direction: %q is none of horizontal, vertical", p.Direction)
	}
	s := still([]Band{band}, patch)
	s.Notes = notes
	return s, nil
}

// addRamp adds to dst what rises evenly from 0 at x0 to height at x1 and stays
// there.
func addRamp(dst []float64, x timing.Comb, x0, x1, height float64) {
	for i := range dst {
		k := min(max((x.At(i)-x0)/(x1-x0), 0), 1)
		dst[i] += float64(height * k)
	}
}

var rampEntries = []Entry{{
	Name: "ramp", Group: GroupLevels,
	Use:     "linearity of luma, clipping at either end, color of the grays; its steps are the codes of the file; modulated, differential gain and phase without steps: amplitude and angle of the subcarrier must not change along the line",
	Source:  "own design; levels ITU-R BT.601-5 clause 3.5; subcarrier of the modulated ramp as in ITU-T J.63 (1990) Annexes I and II, signal D2",
	Example: "backporch render ramp --range near-black -o ramp.y4m",
	New: func() (Pattern, []*Option) {
		p := &Gradient{Direction: "horizontal", Range: "full"}
		return p, []*Option{
			choice("direction", &p.Direction, "rising to the right (horizontal) or to the bottom (vertical)", "horizontal", "vertical"),
			spelled("range", &p.Range, rampRange, "levels at both ends; FROM may be the higher",
				func(s string) error { _, _, err := parseRange(s); return err }, "full", "near-black"),
			toggle("modulated", &p.Modulated, "a subcarrier of 40 IRE peak to peak at burst phase all over (625 lines: 280 mV at 60 degrees); range full then ends 90 IRE above black at 525 lines"),
		}
	},
}}
