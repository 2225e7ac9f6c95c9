package measure

// Observes returns how well a pattern, with its default options, shows a fault.
func Observes(name string, f Fault) Seen { return Weak }

// Play returns the spelling of the pattern that shows a fault best, none that
// flashes.
func Play(f Fault) string {
	switch f {
	case RangeSqueezed, RangeStretched, SetupAdded, SetupMissing, LumaGain, BlackOffset, ChromaGain, ChromaPhase, ChromaSwapped, Decoded709, Encoded709:
		return "bars-eg1"
	case Gamma:
		return "staircase"
	case RowsSwapped, FieldsLate:
		return "field-order"
	case ChromaFields, ChromaBandwidth, ChromaLate:
		return "chroma-delay"
	case Sharpened, Bandwidth:
		return "multiburst"
	case Shape, Shifted, ShiftedY:
		return "safe-area"
	case Quantized:
		return "ramp"
	default:
		return "one-to-one"
	}
}

// unseen lists what the pattern does not show well, with what does.
func unseen(q *Request) []Unseen {
	var out []Unseen
	for _, f := range Faults() {
		if s := Observes(q.Name, f); s != Observable {
			out = append(out, Unseen{f, s, Play(f)})
		}
	}
	return out
}

// parting returns the pattern that shows all faults of a list, other than the
// one that was played.
func parting(played string, list []Fault) string {
	for _, name := range []string{"bars-eg1", "staircase", "ramp", "vectors", "chroma-steps"} {
		all := name != played
		for _, f := range list {
			all = all && Observes(name, f) == Observable
		}
		if all {
			return name
		}
	}
	return Play(list[0])
}
