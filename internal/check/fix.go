package check

import (
	"fmt"
	"math"

	"backporch/internal/measure"
)

// A cure says what to do about a fault.
type cure struct {
	quantity Quantity // whose tolerance decides; numQuantities: the fault is never within any
	fix      string   // the correction in words, %s is how much; "" if no setting corrects it
}

// cureOf returns the cure of a fault.
func cureOf(f measure.Fault) cure {
	const always = numQuantities
	switch f {
	case measure.RangeSqueezed:
		return cure{always, "set the video range so that studio levels are not pressed together once more (limited, video, 16-235 at one stage only)"}
	case measure.RangeStretched:
		return cure{always, "set the video range so that studio levels are passed as they are, and check again whether levels beyond black and white return"}
	case measure.Decoded709, measure.Encoded709:
		return cure{always, "set the color matrix of the player to BT.601, or play a file whose tags say so"}
	case measure.SetupAdded:
		return cure{always, "set setup to 0 IRE at the source or 7.5 at whatever receives it, or make the files with --setup 0 --player-setup 7.5"}
	case measure.SetupMissing:
		return cure{always, "set setup to 0 IRE at whatever receives it, or make the files with --setup 7.5 --player-setup 0"}
	case measure.LumaGain:
		return cure{White, "change the gain of luma (contrast, video level) by %s"}
	case measure.BlackOffset:
		return cure{Black, "move black (brightness, clamp) by %s"}
	case measure.ChromaGain:
		return cure{ChromaGain, "change the gain of chroma (color, saturation) by %s"}
	case measure.ChromaPhase:
		return cure{ChromaPhase, "turn chroma (hue, phase) by %s"}
	case measure.ChromaSwapped:
		return cure{always, "exchange the cables of PB and PR"}
	case measure.Gamma:
		return cure{Steps, "switch picture modes and gamma correction off"}
	case measure.RowsSwapped, measure.FieldsLate:
		return cure{always, "play files of the other field order, or set the field order of the player"}
	case measure.Sharpened:
		return cure{Sharpening, "switch sharpness (enhancement, aperture) off"}
	case measure.Bandwidth:
		return cure{Bandwidth, ""}
	case measure.ChromaBandwidth:
		return cure{ChromaBandwidth, ""}
	case measure.ChromaLate:
		return cure{ChromaDelay, ""}
	case measure.Shape:
		return cure{PixelShape, "set aspect and scaling so that the picture is shown one to one (it is %s)"}
	case measure.Shifted:
		return cure{Shift, "move the picture back by %s, or allow for it when centering a set"}
	case measure.ShiftedY:
		return cure{ShiftRows, "move the picture back by %s, or allow for it when centering a set"}
	case measure.BelowBlackCut:
		return cure{BelowBlack, ""}
	case measure.AboveWhiteCut:
		return cure{AboveWhite, ""}
	default: // quantized, chroma of the fields mixed
		return cure{always, ""}
	}
}

// reason says in a few words what no setting corrects.
func reason(f *measure.Finding) string {
	switch f.Fault {
	case measure.Bandwidth:
		return fmt.Sprintf("luma ends at %.1f MHz", f.Value)
	case measure.ChromaBandwidth:
		return fmt.Sprintf("chroma ends at %.2f MHz", f.Value)
	case measure.ChromaLate:
		return fmt.Sprintf("chroma is %.0f ns late", f.Value)
	case measure.BelowBlackCut:
		return "levels below black are cut"
	case measure.AboveWhiteCut:
		return "levels above white are cut"
	case measure.Quantized:
		return fmt.Sprintf("color is quantized to %.0f bits", f.Value)
	case measure.ChromaFields:
		return "chroma of the two fields is mixed"
	}
	return string(f.Fault)
}

// strength is a finding in the unit of its quantity: false where the tolerance
// of no class speaks of it.
func (r *Report) strength(f *measure.Finding) (v float64, ok bool) {
	switch q := cureOf(f.Fault).quantity; {
	case q == numQuantities:
		return 0, false
	case q == BelowBlack || q == AboveWhite:
		return 1, true
	case f.Fault == measure.Gamma:
		// The greatest departure of a power from the straight line, in IRE.
		most := 0.0
		for i := range 100 {
			x := float64(i) / 100
			most = max(most, math.Abs(math.Pow(x, f.Value)-x))
		}
		return 100 * most, true
	case f.Fault == measure.Shifted:
		return r.microseconds(f.Value), true
	default:
		return f.Value, true
	}
}

// minds reports whether the class has something against a finding.
func (r *Report) minds(f *measure.Finding) bool {
	v, ok := r.strength(f)
	if !ok {
		return true
	}
	limits := Limits()
	return limits[cureOf(f.Fault).quantity].exceeds(r.Class, v)
}

// correction says how much of a setting takes a finding back.
func (r *Report) correction(f *measure.Finding) string {
	c := cureOf(f.Fault)
	much := ""
	switch f.Fault {
	case measure.LumaGain, measure.ChromaGain:
		much = fmt.Sprintf("%+.1f %%", backPercent(f.Value))
	case measure.BlackOffset:
		much = fmt.Sprintf("%+.1f IRE", -f.Value)
	case measure.ChromaPhase:
		much = fmt.Sprintf("%+.1f degrees", -f.Value)
	case measure.Shape:
		much = fmt.Sprintf("%.1f %% too wide for its height", f.Value)
		if f.Value < 0 {
			much = fmt.Sprintf("%.1f %% too narrow for its height", -f.Value)
		}
	case measure.Shifted:
		much = fmt.Sprintf("%+.1f samples (%+.2f us)", -f.Value, -r.microseconds(f.Value))
	case measure.ShiftedY:
		much = fmt.Sprintf("%+.1f rows", -f.Value)
	default:
		return c.fix
	}
	return fmt.Sprintf(c.fix, much)
}

// backPercent is the change that undoes one of so many per cent.
func backPercent(p float64) float64 { return 100 * (1/(1+p/100) - 1) }
