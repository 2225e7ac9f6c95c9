package colorimetry

import (
	"fmt"
	"math"
)

// A ReachError reports a level that a format and a player cannot reach. Its
// text says what is wrong and how near one can come; the caller knows which
// patch it was, and what the user can do instead.
type ReachError struct {
	Plan    Plan
	Coding  *Coding
	Want    Signal     // in units of the wanted family
	Nearest Signal     // what can be reached
	Code    [3]float64 // that Want would need, unrounded
}

func (e *ReachError) Error() string {
	for i, v := range e.Code {
		lo, hi, _ := e.Coding.Range(i)
		name := componentNames[i]
		if e.Coding.Model == RGB {
			name = [...]string{"R", "G", "B"}[i]
		}
		if !e.Coding.holds(i, v) {
			return fmt.Sprintf("needs %s code %.1f, and %s has %d to %d; the nearest level is %s (wanted %s)",
				name, v, e.Coding.Name, lo, hi, e.level(e.Nearest), e.level(e.Want))
		}
	}
	return "cannot be reached in " + e.Coding.Name
}

// level describes a signal in the unit of the wire: a neutral one by its luma,
// any other with its color, which may be all that differs.
func (e *ReachError) level(s Signal) string {
	w := e.Plan.Wire
	neutral := max(math.Abs(e.Want.CB), math.Abs(e.Want.CR), math.Abs(e.Nearest.CB), math.Abs(e.Nearest.CR)) < 1e-9
	switch {
	case w == nil && neutral:
		return fmt.Sprintf("%.2f %% luma", tidy(100*s.Y, 2))
	case w == nil:
		r, g, b := s.RGB()
		return fmt.Sprintf("R %.1f, G %.1f, B %.1f %%", tidy(100*r, 1), tidy(100*g, 1), tidy(100*b, 1))
	}
	luma := w.Luma(s)
	ire := w.Interface == Composite && w.Lines == 525
	switch {
	case ire && neutral:
		return fmt.Sprintf("%+.2f IRE", tidy(float64(luma.IRE()), 2))
	case neutral:
		return fmt.Sprintf("%+.1f mV", tidy(float64(luma), 1))
	case w.Interface == Composite:
		pp, degrees := w.Phasor(s)
		if ire {
			return fmt.Sprintf("%+.2f IRE with chroma of %.2f IRE peak to peak at %.1f degrees",
				tidy(float64(luma.IRE()), 2), float64(pp.IRE()), degrees)
		}
		return fmt.Sprintf("%+.1f mV with chroma of %.1f mV peak to peak at %.1f degrees", tidy(float64(luma), 1), float64(pp), degrees)
	case w.Interface == ComponentYPbPr:
		u, v := w.Vector(s)
		return fmt.Sprintf("Y %+.1f, PB %+.1f, PR %+.1f mV", tidy(float64(luma), 1), tidy(float64(u), 1), tidy(float64(v), 1))
	default:
		r, g, b := w.RGB(s)
		return fmt.Sprintf("R %+.1f, G %+.1f, B %+.1f mV", tidy(float64(r), 1), tidy(float64(g), 1), tidy(float64(b), 1))
	}
}

// tidy rounds x to some decimals and takes the sign off a zero.
func tidy(x float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(x*scale)/scale + 0
}
