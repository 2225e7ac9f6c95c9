package job

// levelSteps are setup, black and white.
func (b *bench) levelSteps() []Step {
	var steps []Step
	black := Step{
		Key: stepBlack, Title: "Black level", Pattern: "pluge variant=bt814", More: []string{"near-black", "flat color=black"}, Measure: WhatGray, Limits: []string{LimitBlack},
		Do: b.oneInput() + "In the light in which the set is used, turn brightness up until the strip below black is seen, then down until it just vanishes. " +
			"Where the source cannot go below black, use the picture of steps just above it, and turn down until the lowest step just stays.",
		Look:     "The strip below black is gone in the ground, the strip above black is just seen, and the black field is dark.",
		Adjust:   "Brightness; its sub-control on the board only where the control's middle does not reach. Leave the screen control for the step of cutoff.",
		After:    []Need{{stepProof, "what looks like black is only as good as the level that the source gives for it"}},
		Cautions: cautionsAt(b.Set, board),
		Source:   "EBU Tech 3320 v3 clause 5.2, which has it by ITU-R BT.814 (memory)",
	}
	if b.lines == 525 && b.Setup != "0" {
		black.Pattern = "pluge variant=eg1"
	}
	if b.lines == 525 && b.has("composite", "yc", "component") {
		s := Step{
			Key: stepSetup, Title: "Setup switch", Pattern: black.Pattern, More: []string{"near-black", "bars-full"},
			Look:     "With the right position both the strip above black and the lightest bar stand where they should without a change of contrast. In the wrong one black is gray, or the dark steps are gone altogether.",
			Adjust:   "The switch for setup (0 or 7.5), at the back, on a board or in a menu. A set without one is made for one of the two: find out which, and leave this step out with a note.",
			Cautions: cautionsAt(b.Set, board),
			After:    []Need{{stepProof, "the switch has to match what the source really sends, not what is printed on it"}},
			Source:   "SMPTE 170M-2004 clause 10 (7.5); ITU-R BT.1700 (Japan: 0)",
		}
		switch {
		case !b.has("composite", "yc"):
		case b.Setup == "7.5":
			s.Do = "Put the switch of the composite and Y/C inputs to 7.5: black on the cable is 7.5 IRE above blanking. Prove it with an oscilloscope on the terminated cable, 53.6 mV above blanking for picture black."
		case b.Setup == "0":
			s.Do = "Put the switch of the composite and Y/C inputs to 0: black on the cable is at blanking. Prove it with an oscilloscope on the terminated cable."
		default:
			s.Do = "Find out whether picture black leaves the source at blanking or 7.5 IRE (53.6 mV) above it, with an oscilloscope on the terminated cable, and put the switch of the composite and Y/C inputs to match. Then enter it in the description of the set."
		}
		if b.has("component") {
			if s.Do != "" {
				s.Do += " "
			}
			s.Source += "; component: Poynton 2003 and a broadcast equipment manual, MII from memory"
			s.Do += "On component inputs choose the family of levels that the source sends, by the switch or in the menu: N10 and Betacam without setup have black at blanking, Betacam and MII with setup have it 7.5 % of the range above. The gains follow in the step of that input."
		}
		steps = append(steps, s)
		black.After = append(black.After, Need{stepSetup, "a wrong position lifts black by 7.5 % of the range or swallows as much"})
	}
	white := Step{
		Key: stepWhite, Title: "White level", Pattern: "window", More: []string{"staircase risers=10", "flat color=black"}, Measure: WhatGray, Limits: []string{LimitWhiteLuminance, LimitContrast},
		Do:       "Set the window of full white to the luminance that the set is meant for, with the meter in the middle. Without a meter set it in the light of the room where white is clear and its edges stay sharp. Then look at black again.",
		Look:     "The window is white without blooming: its edges stay where they are, and the picture does not grow. All steps of the staircase can be told apart.",
		Adjust:   "Contrast. Do not work where the set limits its beam: there the window no longer gets lighter as contrast goes up.",
		After:    []Need{{stepBlack, "white is counted from black, and brightness moves both"}},
		Again:    []Need{{stepBlack, "contrast moves black where the set does not clamp it well"}},
		Cautions: []string{CautionStill},
		Source:   "EBU Tech 3320 v3 clause 5.1 (a center patch of 13.13 % of width and height, no beam limiter acting); this window is 13 % of the area (common practice)",
	}
	return append(steps, black, white)
}

// oneInput is said where there are several inputs: the levels are set on one.
func (b *bench) oneInput() string {
	if len(b.Inputs) < 2 {
		return ""
	}
	return "Take one input for black, white and white balance, and note which: the others are held against it later. "
}

