package job

// startSteps come before any adjustment.
func (b *bench) startSteps() []Step {
	more := []string{"bars-full"}
	if b.interlaced {
		more = append(more, "half-line", "field-order fields=20")
	}
	// A thermistor that the running set keeps hot lets no current into the coil:
	// switching a warm set off and on does nothing.
	degauss := "Press the set's own button for it where there is one. A built-in coil without a button works only as the set is switched on cold: that was at the warm-up, if the set stood in its place by then; " +
		"else leave it off for some 20 minutes, until the coil's thermistor has cooled, switch it on, and let it warm up again. " +
		"Where stains stay, use a hand-held coil while the set runs: circle over the whole screen, draw it back two meters at least, and only then switch it off."
	return []Step{
		{
			Key: stepProof, Title: "Proof of the source", Pattern: "one-to-one", More: more, Measure: WhatSource, Cautions: cautionsAt(b.Set, cable),
			Do: "Play the proof picture from the source that all later pictures come from. " +
				"Capture it and let the program check it where you can; else read the proof picture on the set, and the levels of the bars with an oscilloscope on the terminated cable. Go on when the source passes samples, rows and levels as they are, or when you know what it changes.",
			Look:   "The finest columns and rows are even from edge to edge, nothing is scaled or cut, and the levels below black and above white are there as far as the file holds them.",
			Adjust: "Only the source: its scaling, its range of levels, its output. Leave the set alone.",
			Source: common,
		},
		{
			Key: stepWarmUp, Title: "Warm-up", Pattern: "flat color=gray-50",
			Do: "Put the set where it will stay and in the direction in which it will stay, with magnets and transformers well away. " +
				"Clean the screen before the set is switched on, and dim the room. Let the set run on middle gray for 20 minutes at least.",
			Look:     "A raster of even gray that no longer changes in brightness, size or color.",
			Cautions: []string{CautionStill},
			Source:   "20 minutes: EBU Tech 3320 v3 clause 5.17; the place of the set: a service community's guide (secondary)",
		},
		{
			Key: stepDegauss, Title: "Degauss", Pattern: "flat color=red",
			Do:       degauss,
			Look:     "A field of one color without a tint in the corners, the same before and after the set is turned a little.",
			Adjust:   "None.",
			After:    []Need{{stepWarmUp, "a mask that is still getting warm moves, and the built-in coil works as the set is switched on"}},
			Cautions: with([]string{CautionField}, CautionStill),
			Source:   "a service community's guide (secondary); the distance common practice",
		},
	}
}

// neckSteps are the rings, magnets and wedges at the neck: purity and the
// convergence of the middle.
func (b *bench) neckSteps() []Step {
	purity := Step{
		Key: stepPurity, Title: "Purity", Pattern: "flat color=red", More: []string{"flat color=green", "flat color=blue", "flat color=white"},
		Measure: WhatPurity, Limits: []string{LimitPurityGrade},
		Look: "Each field is of one color over the whole screen when you look from " + b.away("five", 5) + ", and white has no colored stain.",
		After: []Need{
			{stepDegauss, "a magnetized mask makes stains that no ring may be used to hide"},
		},
		Again:    []Need{{stepDegauss, "magnets, yoke or set were moved, which magnetizes the mask anew"}},
		Cautions: with(cautionsAt(b.Set, neck), CautionStill),
		Source:   "service literature (secondary)",
	}
	if b.Guns == Delta {
		purity.Do = "Show the red field. Loosen the yoke and draw it back until a red spot stands alone, bring the spot to the middle with the purity rings, then push the yoke forward until red fills the screen evenly. Look at green, blue and white, and share what is left among them."
		purity.Adjust = "The pair of purity rings on the neck, and the place of the yoke along it."
	} else {
		purity.Pattern, purity.More[0] = purity.More[0], purity.Pattern
		purity.Do = "Show the field of the middle gun, most often green. If it has stains, loosen the yoke and draw it back until a band of that color stands alone, bring the band to the middle with the purity rings, then push the yoke forward until the color fills the screen evenly. Look at the other two fields and at white."
		purity.Adjust = "The two-pole purity rings on the neck, and the place of the yoke along it. Corners that stay stained may want the small magnets or the landing control that the maker fitted for them."
	}
	switch b.Tube {
	case ApertureGrille:
		purity.Look += " A grille has stains as upright stripes or corners; the fine dark lines of its damper wires are no fault. Do not knock on the set: the grille swings, and the colors with it."
	case SlotMask:
		purity.Look += " A slot mask shows landing errors first at the left and right edges."
	default:
		purity.Look += " A mask of dots shows landing errors in the corners, in all directions."
	}

	const rough = "If dots are blurred, set focus roughly first; it is set for good in its own step. "
	center := Step{
		Key: stepConvergence, Title: "Convergence of the middle (static)", Pattern: "dots", More: []string{"crosshatch color=magenta", "crosshatch color=yellow"},
		Measure: WhatConvergence, Limits: []string{LimitConvergenceCenter, LimitConvergenceMM},
		Look: "The dots in the middle of the screen are white without a colored edge, seen from close by.",
		After: []Need{
			{stepPurity, "the purity rings and the place of the yoke move all three beams"},
		},
		Again:    []Need{{stepPurity, "rings of convergence sit beside those of purity and pull at them"}},
		Cautions: with(cautionsAt(b.Set, neck), CautionStill),
		Source:   "a textbook summary (secondary); reactions to misconvergence: abstract, Displays 1984",
	}
	if b.Guns == Delta {
		center.Do = rough + "Turn contrast down. Bring red and green onto each other in the middle of the screen with their static magnets, then blue with its own magnet, which moves it up and down, and with the lateral magnet, which moves it sideways."
		center.Adjust = "The static magnets of red, green and blue, which move their beams along three directions, and the lateral magnet of blue on the neck."
	} else {
		center.Do = rough + "Turn contrast down. Bring red and blue onto each other in the middle with the four-pole rings, then both onto green with the six-pole rings: the angle between two rings is the strength, turning both together is the direction. Go over both once more, and lock the rings."
		center.Adjust = "The four-pole and the six-pole rings on the neck."
		if b.Tube == ApertureGrille {
			center.Adjust += " Sets with a grille often have static controls on a board or in the service menu instead of rings for one direction."
		}
	}
	return []Step{purity, center}
}

