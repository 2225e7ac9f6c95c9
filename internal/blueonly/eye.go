package blueonly

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// A Look is how the first bar of a pair looks beside the second.
type Look int

// The looks.
const (
	Unseen Look = iota // the pair was not judged
	Darker
	Equal
	Brighter
)

// LookNames lists the words that ParseLook takes.
func LookNames() []string { return []string{"darker", "equal", "brighter"} }

// ParseLook reads a look.
func ParseLook(text string) (Look, error) {
	for i, n := range LookNames() {
		if strings.EqualFold(strings.TrimSpace(text), n) {
			return Look(i + 1), nil
		}
	}
	return Unseen, fmt.Errorf("%q is no look of a bar; use %s", text, strings.Join(LookNames(), ", "))
}

// opposite is how the second bar looks beside the first.
func (l Look) opposite() Look {
	switch l {
	case Darker:
		return Brighter
	case Brighter:
		return Darker
	}
	return l
}

// An Eye is what is seen of the two pairs with the blue gun alone.
type Eye struct {
	BlueThanGray    Look // outer pair: gain
	CyanThanMagenta Look // inner pair: phase
}

// See adds a look of a pair of bars by their names, in either order.
func (e *Eye) See(name, than string, l Look) error {
	switch {
	case name == "blue" && than == "gray":
		e.BlueThanGray = l
	case name == "gray" && than == "blue":
		e.BlueThanGray = l.opposite()
	case name == "cyan" && than == "magenta":
		e.CyanThanMagenta = l
	case name == "magenta" && than == "cyan":
		e.CyanThanMagenta = l.opposite()
	default:
		return fmt.Errorf("%s beside %s says nothing of gain or phase alone: judge blue beside gray, and cyan beside magenta", name, than)
	}
	return nil
}

// step is the difference of light that an eye sees between patches that touch
// (assumption: 2 %, common practice).
const step = 0.02

// Judge says what an eye's two judgements mean: which way to turn, in which
// order, and how far off "equal" may still be. Gain and Phase are the middle of
// what is possible, 1 and 0, where the pair looks equal.
func (c Chain) Judge(e Eye) (*Result, error) {
	c, err := c.complete()
	if err != nil {
		return nil, err
	}
	if e.BlueThanGray == Unseen && e.CyanThanMagenta == Unseen {
		return nil, errors.New("no pair was judged: say how blue looks beside gray, and cyan beside magenta (darker, equal, brighter)")
	}
	r := &Result{Gain: 1}
	word := func(format string, args ...any) { r.Words = append(r.Words, fmt.Sprintf(format, args...)) }
	knob := "color (chroma gain)"
	if c.Component {
		knob = "the gain of Pb"
	}
	gain, phase := c.resolve()
	switch e.BlueThanGray {
	case Darker:
		word("Blue darker than gray: gain is too low. Turn %s up until both are alike.", knob)
	case Brighter:
		word("Blue brighter than gray: gain is too high. Turn %s down until both are alike.", knob)
	case Equal:
		r.GainKnown, r.GainSigma = true, gain
		word("Blue like gray: gain is right to about ±%.1f %% (an eye that sees a step of 2 %% of light, gamma %.2g).", 100*gain, c.Gamma)
	default:
		word("Blue beside gray was not judged: gain is not known. It comes first.")
	}
	if c.Component {
		word("There is no phase on a component input: cyan and magenta follow the gain of Pb. Blue alone does not show Pr: look at the red gun alone for it.")
		return r, nil
	}
	switch e.CyanThanMagenta {
	case Brighter:
		word("Cyan brighter than magenta: vectors are turned counterclockwise. Turn phase (hue) the way that darkens cyan until both are alike.")
	case Darker:
		word("Cyan darker than magenta: vectors are turned clockwise. Turn phase (hue) the way that darkens magenta until both are alike.")
	case Equal:
		r.PhaseKnown, r.PhaseSigma = e.BlueThanGray == Equal, phase
		if r.PhaseKnown {
			word("Cyan like magenta: phase is right to about ±%.1f degrees (the same assumption).", phase)
		} else {
			r.PhaseSigma = 0
			word("Cyan like magenta tells phase only when gain is right: judge again after it.")
		}
	default:
		word("Cyan beside magenta was not judged: phase is not known.")
	}
	if e.BlueThanGray != Equal || e.CyanThanMagenta != Equal {
		word("Gain first with blue against gray, then phase with cyan against magenta; then both once more, since each moves the other a little.")
	}
	if c.Lines == 625 {
		r.Words = append(r.Words, averaging)
	}
	return r, nil
}

// resolve is what a step of light is in gain (blue against gray) and in degrees
// of phase (cyan against magenta), near where both are right.
func (c Chain) resolve() (gain, degrees float64) {
	b := blueBars()
	cyan, magenta, blue := b[0], b[1], b[2]
	gain = step / c.Gamma / blue.by
	degrees = step / c.Gamma / (ratio * (magenta.ry - cyan.ry)) * 180 / math.Pi
	return gain, degrees
}