// balanceSteps bring the grays to one color.
func (b *bench) balanceSteps() []Step {
	guns := Step{
		Key: stepGuns, Title: "Light of the three guns", Pattern: "flat color=red", More: []string{"flat color=green", "flat color=blue", "window", "flat color=black"}, Measure: WhatGuns,
		Do:     "With a colorimeter read the red, green and blue field in the middle of the screen, then the white window and black. Without one leave this step out: the work then goes by the usual phosphors and by eye.",
		Look:   "Readings that repeat. The sum of the three fields, less twice the black, should give the white window within a few per cent.",
		Adjust: "None: this reads what the tube's phosphors are, which tells how far each gun has to move.",
		After: []Need{
			{stepPurity, "a beam that lands on the wrong phosphor makes a false primary"},
			{stepBlack, "lifted black adds the light of all guns to each field"},
			{stepWhite, "light is read at the level at which the set will work"},
		},
		Cautions: []string{CautionStill},
		Source:   common,
	}
	cutoff := Step{
		Key: stepCutoff, Title: "White balance of the shadows (cutoff)", Pattern: "window level=20", More: []string{"staircase risers=10", "near-black"}, Measure: WhatGray, Limits: []string{LimitGrayTracking},
		Do:     "Bring the dark window to the color of the target white: leave the gun that is right or weakest, and move the other two. `backporch white` computes the moves from two gray levels. Then look at black again.",
		Look:   "Dark steps are gray without a tint, down to where they vanish.",
		Adjust: "Cutoff (bias, background, low light) of two guns. The screen control only where the cutoffs do not reach, in small moves, and then all of this again.",
		After: []Need{
			{stepBlack, "brightness moves the bias of all guns, so cutoffs are set on top of it"},
			{stepWhite, "contrast decides which dark level a step has"},
			{stepPurity, "a stain of impurity gives grays a tint that no bias takes away"},
			{stepGuns, "the moves are computed from the light of this tube's own guns"},
		},
		Again:    []Need{{stepBlack, "cutoffs move the point at which the picture goes black"}},
		Cautions: cautionsAt(b.Set, flyback),
		Source:   "order and levels (10 to 20 %) common practice",
	}
	drive := Step{
		Key: stepDrive, Title: "White balance of the lights (drive)", Pattern: "window level=80", More: []string{"window", "staircase risers=10"}, Measure: WhatGray, Limits: []string{LimitWhitePoint, LimitWhiteLuminance},
		Do:     "Bring the light window to the target white. Leave the gun that is weakest, and turn the others down rather than this one up. Then look at the dark window: what drive moved there is taken back by cutoff.",
		Look:   "Light steps and white have the color of the target.",
		Adjust: "Drive (gain, high light) of two guns.",
		After: []Need{
			{stepCutoff, "drive stretches the signal from the cutoff up, so a move of cutoff shifts the lights as well"},
			{stepWhite, "drives are set at the contrast that stays"},
		},
		Again:    []Need{{stepWhite, "drives change the luminance of white"}},
		Cautions: with(cautionsAt(b.Set, flyback), CautionStill),
		Source:   "levels (80 to 100 %) common practice; to a target white of the set's description",
	}
	balance := Step{
		Key: stepBalance, Title: "White balance judged", Pattern: "staircase risers=10", More: []string{"ramp", "near-black", "window"}, Measure: WhatGray, Limits: []string{LimitWhitePoint, LimitGrayTracking, LimitGamma, LimitBlack},
		Do:     "Read all steps from dark to light, or judge them by eye side by side. If they are of one color and white is on target, this is done. If not, say that it is to be gone through again: black, white, cutoff and drive move each other a little less each time.",
		Look:   "Every gray from 1 cd/m2 up has the color of white, and nothing moved in this round.",
		Adjust: "None here: the controls are those of the four steps before.",
		After: []Need{
			{stepDrive, "the grays can be judged when both ends are set"},
			{stepCutoff, "the shadows follow the cutoffs"},
			{stepBlack, "the darkest steps follow brightness"},
			{stepWhite, "the lightest step follows contrast"},
		},
		Again: []Need{
			{stepBlack, "cutoffs have moved black"},
			{stepWhite, "drives have moved white"},
			{stepCutoff, "drives have moved the dark grays"},
			{stepDrive, "cutoffs have moved the light grays"},
		},
		Cautions: []string{CautionStill},
		Source:   "EBU Tech 3320 v3 clauses 5.4, 5.5 and 5.7; the rounds common practice",
	}
	uniformity := Step{
		Key: stepUniformity, Title: "Uniformity of white", Pattern: "flat color=white", More: []string{"flat color=gray-50"}, Measure: WhatUniformity, Limits: []string{LimitUniformityLuminance, LimitUniformityColor},
		Do:     "Read white, or judge it, in the middle and at eight places near the edges. Nothing is adjusted here: what is out points back to purity, or to the age of the tube.",
		Look:   "The field gets evenly darker toward the corners, and stays of one color.",
		Adjust: "None, or the control for shading where the set has one.",
		After: []Need{
			{stepBalance, "the zones are compared with a middle that has the right white"},
			{stepPurity, "a stain is a fault of landing, not of the phosphor"},
		},
		Again:    []Need{{stepPurity, "a zone has a tint that purity can take away"}},
		Cautions: []string{CautionStill},
		Source:   "EBU Tech 3320 v3 clause 5.14",
	}
	return []Step{guns, cutoff, drive, balance, uniformity}
}
