package check

import (
	"fmt"
	"slices"
	"strings"

	"backporch/internal/measure"
)

// An Outcome is the verdict in a word.
type Outcome int

// The outcomes.
const (
	CannotTell Outcome = iota
	NotFit
	FitWithCorrection
	Fit
)

// String is how programs read it.
func (o Outcome) String() string {
	return [...]string{"cannot-tell", "not-fit", "fit-with-correction", "fit"}[o]
}

// Good reports whether a set can be aligned against the source.
func (o Outcome) Good() bool { return o >= FitWithCorrection }

// A Verdict is the outcome and why.
type Verdict struct {
	Outcome     Outcome
	Sentence    string
	Corrections []string // settings that bring the source into tolerance
	Reasons     []string // what no setting corrects, or why it cannot be told
}

// Confidence from which a finding counts, and from which it stands in the way of
// saying that all is well.
const (
	sure  = 0.9
	maybe = 0.5
)

// verdict weighs everything. A source whose capture device is not known is never
// called fit, nor asked to be corrected: the fault may be the device's.
func (r *Report) verdict() (v Verdict) {
	if why := r.lost(); why != "" {
		return Verdict{Outcome: CannotTell, Sentence: "Cannot tell: " + why + ".", Reasons: []string{why}}
	}
	final, fixes, doubts := r.causes()
	r.unexplained(&final, &fixes)
	doubts = append(doubts, r.blurred()...)
	class := "for class " + r.Class.String()
	switch {
	case len(final) > 0:
		v = Verdict{Outcome: NotFit, Reasons: final, Corrections: fixes, Sentence: "Not fit " + class + ": " + strings.Join(final, "; ") + ". No setting corrects that."}
	case len(doubts) > 0:
		v = Verdict{Outcome: CannotTell, Reasons: doubts, Corrections: fixes, Sentence: "Cannot tell " + class + ": " + strings.Join(doubts, "; ") + "."}
	case !r.Levels.LumaKnown:
		why := "the pattern has no black and white to measure levels by; play bars-eg1"
		v = Verdict{Outcome: CannotTell, Reasons: []string{why}, Corrections: fixes, Sentence: "Cannot tell " + class + ": " + why + "."}
	case len(fixes) > 0:
		v = Verdict{Outcome: FitWithCorrection, Corrections: fixes, Sentence: "Fit " + class + " with a correction: " + strings.Join(fixes, "; ") + "."}
	default:
		v = Verdict{Outcome: Fit, Sentence: "Fit " + class + ": all that this pattern shows is within tolerance."}
	}
	if r.Via.Known() {
		return v
	}
	const learn = "learn the capture device with --learn, or say --via none where there was none"
	switch v.Outcome {
	case Fit:
		v.Sentence = "Player and capture together: all that this pattern shows is within tolerance " + class + ", but errors of the two may cancel, so it cannot be told whether the player alone is fit; " + learn + "."
	case FitWithCorrection:
		v.Sentence = "Player and capture together: out of tolerance " + class + ", and whose error it is cannot be told; " + learn + ". Both together would need: " + strings.Join(fixes, "; ") + "."
	default:
		v.Sentence = "Player and capture together: " + strings.ToLower(v.Sentence[:1]) + v.Sentence[1:]
	}
	if v.Outcome.Good() {
		v.Outcome = CannotTell
		v.Reasons = []string{"the capture device is not known; " + learn}
	}
	return v
}

// lost says why nothing that was measured can be trusted; "" if it can.
func (r *Report) lost() string {
	at := &r.Result.Place
	measured := 0
	for i := range r.Result.Patches {
		if r.Result.Patches[i].Measured() {
			measured++
		}
	}
	switch {
	case !r.placed():
		return fmt.Sprintf("the picture was not found for certain (correlation %.2f, sure to %.0f %%); see that --pattern and --raster are those that were played, or say where it lies with --region", at.Score, 100*at.Sure)
	case measured == 0 && len(r.Result.Patches) > 0 && len(r.Result.Findings) == 0:
		return "no patch of the pattern lies within the capture, or is large enough to measure"
	case r.Levels.LumaKnown && !(r.Levels.Gain > leastGain && r.Levels.Gain < mostGain):
		return fmt.Sprintf("luma would have a gain of %.2f, which no setting of a player makes; see that --pattern is the one that was played", r.Levels.Gain)
	case r.stranger():
		return "too many patches are not flat, or differ in a way that no fault explains; see that --pattern is the one that was played"
	}
	return ""
}

// Gains of luma between which a picture is taken for the pattern.
const (
	leastGain = 0.4
	mostGain  = 2.5
)

// stranger reports a picture that is probably another pattern: a quarter of the
// flat patches are not flat or lie far from what the rest says, and no finding
// bends levels.
func (r *Report) stranger() bool {
	for _, f := range []measure.Fault{measure.Gamma, measure.RangeStretched, measure.Decoded709, measure.Encoded709, measure.ChromaSwapped, measure.Quantized, measure.RowsSwapped} {
		if x := r.finding(f); x != nil && x.Confidence >= maybe {
			return false
		}
	}
	l := &r.Levels
	black, gain := 0.0, 1.0
	if l.LumaKnown {
		black, gain = l.Black, l.Gain
	}
	all, far := 0, 0
	for i := range r.Result.Patches {
		p := &r.Result.Patches[i]
		if !flat(p) {
			continue
		}
		all++
		if e := p.Got.Y - black - gain*p.Expect.Y; e > 0.12 || e < -0.12 || p.Uneven[0] > 0.12 {
			far++
		}
	}
	return all > 0 && 4*far >= all
}

