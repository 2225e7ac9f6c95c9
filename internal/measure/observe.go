package measure

import "slices"

// Observes returns how well a pattern, with its default options, shows a fault
// of middle strength; of a pattern that it does not know, none.
func Observes(name string, f Fault) Seen {
	column := slices.Index(Faults(), f)
	for _, row := range seenRows() {
		if row.name != name || column < 0 {
			continue
		}
		switch row.seen[column] {
		case 'O':
			return Observable
		case 'w':
			return Weak
		}
	}
	return None
}

// Play returns the spelling of the pattern that shows a fault best, none that
// flashes.
func Play(f Fault) string {
	switch f {
	case Gamma:
		return "staircase"
	case RowsSwapped, FieldsLate:
		return "field-order"
	case ChromaFields:
		return "crosshatch color=red"
	case ChromaBandwidth, ChromaLate:
		return "chroma-delay"
	case Sharpened, Bandwidth:
		return "multiburst"
	case Shape, Shifted, ShiftedY:
		return "circles"
	case Quantized:
		return "ramp"
	case BelowBlackCut, AboveWhiteCut:
		return "one-to-one"
	default: // of levels
		return "bars-eg1"
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
// one that was played; where none shows all, that which shows the first.
func parting(played string, list []Fault) string {
	for _, name := range []string{"bars-eg1", "staircase", "vectors", "ramp", "chroma-delay", "field-order", "circles", "multiburst"} {
		shown := func(f Fault) bool { return Observes(name, f) == Observable }
		if name != played && !slices.ContainsFunc(list, func(f Fault) bool { return !shown(f) }) {
			return name
		}
	}
	return Play(list[0])
}

// weakest is the confidence that a finding of detail, order or place has at
// most where the pattern shows the fault but weakly: something else may look the
// same.
const weakest = 0.85

// weighed applies the table to findings that are not of levels, where
// probabilities come from the data: what the pattern cannot show is dropped, and
// what it shows weakly is held back, with what may look alike.
func weighed(name string, list []Finding) []Finding {
	var out []Finding
	for _, f := range list {
		switch Observes(name, f.Fault) {
		case None:
			if f.Fault != ChromaFields { // which colored options of a pattern show
				continue
			}
		case Weak:
			f.Confidence = min(f.Confidence, weakest)
			if f.Alike == nil {
				f.Alike = lookalikes(f.Fault)
			}
		}
		out = append(out, f)
	}
	return out
}

// lookalikes are faults that look much the same where there is little to tell
// them apart by.
func lookalikes(f Fault) []Fault {
	switch f {
	case Sharpened:
		return []Fault{Gamma, RangeStretched}
	case RowsSwapped:
		return []Fault{FieldsLate}
	case FieldsLate:
		return []Fault{RowsSwapped}
	case Shifted:
		return []Fault{ChromaLate}
	case ChromaLate:
		return []Fault{Shifted}
	}
	return nil
}
