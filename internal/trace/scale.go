package trace

import (
	"fmt"
	"math"
	"strings"
)

// A scale is how much higher than nominal one kind of level is.
type scale struct {
	name string
	by   float64
}

// How near a scale must be to one that is named, and all kinds of level to each
// other, in parts (common practice: more than a source is off, and far less
// than the scales are apart).
const near = 0.08

// A Termination is how a cable ends. One that ends nowhere carries the
// open-circuit voltage, twice the nominal; two loads side by side make two thirds
// of it.
type Termination int

// The terminations.
const (
	Once Termination = iota
	Open
	Twice
	numTerminations
)

var terminationNames = [numTerminations]string{"75", "none", "double"}

func (t Termination) String() string {
	if t < 0 || t >= numTerminations {
		return fmt.Sprintf("Termination(%d)", int(t))
	}
	return terminationNames[t]
}

// TerminationNames lists the spellings of [ParseTermination].
func TerminationNames() []string { return terminationNames[:] }

// ParseTermination reads 75, none or double.
func ParseTermination(s string) (Termination, error) {
	for i, n := range terminationNames {
		if n == s {
			return Termination(i), nil
		}
	}
	return 0, fmt.Errorf("unknown termination %q; use %s", s, strings.Join(terminationNames[:], ", "))
}

// Terminations and settings that change all levels alike.
var (
	terminations = [numTerminations]struct {
		by   float64
		name string
		text string
	}{
		{1, "terminated", "Levels are nominal: the cable ends in 75 ohm once, and was said not to."},
		{2, "not terminated", "All levels are twice as high: the cable does not end in 75 ohm. Put a 75 ohm terminator or the monitor's own on the end, or on the scope's input, and measure again."},
		{2.0 / 3, "terminated twice", "All levels are two thirds: the cable ends in 75 ohm twice. Switch one of them off, on the monitor that is looped through or at the scope, and measure again."},
	}
	settings = []struct {
		by   float64
		name string
		text string
	}{
		{1, "", ""},
		{10, "probe", "All levels are ten times as high: the scope is set for a probe of 10:1, and there is none of it. Set its channel to 1:1, or say --probe 0.1."},
		{0.1, "probe", "All levels are a tenth: there is a probe of 10:1, and the scope is set for 1:1. Set its channel to 10:1, or say --probe 10."},
		{1000, "unit", "All levels are a thousand times as high: the numbers are millivolts, and are taken for volts. Say --scope-unit mV."},
		{0.001, "unit", "All levels are a thousandth: the numbers are volts, and are taken for millivolts. Say --scope-unit V."},
	}
)

// named finds the termination and the setting that all scales agree on, and
// what of it was not expected. factor is what levels are to be divided by. One
// kind of level alone says nothing.
func named(scales []scale, expected Termination) (factor float64, faults []Fault) {
	if len(scales) < 2 {
		return terminations[expected].by, nil
	}
	for _, set := range settings {
		for i, end := range terminations {
			by := set.by * end.by
			agreed := true
			for _, s := range scales {
				agreed = agreed && math.Abs(s.by/by-1) <= near
			}
			if !agreed {
				continue
			}
			text := agreement(scales)
			if Termination(i) != expected {
				faults = append(faults, Fault{end.name, end.text + text, false})
			}
			if set.name != "" {
				faults = append(faults, Fault{set.name, set.text + text, true})
			}
			return by, faults
		}
	}
	return terminations[expected].by, nil
}

// agreement says what the scales were.
func agreement(scales []scale) string {
	var parts []string
	for _, s := range scales {
		parts = append(parts, fmt.Sprintf("%s x %.3g", s.name, s.by))
	}
	return " (" + strings.Join(parts, ", ") + ")"
}

// disagreement says that levels are far off, but not all alike, so that nothing
// common is the cause.
func disagreement(scales []scale) string {
	if len(scales) < 2 {
		return ""
	}
	low, high := math.Inf(1), 0.0
	for _, s := range scales {
		low, high = min(low, s.by), max(high, s.by)
	}
	far := low < 0.8 || high > 1.25
	if !far || high/low < 1+2*near {
		return ""
	}
	return "Levels are off, and not all alike" + agreement(scales) + ": that is no termination, which changes all of them by the same factor."
}
