package colorimetry

import "math"

// The -I and +Q patches of split-field bars, SMPTE 170M clause 10 and 244M
// table 3: +I lies at 123 degrees and +Q at 33 degrees from +(B'-Y').
const (
	degreesMinusI = 303
	degreesPlusQ  = 33
	degreesPlusI  = 123
)

// amplitudeIQ is 20 IRE, half of the 40 IRE peak to peak that the patches of
// EIA-189-A and EG 1 have on the wire (an encyclopaedia article: secondary), as a part of the wire's own luma excursion. Families that have
// black above blanking have 92.5 IRE of it; so has a wire that is not known,
// the usual case at 525 lines (EG 1 is a signal with setup).
func amplitudeIQ(wire *Family) float64 {
	if wire == nil || wire.Black > 0 {
		return 20 / 92.5
	}
	return 0.2
}

func phasor(amplitude, degrees float64) Signal {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return Signal{
		CB: amplitude * cos / (ku525 * rangeB),
		CR: amplitude * sin / (kv525 * rangeR),
	}
}

// MinusI returns the -I patch, at black luma, for a wire (nil: not known).
func MinusI(wire *Family) Signal { return phasor(amplitudeIQ(wire), degreesMinusI) }

// PlusQ returns the +Q patch, at black luma, for a wire (nil: not known).
func PlusQ(wire *Family) Signal { return phasor(amplitudeIQ(wire), degreesPlusQ) }

// LegalMinusI returns -I at zero setup, raised in luma until no primary is below
// black. With its fellows: R'G'B' (0, 0.2456, 0.412545), (0.253605, 0, 0.470286) and (0.412545,
// 0.166945, 0), the pair of C. Poynton, Digital Video and HD, 2nd ed., and the
// elements of RP 219. They never depend on setup.
func LegalMinusI() Signal { return phasor(0.2, degreesMinusI).Legal() }

// LegalPlusQ is the +Q of [LegalMinusI].
func LegalPlusQ() Signal { return phasor(0.2, degreesPlusQ).Legal() }

// LegalPlusI is the +I of [LegalMinusI].
func LegalPlusI() Signal { return phasor(0.2, degreesPlusI).Legal() }