// edges is the convergence of the rest of the screen.
func (b *bench) edges() Step {
	s := Step{
		Key: stepEdges, Title: "Convergence of the edges (dynamic)", Pattern: "crosshatch", More: []string{"crosshatch-dots", "crosshatch color=magenta", "crosshatch color=yellow", "crosshatch color=cyan"},
		Measure: WhatConvergence, Limits: []string{LimitConvergenceCenter, LimitConvergenceEdge, LimitConvergenceMM},
		Look: "Lines are white from edge to edge. In the pictures of two colors see which gun lies where: magenta shows red and blue, yellow red and green, cyan green and blue.",
		After: []Need{
			{stepConvergence, "the middle is the reference that the edges are brought to"},
		},
		Again: []Need{
			{stepPurity, "yoke, wedges and magnets at the edges move the landing of the beams"},
			{stepConvergence, "what corrects the edges also moves the middle a little"},
		},
		Cautions: with(cautionsAt(b.Set, neck), CautionStill),
		Source:   "a textbook summary (secondary); the order against geometry common practice",
	}
	if b.Guns == Delta {
		s.Do = "Turn contrast down. Work through the controls of the convergence board: upright lines through the middle first, then level ones, then the sides and corners, red against green before blue. Touch up the static magnets in between."
		s.Adjust = "The controls of the convergence board: tilt and amplitude of each gun for top, bottom, left and right."
		s.After = append(s.After,
			Need{stepSize, "the correcting currents are made from the scans, so their shape follows size and linearity"},
			Need{stepCentering, "the picture has to stand in the middle before its edges are compared"},
			Need{stepLinearity, "a control of linearity changes the scan that corrects the edges"},
			Need{stepPincushion, "the correction of pincushion changes the scan at the edges"})
	} else {
		s.Do = "Turn contrast down. Tilt the front of the yoke up and down until red and blue no longer cross: look at the ends of the upright line and of the level line through the middle. Then tilt it left and right until both are equally large: look at the upright lines at the left and right sides and the level ones at top and bottom. Hold it with the wedges. What is left in a corner takes a strip of magnetic shunt at the yoke, where the maker allows it."
		s.Adjust = "The tilt of the yoke with its wedges, shunts, and the coils or menu values for convergence where the set has them."
		if b.Tube == ApertureGrille {
			s.Adjust += " Sets with a grille have most of these in a service menu or on a board: use those before the yoke is touched."
		}
		s.After = append(s.After,
			Need{stepTilt, "the yoke is turned for tilt, and its place decides about the edges"},
			Need{stepSize, "the yoke is wobbled for convergence last, when size no longer changes"},
			Need{stepCentering, "the picture has to stand in the middle before its edges are compared"},
			Need{stepLinearity, "lines have to be where they will stay before three of them are laid onto each other"},
			Need{stepPincushion, "the yoke and its magnets for geometry move the three beams unequally"})
		s.Again = append(s.Again,
			Need{stepTilt, "the yoke was tilted, and may have turned with it"},
			Need{stepPincushion, "a yoke that was tilted bends the raster anew"})
	}
	return s
}