// causes sorts the findings that the class minds: what no setting corrects, what
// one does, and what is not certain.
func (r *Report) causes() (final, fixes, doubts []string) {
	stretched := r.certain(measure.RangeStretched)
	for i := range r.Result.Findings {
		f := &r.Result.Findings[i]
		cut := f.Fault == measure.BelowBlackCut || f.Fault == measure.AboveWhiteCut
		switch {
		case f.Confidence < maybe || !r.minds(f) || r.device(f):
		case cut && stretched: // that is what stretching does, and goes with it
		case f.Confidence < sure:
			doubts = append(doubts, doubt(f))
		case cureOf(f.Fault).fix == "":
			final = append(final, reason(f))
		case len(f.Alike) > 0 && slices.ContainsFunc(f.Alike, func(a measure.Fault) bool { return cureOf(a).fix == "" }):
			doubts = append(doubts, doubt(f))
		default:
			fixes = append(fixes, r.correction(f))
		}
	}
	return final, fixes, doubts
}

// doubt asks for the pattern that parts what looks alike.
func doubt(f *measure.Finding) string {
	s := fmt.Sprintf("%s is possible (%.0f %%)", spoken(f.Fault), 100*f.Confidence)
	for i, a := range f.Alike {
		if i == 0 {
			s += ", and looks like "
		} else {
			s += " or "
		}
		s += spoken(a)
	}
	play := f.Part
	if play == "" {
		return s
	}
	return s + "; play " + play
}

func (r *Report) certain(f measure.Fault) bool {
	x := r.finding(f)
	return x != nil && x.Confidence >= sure
}

// device reports a fault that the capture device is known to have.
func (r *Report) device(f *measure.Finding) bool {
	c := r.Via.Calibration
	if c == nil {
		return false
	}
	within := func(own *float64) bool { return own != nil && f.Value > 0.85**own }
	switch f.Fault {
	case measure.BelowBlackCut:
		return c.CutsBlack
	case measure.AboveWhiteCut:
		return c.CutsWhite
	case measure.Bandwidth:
		return within(c.Bandwidth)
	case measure.ChromaBandwidth:
		return within(c.ChromaBandwidth)
	}
	return false
}

// luma and color are the findings that explain an error of either.
func lumaFaults() []measure.Fault {
	return []measure.Fault{measure.RangeSqueezed, measure.RangeStretched, measure.SetupAdded, measure.SetupMissing, measure.LumaGain, measure.BlackOffset, measure.Gamma, measure.Quantized,
		measure.Decoded709, measure.Encoded709, measure.RowsSwapped}
}

func colorFaults() []measure.Fault {
	return append(lumaFaults(), measure.ChromaGain, measure.ChromaPhase, measure.ChromaSwapped, measure.ChromaFields)
}

// unexplained takes up errors beyond tolerance that no certain finding accounts
// for: what a straight line says of them is corrected by gain, offset and turn,
// what it does not is final.
func (r *Report) unexplained(final, fixes *[]string) {
	has := func(list []measure.Fault) bool { return slices.ContainsFunc(list, r.certain) }
	straight, color := true, true
	for _, i := range r.Items {
		if !i.Out {
			continue
		}
		switch i.Quantity {
		case Black:
			if !has(lumaFaults()) {
				*fixes = append(*fixes, fmt.Sprintf("move black (brightness, clamp) by %+.1f IRE", -i.Value))
				straight = false
			}
		case White:
			if !has(lumaFaults()) {
				top := 1 - r.Levels.Black // where black is in tolerance it stays
				if limits := Limits(); limits[Black].exceeds(r.Class, 100*r.Levels.Black) {
					top = 1
				}
				*fixes = append(*fixes, fmt.Sprintf("change the gain of luma (contrast, video level) by %+.1f %%", 100*(top/r.Levels.Gain-1)))
				straight = false
			}
		case ChromaGain:
			if !has(colorFaults()) {
				*fixes = append(*fixes, fmt.Sprintf("change the gain of chroma (color, saturation) by %+.1f %%", backPercent(i.Value)))
				color = false
			}
		case ChromaPhase:
			if !has(colorFaults()) {
				*fixes = append(*fixes, fmt.Sprintf("turn chroma (hue, phase) by %+.1f degrees", -i.Value))
				color = false
			}
		case Steps:
			if !has(lumaFaults()) {
				*final = append(*final, fmt.Sprintf("levels lie off a straight line by up to %.1f IRE (%s)", i.Value, r.Levels.BentAt))
				straight = false
			}
		case Difference:
			if straight && color && !has(colorFaults()) {
				*final = append(*final, fmt.Sprintf("colors differ by up to %.1f (CIEDE2000), %s", i.Value, i.Note))
			}
		case Noise:
			*final = append(*final, fmt.Sprintf("noise is %.2f IRE", i.Value))
		}
	}
}

// blurred says what cannot be judged since the calibration does not know it well
// enough: its deviation is as large as the tolerance.
func (r *Report) blurred() (doubts []string) {
	if r.Via.Calibration == nil {
		return nil
	}
	limits := Limits()
	for _, i := range r.Items {
		switch i.Quantity {
		case Black, White, ChromaGain, ChromaPhase:
			if l := limits[i.Quantity]; i.Sigma > l.Max[r.Class] {
				doubts = append(doubts, fmt.Sprintf("%s is known to %.1f %s only, and the tolerance is %g; learn the capture device from a longer capture", strings.ToLower(l.Name), i.Sigma, l.Unit, l.Max[r.Class]))
			}
		}
	}
	if r.Levels.ChromaKnown && r.Via.Calibration.Chroma == nil {
		doubts = append(doubts, "the calibration knows nothing of color; learn the capture device from bars-eg1")
	}
	return doubts
}
