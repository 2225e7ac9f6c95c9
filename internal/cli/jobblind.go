package cli

import (
	"fmt"
	"math"
	"slices"

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
func blindDetail(p *device.Profile, r *timing.Raster, aspect timing.Ratio) []report.Blind {
	reach := p.Reach(r, aspect, device.UsualTubes())
	if len(reach.Alike) == 0 {
		return nil
	}
	what := p.Name
	if r.Name != p.Name {
		what += " on " + r.Name
	}
	ends := fmt.Sprintf("%s ends at %.2f MHz, %.0f TV lines", what, reach.Clean.MHz, reach.Clean.TVLines)
	last := reach.Needs[len(reach.Needs)-1]
	way := fmt.Sprintf("A source with pixels at %.1f MHz or more shows %.0f TV lines.", last.ClockMHz, last.TVLines)
	return []report.Blind{
		{Quantity: job.LimitPeaking, Why: ends + ": what two sets make of finer detail does not show with it.", Way: way},
		// That a grade can hide in finer detail is a judgment, not a measurement.
		{Quantity: job.LimitFocusGrade, Less: 2, Why: ends + ": a focus that is one grade better may be so in finer detail alone.", Way: way},
	}
}

// blindGrays is grays too few to tell two sets apart by them: tracking goes
// astray in the shadows first, where the cutoffs act, and a gamma takes three
// steps from 10 to 90 % (as package meter fits it).
func blindGrays(p *device.Profile) (list []report.Blind) {
	if !p.Pixels() {
		return nil
	}
	const way = "A source that plays video has 219 steps from black to white."
	grays := graysOf(p)
	within := func(least, most float64) (n int) {
		for _, g := range grays {
			if g >= least && g <= most {
				n++
			}
		}
		return n
	}
	has := fmt.Sprintf("%s has %d grays", p.Name, len(grays))
	if within(.05, .25) == 0 {
		list = append(list, report.Blind{Quantity: job.LimitGrayTracking, Why: has + ", none of them from 5 to 25 % of the signal, where the cutoffs show.", Way: way})
	}
	if n := within(.1, .9); n < 3 {
		list = append(list, report.Blind{Quantity: job.LimitGamma, Why: fmt.Sprintf("%s, %d of them from 10 to 90 %% of the signal; a gamma takes three.", has, n), Way: way})
	}
	return list
}

// graysOf are the levels at which a device has a gray, from black to white. Of
// channels with unequal bits it is the coarsest one whose levels the others
// come nearest to: tinted, but alike on both sets.
func graysOf(p *device.Profile) (levels []float64) {
	if len(p.Color.Fixed) > 0 {
		const neutral = 0.01 // of color difference: no more than a rounding
		for _, ink := range p.Color.Fixed {
			s := ink.Signal
			if math.Abs(s.CB) < neutral && math.Abs(s.CR) < neutral {
				levels = append(levels, math.Round(1000*s.Y)/1000)
			}
		}
		slices.Sort(levels)
		return slices.Compact(levels)
	}
	channel := 0
	for i, bits := range p.Color.Bits {
		if bits < p.Color.Bits[channel] {
			channel = i
		}
	}
	if own := p.Color.Levels[channel]; own != nil {
		return own
	}
	n := 1 << p.Color.Bits[channel]
	for i := range n {
		levels = append(levels, float64(i)/float64(n-1))
	}
	return levels
}

// blindChroma is color on each input that the device can feed: its phase and
// gain are known as well as its bars are.
func blindChroma(p *device.Profile, set *job.Set) (list []report.Blind) {
	feeds, told := map[string]bool{}, map[string]bool{}
	for _, in := range set.Inputs {
		feeds[in.Wire] = true
	}
	for _, v := range p.Verdicts() {
		wire := wireOf(v.Wire.Interface)
		if told[wire] { // its usual levels speak for the others
			continue
		}
		if v.Wire.Interface == colorimetry.ComponentRGB || v.Still || wire == "composite" && !feeds["composite"] && !feeds["yc"] || wire != "composite" && !feeds[wire] {
			continue
		}
		told[wire] = true
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
