package job

import (
	"fmt"
	"slices"
)

// inputSteps are what each input of the set has of its own, in the order of its
// inputs.
func (b *bench) inputSteps() []Step {
	var steps []Step
	luma := []Need{
		{stepBlack, "colors are added to luma, so black has to be right first"},
		{stepWhite, "chroma is judged against the height of luma, which contrast sets"},
		{stepBalance, "a tint of white is a tint in every color"},
	}
	for _, in := range b.Inputs {
		var s Step
		switch in.Wire {
		case "composite", "yc":
			s = b.chroma(in)
			s.After = luma
		case "component":
			s = b.family(in)
			s.After = append(slices.Clone(luma), s.After...)
		case "rgb":
			s = b.rgb(in)
		}
		s.Input = in.Name
		steps = append(steps, s)
	}
	return steps
}

// levelsFirst is said of every input where there are several: black and white
// were adjusted on one alone.
func (b *bench) levelsFirst(in Input) string {
	if len(b.Inputs) == 1 {
		return ""
	}
	return fmt.Sprintf("Feed the input %s, and see first that black and white stand as they did on the input that white balance was made on; if they do not, its own level controls come first. ", in.Name)
}

// chroma is the gain and the phase of a decoder.
func (b *bench) chroma(in Input) Step {
	s := Step{
		Key: stepChroma + "@" + in.Name, Title: "Chroma and phase, " + in.Name, Pattern: "bars-eg1", More: []string{"bars-full", "pluge variant=bt814", "vectors"},
		Measure: WhatChroma, Limits: []string{LimitChromaGain, LimitChromaPhase},
		Look:     "With the blue gun alone the gray, cyan, magenta and blue bars are equally bright, and so is the strip below them; yellow, green, red and black are equally dark.",
		Adjust:   "Chroma gain (color, saturation) and phase (hue, tint), on the input's own controls where it has some.",
		Cautions: []string{CautionStill},
		Source:   "order by an article on video production (secondary); sensitivities computed from SMPTE 170M-2004 annex A.3",
	}
	if b.lines == 525 && b.Setup != "0" {
		s.More[1] = "pluge variant=eg1"
	}
	s.Do = b.levelsFirst(in) + "Switch to the blue gun alone, or look through a blue filter. "
	if b.lines == 525 {
		s.Do += "Make gray and blue, the outer pair, equal with chroma gain; then cyan and magenta, the inner pair, with phase; then both once more, because each moves the other pair a little."
		if in.Wire == "yc" {
			s.Look += " On Y/C the two should need the same phase as composite; a difference points to the comb or trap of the composite input."
		}
		return s
	}
	s.Title = "Chroma, " + in.Name
	s.Do += "Make gray and blue, the outer pair, equal with chroma gain; then look at cyan and magenta, the inner pair. " +
		"At 625 lines a decoder with a delay line turns an error of phase into a little less chroma, without a change of hue, so most sets have no control of phase: where cyan and magenta differ, the decoder's own trimmers of phase and delay are the place."
	s.Look += " Pairs of lines with a different hue (a blind of level stripes) point to the amplitude or the phase of the delay line."
	s.Adjust = "Chroma gain (color, saturation), on the input's own control where it has one; trimmers of the delay line's amplitude and phase on the decoder board."
	s.Cautions = with(cautionsAt(b.Set, board), CautionStill)
	return s
}

// family is the level family of a component input.
func (b *bench) family(in Input) Step {
	families := "N10, Betacam with setup, Betacam without setup, MII"
	again := []Need{{stepSetup, "the family was changed, and black on the cable may have changed with it"}, {stepWhite, "the family was changed, and the height of luma may have changed with it"}}
	differ := "Luma of Betacam and MII with setup stands on 7.5 % (53.6 mV) where N10 has black at blanking; the color differences of Betacam are a third higher than those of N10. "
	if b.lines == 625 {
		families = "N10 and the older Betacam levels"
		again = nil
		differ = "At 625 lines luma is alike and stands at blanking; the color differences of the older Betacam levels are a third higher than those of N10 (700 against 525 mV at 75 % bars). "
	}
	return Step{
		Key: stepFamily + "@" + in.Name, Title: "Level family and gains, " + in.Name, Pattern: "bars-eg1", More: []string{"bars-full", "pluge variant=bt814", "near-black"},
		Measure: WhatChroma, Limits: []string{LimitChromaGain},
		Do: b.levelsFirst(in) + "Find out which family of levels the set expects (" + families + "), from its switch, its menu or the service data, and make the source send the same: `--wire` and `--player` of render say which. " + differ +
			"Check the cable with an oscilloscope at the terminated input, on the bars. Then match the blue gun alone by the gain of Pb and the red gun alone by that of Pr.",
		Look: "With the blue gun alone gray, cyan, magenta and blue are equally bright; with the red gun alone gray, yellow, magenta and red are. " +
			"Colors that are all a quarter too weak, or a third too strong, come from the wrong family, not from a gain; black that is lifted or swallowed does as well.",
		Adjust:   "The switch for the family first, then the gains of Pb and Pr, which have no phase to adjust.",
		After:    []Need{{stepProof, "families differ by less than what an unproved source can be off"}},
		Again:    again,
		Cautions: with(cautionsAt(b.Set, board), CautionStill),
		Source:   "levels: Poynton 2003 and a broadcast equipment manual; MII from memory; order common practice",
	}
}

// rgb is the levels of an RGB input.
func (b *bench) rgb(in Input) Step {
	compare := "Then compare the staircase with that of the input that white balance was made on: the same grays, or the gains of this input are off."
	look := "White and gray have the same color as on the other inputs, and each bar lights its own guns alone."
	if len(b.Inputs) == 1 {
		compare = "White balance was made on this input, so unequal signals of the source are balanced away in the set: if they are not alike, put that right first, and then do the white balance again."
		look = "White and gray are of one color, and each bar lights its own guns alone."
	}
	return Step{
		Key: stepRGB + "@" + in.Name, Title: "Levels of the three signals, " + in.Name, Pattern: "bars-full set=100/0/100/0", More: []string{"staircase risers=10", "pluge variant=bt814", "window"},
		Measure: WhatGray, Limits: []string{LimitWhitePoint, LimitGrayTracking, LimitWhiteLuminance},
		Do:     b.levelsFirst(in) + "Check with an oscilloscope at the terminated input that the three signals are 700 or 714 mV high at the white bar and alike, and that the set takes its sync from where the source sends it. " + compare,
		Look:   look,
		Adjust: "The input's own gains, and the termination of all three; not the drives, which are right already.",
		After: []Need{
			{stepBlack, "the three signals are compared from the black that brightness gives"},
			{stepWhite, "the gains of the input are set for the contrast that stays"},
			{stepBalance, "the grays that balance has left are what this input is held against"},
			{stepProof, "a source with unequal outputs would be corrected in the set"},
		},
		Again:    []Need{{stepCutoff, "the signals were not alike when the grays were set"}, {stepDrive, "the signals were not alike when white was set"}},
		Cautions: with(cautionsAt(b.Set, board), CautionStill),
		Source:   common,
	}
}
