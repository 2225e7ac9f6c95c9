package geometry

import "slices"

const (
	unitMM     = "mm"
	unitHeight = "% of picture height"
)

// shapes lists the terms in the order of work: size and place, linearity, the
// sides, what leans, what bends.
func shapes(s Screen) []shape {
	return slices.Concat(sizes(s), linearities(), sides(), leanings(), bends())
}

func sizes(s Screen) []shape {
	w, h := need{across, power{1, 0}}, need{down, power{0, 1}}
	cr, cd := need{across, power{}}, need{down, power{}}
	const edge = "; below 0 its edge shows"
	side := func(key, name string, c channel, p probe, offset float64, n []need, controls string) shape {
		of := "width"
		if c == down {
			of = "height"
		}
		return shape{Term: Term{Key: key, Name: name, Unit: "% of picture " + of, Means: "share of the picture's " + of + " that falls outside the screen there" + edge, Controls: controls},
			probes: []probe{p}, offset: offset, needs: n, scale: ofSize(c)}
	}
	const (
		hSize, vSize = "width (coil or control), once the anode voltage is right", "height"
		hPlace       = "horizontal centering or phase"
		vPlace       = "vertical centering"
	)
	return []shape{
		{Term: Term{Key: "width", Name: "Width of the picture", Unit: unitMM, Means: "left to right edge of the active picture along its middle row", Controls: hSize},
			probes: edgeToEdge(across), needs: []need{w}, scale: millimeters},
		{Term: Term{Key: "height", Name: "Height of the picture", Unit: unitMM, Means: "upper to lower edge of the active picture along its middle column", Controls: vSize},
			probes: edgeToEdge(down), needs: []need{h}, scale: millimeters},
		{Term: Term{Key: "width-screen", Name: "Width of the picture", Unit: "% of screen width", Means: "100 fills the screen exactly, more is overscan", Controls: hSize},
			probes: edgeToEdge(across), needs: []need{w}, scale: ofScreen(s.Width)},
		{Term: Term{Key: "height-screen", Name: "Height of the picture", Unit: "% of screen height", Means: "100 fills the screen exactly, more is overscan", Controls: vSize},
			probes: edgeToEdge(down), needs: []need{h}, scale: ofScreen(s.Height)},
		{Term: Term{Key: "aspect", Name: "Roundness of circles", Unit: "%", Means: "width over height of what should be round, less 1; above 0 circles lie wide", Controls: "width against height; set the one that overscan wants less"},
			offset: s.Picture, needs: []need{w, h}},
		{Term: Term{Key: "center-right", Name: "Centering across", Unit: unitHeight, Means: "the middle of the picture lies right of the middle of the screen; below 0 left", Controls: hPlace},
			probes: []probe{{across, 0, 0, 1}}, offset: -s.Width / 2, needs: []need{cr, w}, scale: ofHeight},
		{Term: Term{Key: "center-down", Name: "Centering down", Unit: unitHeight, Means: "the middle of the picture lies below the middle of the screen; below 0 above", Controls: vPlace},
			probes: []probe{{down, 0, 0, 1}}, offset: -s.Height / 2, needs: []need{cd, h}, scale: ofHeight},
		side("overscan-left", "Overscan, left", across, probe{across, -1, 0, -1}, 0, []need{w}, "width; both sides unlike: "+hPlace),
		side("overscan-right", "Overscan, right", across, probe{across, 1, 0, 1}, -s.Width, []need{w}, "width; both sides unlike: "+hPlace),
		side("overscan-top", "Overscan, top", down, probe{down, 0, -1, -1}, 0, []need{h}, "height; both sides unlike: "+vPlace),
		side("overscan-bottom", "Overscan, bottom", down, probe{down, 0, 1, 1}, -s.Height, []need{h}, "height; both sides unlike: "+vPlace),
	}
}

func linearities() []shape {
	const bend = "how far the middle lies from halfway between the edges: above 0 the "
	return []shape{
		{Term: Term{Key: "linearity-across", Name: "Linearity across", Unit: unitHeight, Means: bend + "right half is wider than the left",
			Controls: "horizontal linearity (coil with a magnet)"},
			probes: quadratic(across, middleRow), needs: []need{{across, power{2, 0}}}, scale: ofHeight},
		{Term: Term{Key: "linearity-down", Name: "Linearity down", Unit: unitHeight, Means: bend + "lower half is taller than the upper", Controls: "vertical linearity"},
			probes: quadratic(down, middleColumn), needs: []need{{down, power{0, 2}}}, scale: ofHeight},
		{Term: Term{Key: "s-across", Name: "S-distortion across", Unit: unitHeight, Service: true,
			Means:    "greatest distance of a line from its place when the middle and both edges are right: above 0 the sides are stretched against the middle",
			Controls: "S-correction capacitor of the horizontal yoke: no knob, the part has drifted or is the wrong one"},
			probes: cubic(across, middleRow), needs: []need{{across, power{3, 0}}}, scale: ofHeight},
		{Term: Term{Key: "s-down", Name: "S-distortion down", Unit: unitHeight,
			Means:    "greatest distance of a line from its place when the middle and both edges are right: above 0 top and bottom are stretched against the middle",
			Controls: "vertical S-correction where the set has it, else the capacitors of the vertical stage"},
			probes: cubic(down, middleColumn), needs: []need{{down, power{0, 3}}}, scale: ofHeight},
	}
}

