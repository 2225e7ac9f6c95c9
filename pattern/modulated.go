package pattern

import (
	"math"

	"backporch/colorimetry"
)

// composite returns the family by which a subcarrier is reckoned: that of the
// wire if it is one of composite, else the one with the same black. At 525
// lines a wire that is not known counts as having setup.
func (v View) composite() *colorimetry.Family {
	switch w := v.Plan.Wire; {
	case v.lines625():
		return colorimetry.PAL
	case w == nil || w.Black > 0:
		return colorimetry.CompositeM
	}
	return colorimetry.CompositeJ
}

// subcarrier returns the color difference that is on the wire a subcarrier of pp
// IRE peak to peak, at that angle from +(B'-Y'). At 625 lines 1 IRE counts as
// 7 mV: on both systems 100 are what lies between blanking and white.
func (v View) subcarrier(pp, degrees float64) colorimetry.Signal {
	f := v.composite()
	perCB, _ := f.Vector(colorimetry.Signal{CB: 1})
	_, perCR := f.Vector(colorimetry.Signal{CR: 1})
	amplitude := float64(f.White) * pp / 200
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return colorimetry.Signal{CB: amplitude * cos / float64(perCB), CR: amplitude * sin / float64(perCR)}
}

// onWire returns the luma that is that many IRE above blanking (625: of 7 mV).
func (v View) onWire(ire float64) colorimetry.Signal {
	f := v.composite()
	return f.Signal(f.White * colorimetry.Millivolt(ire) / 100)
}

// room returns the least and the greatest luma at which R'G'B' holds the color
// difference of c; most is below least where there is none.
func room(c colorimetry.Signal) (least, most float64) {
	r, g, b := colorimetry.Signal{CB: c.CB, CR: c.CR}.RGB()
	return -min(r, g, b, 0), 1 - max(r, g, b, 0)
}

// holdChroma returns want as the view's coding can hold it: itself, or with its
// color difference made smaller, and the reason. What only the plan puts out of
// reach is left alone, as by hold.
func (v View) holdChroma(want colorimetry.Signal) (colorimetry.Signal, string) {
	k := v.chromaPart(want)
	if k >= 1 {
		return want, ""
	}
	return smaller(want, k), v.tooMuchColor()
}

// tooMuchColor is why a color difference was made smaller.
func (v View) tooMuchColor() string {
	return v.Coding.Name + " has no code for so much color at this luma"
}

// chromaPart returns how much of want's color difference the view's coding can
// hold at want's luma, 0 to 1.
func (v View) chromaPart(want colorimetry.Signal) float64 {
	if _, absent := v.hold(want, want); absent == "" {
		return 1
	}
	lo, hi := 0.0, 1.0
	for range 50 {
		k := (lo + hi) / 2
		if v.between(smaller(want, k)) {
			lo = k
		} else {
			hi = k
		}
	}
	return lo
}

// between reports whether s lies between the least and the greatest codes of
// the view's coding. It is stricter than what the coding holds, which goes half
// a code further: a level out there would be stated as more than a file has.
func (v View) between(s colorimetry.Signal) bool {
	const rounding = 1e-9
	for i, code := range v.Coding.Real(s) {
		least, greatest, _ := v.Coding.Range(i)
		if code < float64(least)-rounding || code > float64(greatest)+rounding {
			return false
		}
	}
	return true
}

// smaller returns s with its color difference times k.
func smaller(s colorimetry.Signal, k float64) colorimetry.Signal {
	return colorimetry.Signal{Y: s.Y, CB: s.CB * k, CR: s.CR * k}
}

// The subcarrier on the steps of a modulated staircase or ramp: 40 IRE peak to
// peak at the phase of the burst, ITU-T J.63 (1990) Annex II signal D2, and
// 280 mV at 60 degrees from +(B'-Y'), Annex I signal D2 of line 330.
const (
	modulationIRE = 40
	phase525      = 180
	phase625      = 60
	// modulatedTop is the luma of the last step above black: five risers of 18
	// IRE (J.63 Annex II D2), so that its subcarrier stays near white. At 625
	// lines it is white, five of 140 mV (Annex I).
	modulatedTop = 90
)

// modulation returns the color difference of the steps.
func (v View) modulation() colorimetry.Signal {
	if v.lines625() {
		return v.subcarrier(modulationIRE, phase625)
	}
	return v.subcarrier(modulationIRE, phase525)
}

// modulatedHeight returns the luma of the last step; 1 is white.
func (v View) modulatedHeight() float64 {
	if v.lines625() {
		return 1
	}
	return modulatedTop * v.perIRE()
}

// modulate puts the subcarrier on luma that goes from one level to another. If
// the view's coding cannot hold that, the luma is what it can hold with the
// subcarrier, within the same limits; where there is none, it goes without.
func (v View) modulate(from, to float64) (first, last colorimetry.Signal, absent string) {
	c := v.modulation()
	at := func(y float64) colorimetry.Signal { return colorimetry.Signal{Y: y, CB: c.CB, CR: c.CR} }
	for _, y := range []float64{from, to} {
		if _, why := v.hold(at(y), black); why != "" {
			absent = why
		}
	}
	if absent == "" {
		return at(from), at(to), ""
	}
	absent = v.Coding.Name + " has no code for the subcarrier on all of these levels"
	least, most := room(c)
	least, most = max(least, min(from, to)), min(most, max(from, to))
	switch {
	case least >= most:
		return colorimetry.Gray(from), colorimetry.Gray(to), absent
	case from < to:
		return at(least), at(most), absent
	}
	return at(most), at(least), absent
}

// modulationNotes says what the subcarrier was reckoned with, and what stands
// in its place.
func (v View) modulationNotes(absent string) []string {
	var notes []string
	if !v.lines625() {
		notes = v.ireNotes("Subcarrier and steps")
	}
	if absent != "" {
		notes = append(notes, "Files in "+v.Coding.Name+" cannot hold the subcarrier on black and on white: the levels are those between which it can.")
	}
	return notes
}
