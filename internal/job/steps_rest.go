package job

// detailSteps are the frequency response.
func (b *bench) detailSteps() []Step {
	more := []string{"pulse-bar", "tv-lines"}
	look := "Packets of all frequencies that the source has are equally high, pulses and bars have no rings or outlines beside them."
	if b.has("composite", "yc") {
		more = append(more, "chroma-delay")
		look += " Colored edges stand exactly below those of luma."
	}
	if b.has("composite") {
		more = append(more, "cross-color")
		look += " On composite the packet nearest to the subcarrier may be missing: the trap takes it."
	}
	return []Step{{
		Key: stepPeaking, Title: "Detail and peaking", Pattern: "multiburst", More: more, Limits: []string{LimitPeaking},
		Do:     "See with peaking off how far the packets are equal. Turn peaking or aperture correction on only as far as they get equal; stop when pulses and edges begin to ring. For judging pictures leave it off altogether. Do it once for each input that has a control of its own.",
		Look:   look,
		Adjust: "Peaking (sharpness, aperture), and the delay of luma where the set has it.",
		After: []Need{
			{stepProof, "detail that the source has lost cannot be judged at the set"},
			{stepFocus, "a blurred spot looks like a lack of detail"},
			{stepWhite, "a tube that blooms has no detail to adjust"},
			{stepBalance, "contrast and brightness have to be as they will stay"},
		},
		Cautions: with(cautionsAt(b.Set, board), CautionStill),
		Source:   "no sharpening for grade 1: EBU Tech 3320 v3 Annex C; the tolerance memory",
	}}
}

// loadSteps are what depends on what the picture is.
func (b *bench) loadSteps() []Step {
	levels := []Need{
		{stepBlack, "black has to be right before what creeps into it is judged"},
		{stepWhite, "the beam current of white is what loads the set"},
		{stepBalance, "the currents of the three guns have to be those that stay"},
	}
	steps := []Step{
		{
			Key: stepRegulation, Title: "Regulation of the high voltage", Pattern: "crosshatch", More: []string{"crosshatch color=black background=white", "bounce period=4s area=window"}, Measure: WhatRegulation, Limits: []string{LimitRegulation},
			Do:     "Measure width and height of the same lines on the dark crosshatch and on the one with a white ground, at the contrast that is set. Then let the window change slowly and watch its edges and the sides of the picture.",
			Look:   "The picture keeps its size; sides do not bend beside a bright area, and nothing swings when the level changes.",
			Adjust: "None at the high voltage by this program: measure it with a meter made for it, and set it only by the service data. A picture that grows with the current points to the supply, the flyback or the limiter of the beam.",
			After: append([]Need{
				{stepSize, "a change of size is counted from the size that was set"},
			}, levels...),
			Again:    []Need{{stepSize, "the supply was set anew, and the size follows it"}, {stepBlack, "the supply was set anew, and the voltages of the guns follow it"}},
			Cautions: with(cautionsAt(b.Set, highVoltage), CautionFlashing, CautionStill),
			Source:   common,
		},
		{
			Key: stepStreaking, Title: "Streaking and hum", Pattern: "streaking", More: []string{"flat color=gray-50", "bounce shape=field"}, Limits: []string{LimitStreaking},
			Do:       "Look beside the bars for a ground that is lighter or darker than above and below them, then at even gray for bars that drift up or down, and at the half-bright picture for halves that are not even from top to bottom. Compare with another input or source before the set is blamed.",
			Look:     "The ground beside long and short bars is the same as elsewhere, and gray stands without bars.",
			Adjust:   "None: long tails point to clamps and coupling capacitors, short ones to amplifiers, drifting bars to the filters of the supply.",
			After:    levels,
			Cautions: []string{CautionStill},
			Source:   "EBU Tech 3320 v3 clause 5.16",
		},
	}
	if b.interlaced {
		steps = append(steps, Step{
			Key: stepInterlace, Title: "Interlace", Pattern: "line-twitter", More: []string{"half-line"},
			Do:     "Look at the fine lines from close by, at a height where the picture is calm. The lines of one field must lie in the middle between those of the other.",
			Look:   "Lines are evenly spaced and do not lie in pairs; the half line at the top and bottom is there.",
			Adjust: "Vertical hold or the frequency of the field oscillator, where the set has one; else the sync separator is the place to look.",
			After: []Need{
				{stepProof, "a source that sends 240 or 288 lines a field without the half line cannot be interlaced by any set"},
				{stepSize, "the spacing of lines follows the height"},
				{stepFocus, "lines that are not sharp cannot be told apart"},
			},
			Again:    []Need{{stepSize, "the oscillator was set, and the height follows it"}},
			Cautions: with([]string{CautionFlashing}, with(cautionsAt(b.Set, board), CautionStill)...),
			Source:   common,
		})
	}
	return steps
}

// recheck is the last step: everything has moved everything else a little.
func (b *bench) recheck(before []Step) Step {
	s := Step{
		Key: stepRecheck, Title: "Check again, and write down the grays", Pattern: "staircase risers=10", More: []string{"flat color=red", "crosshatch", "pluge variant=bt814", "window", "bars-eg1"},
		Measure: WhatGray, Limits: []string{LimitWhitePoint, LimitGrayTracking, LimitBlack, LimitWhiteLuminance, LimitContrast, LimitGamma},
		Do: "Look once more at purity, convergence, black, white, white balance and the colors of each input, in this order; each of them has moved the others a little. " +
			"Then read the grays from black to white for the record: they are what the next check will be compared with. What is out is done again in its own step, which opens what rests on it; if all of it has moved, say that the whole is to be gone through again.",
		Look:   "Everything is as it was left.",
		Adjust: "None here: what has moved is done again in its own step.",
		Again: []Need{
			{stepPurity, "the set has been moved or has warmed up further since"},
			{stepEdges, "the set has been moved or has warmed up further since"},
			{stepBlack, "later steps have moved black"},
			{stepWhite, "later steps have moved white"},
			{stepBalance, "later steps have moved the grays"},
			{stepChroma, "luma has moved since chroma was set"},
			{stepFamily, "luma has moved since the gains were set"},
			{stepRGB, "white has moved since the levels were compared"},
		},
		Cautions: []string{CautionStill},
		Source:   common,
	}
	if b.lines == 525 && b.Setup != "0" {
		s.More[2] = "pluge variant=eg1"
	}
	for _, o := range before {
		s.After = append(s.After, Need{o.Key, "the last look is at what all steps together have made"})
	}
	return s
}