func sides() []shape {
	const (
		ew = "pincushion (east-west amplitude); both sides unlike: its tilt or the bow of the verticals"
		ns = "north-south correction, or magnets at the yoke's edge"
		in = "how far the middle of the side lies inside the line between its corners: above 0 pincushion, below 0 barrel"
	)
	side := func(key, name string, c channel, probes []probe, controls string) shape {
		n := []need{{across, power{0, 2}}, {across, power{1, 2}}}
		if c == down {
			n = []need{{down, power{2, 0}}, {down, power{2, 1}}}
		}
		return shape{Term: Term{Key: key, Name: name, Unit: unitHeight, Means: in, Controls: controls, Service: c == down}, probes: probes, needs: n, scale: ofHeight}
	}
	return []shape{
		side("pincushion-left", "Pincushion, left side", across, negative(quadratic(across, leftSide)), ew),
		side("pincushion-right", "Pincushion, right side", across, quadratic(across, rightSide), ew),
		side("pincushion-top", "Pincushion, top", down, negative(quadratic(down, topSide)), ns),
		side("pincushion-bottom", "Pincushion, bottom", down, quadratic(down, bottomSide), ns),
	}
}

func leanings() []shape {
	lean := []probe{{across, 0, 1, 1}, {across, 0, -1, -1}}
	slope := []probe{{down, 1, 0, 1}, {down, -1, 0, -1}}
	return []shape{
		{Term: Term{Key: "trapezoid-across", Name: "Trapezoid, sides", Unit: unitHeight, Means: "the bottom edge is wider than the top edge; below 0 narrower",
			Controls: "keystone (trapezoid) of the east-west correction"},
			probes: []probe{{across, 1, 1, 1}, {across, -1, 1, -1}, {across, 1, -1, -1}, {across, -1, -1, 1}}, needs: []need{{across, power{1, 1}}}, scale: ofHeight},
		{Term: Term{Key: "trapezoid-down", Name: "Trapezoid, top and bottom", Unit: unitHeight, Means: "the right edge is taller than the left edge; below 0 shorter", Service: true,
			Controls: "magnets or wedges at the yoke: no knob in most sets"},
			probes: []probe{{down, 1, 1, 1}, {down, 1, -1, -1}, {down, -1, 1, -1}, {down, -1, -1, 1}}, needs: []need{{down, power{1, 1}}}, scale: ofHeight},
		{Term: Term{Key: "tilt", Name: "Tilt", Unit: unitHeight, Means: "the right end of the middle row lies lower than its left end, over the whole width; below 0 higher", Service: true,
			Controls: "rotation coil where the set has one, else turning the yoke; check purity and convergence again after it"},
			probes: slope, needs: []need{{down, power{1, 0}}}, scale: ofHeight},
		{Term: Term{Key: "orthogonality", Name: "Orthogonality", Unit: unitHeight, Service: true,
			Means:    "the lower end of the middle column lies right of where it would be if the column stood square on the middle row, over the whole height",
			Controls: "orthogonality (parallelogram) where the set has it, else the yoke itself"},
			turned: true,
			probes: lean, needs: []need{{across, power{0, 1}}, {down, power{1, 0}}, {across, power{1, 0}}, {down, power{0, 1}}},
			scale: ofHeight},
	}
}

func bends() []shape {
	const s = "greatest distance from a straight line when the middle and both ends are on it: above 0 "
	corner := func(key, name, what string, c channel, n need, at func(side, t float64) (u, v float64)) shape {
		var list []probe
		for _, p := range []struct{ t, share float64 }{{1, 1}, {0.5, -4}, {0, 3}} { // nothing of 1, t^2; 3/4 of t^4
			for _, t := range []float64{-p.t, p.t} {
				for _, side := range []float64{-1, 1} {
					u, v := at(side, t)
					list = append(list, probe{c, u, v, side * p.share / 4})
				}
			}
		}
		return shape{Term: Term{Key: key, Name: name, Unit: unitHeight,
			Means:    "how far the corners lie outside the parabola through the middle and the half-way points of " + what + ", mean of four; below 0 inside",
			Controls: "corner correction where the set has it"}, probes: list, needs: []need{n}, scale: ofHeight}
	}
	return []shape{
		{Term: Term{Key: "bow-across", Name: "Bow of the middle column", Unit: unitHeight, Means: "its middle lies right of the line between its ends; below 0 left",
			Controls: "bow (C-correction) where the set has it, else the yoke's place", Service: true},
			probes: negative(quadratic(across, middleColumn)), needs: []need{{across, power{0, 2}}}, scale: ofHeight},
		{Term: Term{Key: "bow-down", Name: "Bow of the middle row", Unit: unitHeight, Means: "its middle lies below the line between its ends; below 0 above",
			Controls: "up-and-down place of the yoke (wedges), magnets at its edge", Service: true},
			probes: negative(quadratic(down, middleRow)), needs: []need{{down, power{2, 0}}}, scale: ofHeight},
		{Term: Term{Key: "s-column", Name: "S of the middle column", Unit: unitHeight, Means: s + "its lower end bends to the right", Controls: "supply ripple or pull at the top: find the fault before anything is moved"},
			probes: cubic(across, middleColumn), needs: []need{{across, power{0, 3}}}, scale: ofHeight},
		{Term: Term{Key: "s-row", Name: "S of the middle row", Unit: unitHeight, Means: s + "its right end bends down", Controls: "magnets at the yoke's edge", Service: true},
			probes: cubic(down, middleRow), needs: []need{{down, power{3, 0}}}, scale: ofHeight},
		corner("corner-across", "Corners, sides", "the left and right side", across, need{across, power{1, 4}}, func(side, t float64) (u, v float64) { return side, t }),
		corner("corner-down", "Corners, top and bottom", "top and bottom", down, need{down, power{4, 1}}, func(side, t float64) (u, v float64) { return t, side }),
	}
}
