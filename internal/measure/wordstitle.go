package measure

import "strings"

// Faults lists all faults in their order.
func Faults() []Fault {
	return []Fault{RangeSqueezed, RangeStretched, Decoded709, Encoded709, SetupAdded, SetupMissing,
		LumaGain, BlackOffset, ChromaGain, ChromaPhase, ChromaSwapped, Gamma,
		RowsSwapped, FieldsLate, ChromaFields,
		Sharpened, Bandwidth, ChromaBandwidth, ChromaLate,
		Shape, Shifted, ShiftedY,
		Quantized, BelowBlackCut, AboveWhiteCut}
}

// Title names a fault in a few words, as a heading has it.
func (f Fault) Title() string {
	switch f {
	case RangeSqueezed:
		return "limited range taken for full"
	case RangeStretched:
		return "full range taken for limited"
	case Decoded709:
		return "decoded by the matrix of BT.709"
	case Encoded709:
		return "encoded by the matrix of BT.709"
	case SetupAdded:
		return "setup added"
	case SetupMissing:
		return "setup taken off"
	case LumaGain:
		return "luma gain"
	case BlackOffset:
		return "black offset"
	case ChromaGain:
		return "chroma gain"
	case ChromaPhase:
		return "chroma phase"
	case ChromaSwapped:
		return "CB and CR exchanged"
	case Gamma:
		return "gamma altered"
	case RowsSwapped:
		return "rows exchanged in pairs"
	case FieldsLate:
		return "fields in the wrong order of time"
	case ChromaFields:
		return "chroma of the fields mixed"
	case Sharpened:
		return "sharpening"
	case Bandwidth:
		return "lack of luma bandwidth"
	case ChromaBandwidth:
		return "lack of chroma bandwidth"
	case ChromaLate:
		return "delay between luma and chroma"
	case Shape:
		return "wrong shape of the picture"
	case Shifted:
		return "shift across"
	case ShiftedY:
		return "shift down"
	case Quantized:
		return "coarse colors"
	case BelowBlackCut:
		return "levels below black lost"
	case AboveWhiteCut:
		return "levels above white lost"
	}
	return string(f)
}

// Unit returns the unit of a fault's number, "" if it has none.
func (f Fault) Unit() string {
	switch f {
	case LumaGain, BlackOffset, ChromaGain, Sharpened, Shape:
		return "%"
	case ChromaPhase:
		return "degrees"
	case Bandwidth, ChromaBandwidth:
		return "MHz"
	case ChromaLate:
		return "ns"
	case Shifted:
		return "samples"
	case ShiftedY:
		return "rows"
	case Quantized:
		return "bits"
	}
	return ""
}

// Titles lists the titles of faults, for a sentence.
func Titles(list []Fault) string {
	names := make([]string, len(list))
	for i, f := range list {
		names[i] = f.Title()
	}
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " or " + names[n-1]
	}
	return strings.Join(names, "")
}
