package job

import "fmt"

// geometrySteps are the size and shape of the raster.
func (b *bench) geometrySteps() []Step {
	low := "Turn contrast down to a picture that is easily read, so that the beam current does not change the size. "
	after := Need{stepConvergence, "a position cannot be read from lines that come apart"}
	source := Need{stepProof, "width and place of the picture are only as good as the timing of the source"}
	size := "height"
	if b.Aspect == "16:9" {
		size = "height at 16:9, which the pattern is made for,"
	}
	steps := []Step{
		{
			Key: stepTilt, Title: "Tilt", Pattern: "crosshatch", Measure: WhatGeometry, Limits: []string{LimitGeometryEdge},
			Do:       low + "Lay a straight edge along the middle level line, from side to side of the screen's frame, and turn the picture until the line follows it.",
			Look:     "The line through the middle is level: both ends are equally far from the lower edge of the screen.",
			Adjust:   "The control for rotation where the set has one; else the yoke, turned in its clamp and locked again.",
			After:    []Need{after},
			Again:    []Need{{stepPurity, "the yoke was turned, and the landing of the beams with it"}},
			Cautions: with(cautionsAt(b.Set, neck), CautionStill),
			Source:   common,
		},
		{
			Key: stepSize, Title: "Size", Pattern: "circles", More: []string{"crosshatch", "safe-area"}, Measure: WhatGeometry, Limits: []string{LimitOverscanSpread},
			Do:       low + "Set the " + size + " by the scales of the safe area, then the width until the large circle is as wide as it is high. Keep a little overscan, so that the edges of the picture stay behind the frame as the set ages.",
			Look:     "The circle is round by ruler, and the same part of the scale is hidden at the left and right as at the top and bottom.",
			Adjust:   "Height and width, in this order.",
			After:    []Need{after, source, {stepTilt, "a tilted raster has no true height at its sides"}},
			Again:    []Need{{stepTilt, "width and height were far off, so that tilt was judged on another raster"}},
			Cautions: with(cautionsAt(b.Set, board), CautionStill),
			Source:   "overscan adjustable about 2 %: EBU Tech 3320 v3 clause 5.11; the rest common practice",
		},
		{
			Key: stepCentering, Title: "Centering", Pattern: "safe-area", More: []string{"crosshatch"}, Measure: WhatGeometry, Limits: []string{LimitCentering, LimitOverscanSpread},
			Do:       low + "Move the picture until the scales of opposite sides read the same.",
			Look:     "The crossing in the middle stands in the middle of the screen, and opposite sides hide the same part of the scale.",
			Adjust:   "Centering of the scans. Set the phase of the line oscillator only if the picture is off its own raster: look at the edges of the raster with brightness up.",
			After:    []Need{{stepSize, "how much is hidden on each side can be compared only at the right size"}, source},
			Again:    []Need{{stepSize, "a shift of the picture changes how much of it is hidden"}},
			Cautions: with(cautionsAt(b.Set, board), CautionStill),
			Source:   common,
		},
		{
			Key: stepLinearity, Title: "Linearity", Pattern: "circles", More: []string{"crosshatch"}, Measure: WhatGeometry, Limits: []string{LimitLinearity, LimitGeometryCenter},
			Do: low + "See where the lines of the crosshatch lie against the rings, or measure them with a ruler; equal steps of the pattern must be equal on the glass. Correct the height again after each change of vertical linearity.",
			Look: fmt.Sprintf("Cells are equally wide from left to right and equally high from top to bottom: the hole of a ring stands for 1 %% of the picture height%s, its rim for 2 %%%s.",
				b.share(1), b.share(2)),
			Adjust:   "Linearity of both scans: a control or a menu value for the vertical one, a coil with a magnet for the horizontal one.",
			After:    []Need{{stepSize, "size and linearity share their controls, and size is judged over the whole screen"}, {stepCentering, "the middle has to be known before halves are compared"}, source},
			Again:    []Need{{stepSize, "controls of linearity change the size"}, {stepCentering, "controls of linearity move the middle"}},
			Cautions: with(cautionsAt(b.Set, board), CautionStill),
			Source:   "rings after the ball-chart method (common practice)",
		},
		{
			Key: stepPincushion, Title: "Pincushion, trapezoid and bow", Pattern: "crosshatch", More: []string{"circles"}, Measure: WhatGeometry, Limits: []string{LimitGeometryCenter, LimitGeometryEdge},
			Do:       low + "Make the upright lines at the sides straight, then parallel, then the level lines at top and bottom. Correct the width afterward.",
			Look:     "The lines at all four sides are straight and parallel to the frame of the screen.",
			Adjust:   "East-west amplitude, trapezoid, corner and bow where the set has them; magnets at the yoke for top and bottom, where the maker fitted them.",
			After:    []Need{{stepTilt, "a tilted raster looks like a trapezoid at its sides"}, {stepLinearity, "uneven steps look like bent lines"}, {stepCentering, "a picture beside the middle is bent unequally at its sides"}},
			Again:    []Need{{stepSize, "the correction of the sides changes the width"}, {stepLinearity, "the correction of the sides changes the steps near them"}},
			Cautions: with(cautionsAt(b.Set, neck), CautionStill),
			Source:   common,
		},
	}
	return append(steps, b.edges())
}

// sharpSteps are focus alone.
func (b *bench) sharpSteps() []Step {
	return []Step{{
		Key: stepFocus, Title: "Focus", Pattern: "focus-field", More: []string{"dots", "focus-field polarity=dark"}, Measure: WhatFocus, Limits: []string{LimitFocusGrade},
		Do:     "Switch off peaking, aperture correction and noise reduction; they stay off until the step of peaking. At the usual brightness set focus to the best compromise between the middle and the corners, and look at it once more at full contrast.",
		Look:   "Characters are equally sharp halfway between middle and corners; dots are round and stay so as the control goes through its best place.",
		Adjust: "Focus, at the flyback or in a menu; the second control, where there is one, for the corners or the other direction.",
		After: []Need{
			{stepSize, "the size of the picture changes the sharpness of its lines"},
			{stepEdges, "a line of three colors side by side looks blurred at any focus"},
		},
		Cautions: with(cautionsAt(b.Set, flyback), CautionStill),
		Source:   "no sharpening meanwhile: EBU Tech 3320 v3 Annex C; the rest memory",
	}}
}
