package blueonly

import (
	"fmt"
	"math"
)

// Gains that a setup switch leaves behind when it does not match the source and
// contrast and brightness were trimmed by eye: color was sent or expected at
// 92.5 % (SMPTE 170M-2004 clause 10: N = 0.925 Y + 7.5 + 0.925 chroma).
const (
	setupLess = 0.925
	setupMore = 1 / 0.925
	setupNear = 0.015 // of the gain

	// Color differences of Betacam against those of N10, 700 against 525 mV at 75 %
	// bars: a broadcast equipment manual's table, and Poynton 2003 (secondary).
	familyMore = 700.0 / 525
)

// say puts a result into words: what is off, what to turn, what else it can be.
func (c Chain) say(r *Result) {
	word := func(format string, args ...any) { r.Words = append(r.Words, fmt.Sprintf(format, args...)) }
	what, knob := "Chroma gain", "color (chroma gain)"
	if c.Component {
		what, knob = "Gain of Pb", "the gain of Pb"
	}
	switch off := 100 * (r.Gain - 1); {
	case math.Abs(off) < math.Max(200*r.GainSigma, 0.05):
		word("%s is right within what the readings tell (%.3f, ±%.3f).", what, r.Gain, 2*r.GainSigma)
	case off > 0:
		word("%s is %.1f %% too high: turn %s down until blue is no brighter than gray.", what, off, knob)
	default:
		word("%s is %.1f %% too low: turn %s up until blue is no darker than gray.", what, -off, knob)
	}
	if c.Component {
		word("There is no phase on a component input, and blue alone does not show Pr: look at the red gun alone for it.")
	} else {
		switch {
		case math.Abs(r.Phase) < math.Max(2*r.PhaseSigma, 0.05):
			word("Phase is right within what the readings tell (%+.1f degrees, ±%.1f).", r.Phase, 2*r.PhaseSigma)
		case r.Phase > 0:
			word("Phase is off by %+.1f degrees (vectors turned counterclockwise, cyan brighter than magenta): turn phase (hue) the way that darkens cyan until both are alike.", r.Phase)
		default:
			word("Phase is off by %+.1f degrees (vectors turned clockwise, magenta brighter than cyan): turn phase (hue) the way that darkens magenta until both are alike.", r.Phase)
		}
		word("Gain first with blue against gray, then phase with cyan against magenta; then both once more, since each moves the other a little.")
		if c.Lines == 625 {
			r.Words = append(r.Words, averaging)
			if r.Gain < 1 && math.Abs(r.Phase) < math.Max(2*r.PhaseSigma, 0.5) && r.Gain > math.Cos(math.Pi/4) {
				word("A phase error of %.0f degrees before the averaging would take the gain that lacks here.", math.Acos(r.Gain)*180/math.Pi)
			}
		}
	}
	r.hint(c)
	if r.Off > 1 {
		word("The bars differ by %.1f %% from what any gain and phase give: gamma is not %g, stray light or black was not taken off, or another gun is not quite off.", r.Off, c.Gamma)
	}
}

const averaging = "On 625 lines a decoder with a delay line averages two lines: a phase error then shows as lost gain (its cosine; 10 degrees take 1.5 %), not as cyan against magenta."

// hint says that a gain is one that a wrong level family or setup leaves behind.
func (r *Result) hint(c Chain) {
	if c.Component {
		for _, f := range []struct {
			gain float64
			how  string
		}{{familyMore, "for N10 while the source sends Betacam levels"}, {1 / familyMore, "for Betacam levels while the source sends N10"}} {
			if math.Abs(r.Gain/f.gain-1) <= setupNear {
				r.Words = append(r.Words, fmt.Sprintf("A gain near %.3f is also what a level family leaves that is set %s: look at its switch or menu before the gain is touched.", f.gain, f.how))
			}
		}
	}
	if c.Lines == 625 {
		return // there is no setup on 625 lines
	}
	for _, s := range []struct {
		gain float64
		how  string
	}{{setupLess, "set to 0 while the source adds 7.5"}, {setupMore, "set to 7.5 while the source adds none"}} {
		if math.Abs(r.Gain/s.gain-1) <= setupNear {
			r.Words = append(r.Words, fmt.Sprintf("A gain near %.3f is also what a setup switch leaves that is %s: look at the switch before the color control is touched.", s.gain, s.how))
		}
	}
}
