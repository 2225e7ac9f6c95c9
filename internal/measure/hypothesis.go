package measure

import "slices"

// A parameter is a fault of level that can be more or less.
type parameter int

const (
	gainParameter parameter = iota
	offsetParameter
	colorParameter
	phaseParameter
	gammaParameter
	numParameters
)

// A hypothesis is a set of faults of level, and how well it explains the data.
type hypothesis struct {
	chain
	free  []parameter
	uncut bool // nothing is taken to be cut: the beginning of a fit

	cost  float64                // -2 ln of the probability, but for a constant
	chi2  float64                // misfit alone, in variances
	value [numParameters]float64 // as a Finding has it: per cent, per cent, degrees, exponent
	sigma [numParameters]float64
}

// levelFaults are the faults that hypotheses are made of.
func levelFaults() []Fault {
	return []Fault{RangeSqueezed, RangeStretched, Decoded709, Encoded709, SetupAdded, SetupMissing,
		LumaGain, BlackOffset, ChromaGain, ChromaPhase, ChromaSwapped, Gamma, Quantized}
}

func (p parameter) fault() Fault {
	return [...]Fault{LumaGain, BlackOffset, ChromaGain, ChromaPhase, Gamma}[p]
}

// of returns the field of the chain, and spread and unit: the standard deviation
// of the field where the fault is present, as far as anybody knows beforehand
// (common practice), and what to multiply by to have what a Finding says.
func (p parameter) of(k *chain) (field *float64, none, spread, unit float64) {
	switch p {
	case gainParameter:
		return &k.gain, 1, 0.08, 100
	case offsetParameter:
		return &k.offset, 0, 0.03, 100
	case colorParameter:
		return &k.color, 1, 0.15, 100
	case phaseParameter:
		return &k.phase, 0, 10, 1
	default:
		return &k.gamma, 1, 0.15, 1
	}
}

// matters is the least deviation, in the unit of a Finding, that is worth a
// word: below it any player is as good as another. Common practice; luma 0.3 %
// is less than a code at white.
func (p parameter) matters() float64 {
	return [...]float64{0.3, 0.3, 0.6, 0.3, 0.008}[p]
}

// bounds of what is still that fault, in fields of a chain.
func (p parameter) bounds() (least, most float64) {
	switch p {
	case gainParameter:
		return 0.6, 1.5
	case offsetParameter:
		return -0.15, 0.15
	case colorParameter:
		return 0.2, 2
	case phaseParameter:
		return -60, 60
	default:
		return 0.6, 1.7
	}
}

// has reports whether the hypothesis contains a fault of level.
func (h *hypothesis) has(f Fault) bool {
	switch f {
	case RangeSqueezed:
		return h.span > 0
	case RangeStretched:
		return h.span < 0
	case Decoded709:
		return h.matrix > 0
	case Encoded709:
		return h.matrix < 0
	case SetupAdded:
		return h.setup > 0
	case SetupMissing:
		return h.setup < 0
	case ChromaSwapped:
		return h.swap
	case Quantized:
		return h.bits != 0
	}
	return slices.ContainsFunc(h.free, func(p parameter) bool { return p.fault() == f })
}

// number returns the number of a fault, if it has one.
func (h *hypothesis) number(f Fault) (value, sigma float64, ok bool) {
	if f == Quantized && h.bits != 0 {
		return h.bits.value(), 0, true
	}
	for _, p := range h.free {
		if p.fault() == f {
			return h.value[p], h.sigma[p], true
		}
	}
	return 0, 0, false
}

// faults counts the faults of a hypothesis.
func (h *hypothesis) faults() int {
	n := len(h.free)
	for _, there := range []bool{h.swap, h.matrix != 0, h.span != 0, h.setup != 0, h.bits != 0} {
		if there {
			n++
		}
	}
	return n
}

// colorOnly reports a fault that grays do not show.
func (h *hypothesis) colorOnly() bool {
	return h.swap || h.matrix != 0 || h.rgb || slices.Contains(h.free, colorParameter) || slices.Contains(h.free, phaseParameter)
}

// hypotheses lists all sets of exactly n faults, with colors of so many bits: if
// that is not 0, it is one of the n. Without color in the data, what changes
// color alone is left out.
func hypotheses(n int, coarse bits, colored bool) []*hypothesis {
	var out []*hypothesis
	for free := range 1 << numParameters {
		var list []parameter
		for p := range numParameters {
			if free>>p&1 != 0 {
				list = append(list, p)
			}
		}
		const swaps, matrices, spans, setups = 2, 3, 5, 3
		for kind := range swaps * matrices * spans * setups {
			h := &hypothesis{chain: plain(), free: list}
			h.bits = coarse
			h.swap = kind%swaps != 0
			kind /= swaps
			h.matrix = kind%matrices - 1
			kind /= matrices
			h.span = [spans]int{0, 1, 1, -1, -1}[kind%spans]
			h.rgb = kind%spans == 2 || kind%spans == 4
			h.setup = kind/spans - 1
			if h.faults() == n && (colored || !h.colorOnly()) {
				out = append(out, h)
			}
		}
	}
	return out
}
