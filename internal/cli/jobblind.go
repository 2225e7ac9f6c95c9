package cli

import (
	"fmt"
	"math"

	"backporch/colorimetry"
	"backporch/internal/device"
	"backporch/internal/job"
	"backporch/internal/job/report"
	"backporch/timing"
)

// blindOf is what the device of a set cannot show finely enough to tell two sets
// apart by it.
func blindOf(set *job.Set) ([]report.Blind, error) {
	p, err := readDevice(set.Device)
	if err != nil {
		return nil, &usageError{err: err}
	}
	// Another device than that of the set may lack its raster: then its usual
	// one counts.
	r, err := p.Raster(set.Raster)
	if err != nil {
		if r, err = p.Raster(""); err != nil {
			return nil, &usageError{err: err}
		}
	}
	aspect, err := parseAspect(set.Aspect)
	if err != nil {
		return nil, err
	}
	list := blindDetail(p, r, aspect)
	list = append(list, blindGrays(p)...)
	return append(list, blindChroma(p, set)...), nil
}

// blindDetail is the detail beyond the clock.
func blindDetail(p *device.Profile, r *timing.Raster, aspect timing.Ratio) (list []report.Blind) {
	reach := p.Reach(r, aspect, device.UsualTubes())
	if len(reach.Alike) == 0 {
		return nil
	}
	why := fmt.Sprintf("%s on %s ends at %.2f MHz, %.0f TV lines: what two sets make of finer detail does not show with it.", p.Name, r.Name, reach.Clean.MHz, reach.Clean.TVLines)
	last := reach.Needs[len(reach.Needs)-1]
	way := fmt.Sprintf("A source with pixels at %.1f MHz or more shows %.0f TV lines.", last.ClockMHz, last.TVLines)
	for _, key := range []string{job.LimitPeaking, job.LimitFocusGrade} {
		list = append(list, report.Blind{Quantity: key, Why: why, Way: way})
	}
	return list
}

// blindGrays is gray steps coarser than a set can be judged by.
func blindGrays(p *device.Profile) (list []report.Blind) {
	if !p.Pixels() {
		return nil
	}
	const way = "A source that plays video has 219 steps from black to white."
	if n := len(p.Color.Fixed); n > 0 {
		why := fmt.Sprintf("%s has %d fixed colors, and few of them are gray: between those, tracking and gamma cannot be seen.", p.Name, n)
		return []report.Blind{{Quantity: job.LimitGrayTracking, Why: why, Way: way}, {Quantity: job.LimitGamma, Why: why, Way: way}}
	}
	bits := p.Color.Bits
	steps := 1<<min(bits[0], bits[1], bits[2]) - 1
	const enough = 31 // five bits: steps of 3.2 %, closer than gray steps are read
	if steps < enough {
		why := fmt.Sprintf("%s has %d grays, %.1f %% apart: between those, tracking and gamma cannot be seen.", p.Name, steps+1, 100/float64(steps))
		list = append(list, report.Blind{Quantity: job.LimitGrayTracking, Why: why, Way: way}, report.Blind{Quantity: job.LimitGamma, Why: why, Way: way})
	}
	if bits[0] != bits[1] || bits[1] != bits[2] {
		list = append(list, report.Blind{Quantity: job.LimitGrayTracking,
			Why: fmt.Sprintf("%s has %d, %d and %d bits of red, green and blue: most of its grays are tinted, alike on both sets.", p.Name, bits[0], bits[1], bits[2]),
			Way: "Use levels that all three channels hold, such as black and white, or a source that plays video."})
	}
	return list
}

// blindChroma is color on each input that the device can feed: its phase and
// gain are known as well as its bars are.
func blindChroma(p *device.Profile, set *job.Set) (list []report.Blind) {
	feeds := map[string]bool{}
	for _, in := range set.Inputs {
		feeds[in.Wire] = true
	}
	for _, v := range p.Verdicts() {
		wire := wireOf(v.Wire.Interface)
		if v.Wire.Interface == colorimetry.ComponentRGB || v.Still || wire == "composite" && !feeds["composite"] && !feeds["yc"] || wire != "composite" && !feeds[wire] {
			continue
		}
		if v.OK && !p.Pixels() {
			continue // the rounding of a file, which both sets get alike
		}
		tenth := func(x float64) float64 { return math.Round(x*10) / 10 }
		hue, chroma := tenth(v.Bars.Worst.Hue), tenth(v.Bars.Worst.Chroma)
		if v.OK && hue == 0 && chroma == 0 {
			continue
		}
		way := "A source that plays video holds the bars within a code."
		list = append(list,
			report.Blind{Quantity: job.LimitChromaPhase, Less: hue, Why: v.Words, Way: way},
			report.Blind{Quantity: job.LimitChromaGain, Less: chroma, Why: v.Words, Way: way})
	}
	return list
}

// wireOf is the kind of input that a level family feeds; composite stands for
// Y/C, too.
func wireOf(i colorimetry.Interface) string {
	if i == colorimetry.ComponentYPbPr {
		return "component"
	}
	return "composite"
}
