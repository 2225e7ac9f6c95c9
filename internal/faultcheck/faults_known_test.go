package faultcheck

import (
	"testing"

	"backporch/internal/measure"
)

// A knownWrong is a case of captures with faults that is not right yet, or that
// cannot be.
type knownWrong struct {
	pattern string
	fault   measure.Fault
	step    int // strength, 0 to 2; -1: all
	reason  string
}

// knownWrongs lists them. The numbers are those found where the fault was played.
func knownWrongs() []knownWrong {
	const (
		onlyBlack = "only black is measured, which lies at 5.94 %: said is range-squeezed (91 %), for which it is 6.27 %, and black-offset is not named beside it"
		resampled = "a picture resampled by a Lanczos filter is said to lack bandwidth"
	)
	return []knownWrong{
		{"circles", measure.BlackOffset, 2, onlyBlack},
		{"field-order", measure.BlackOffset, 2, onlyBlack},
		{"line-twitter", measure.BlackOffset, 2, onlyBlack},
		{"pluge", measure.BlackOffset, 2, "5.93 at 85 %, setup-added at 32 %"},
		{"circles", measure.Bandwidth, 0, "3.90 MHz for 3.75"},
		{"vectors", measure.ChromaGain, 1, "-12.3 at 78 %"},
		{"tv-lines", measure.Shifted, 1, "on 576i found at 86 %"},
		{"circles", measure.Shape, -1, resampled + ", at 4.67 and 4.91 MHz"},
		{"line-pairs", measure.Shape, -1, resampled + ", at 4.37 MHz, or to be sharpened by 6 to 8 %"},
		{"safe-area", measure.Shape, -1, resampled + ", at 4.91 and 5.22 MHz"},
		{"dots", measure.ChromaFields, 1, "nothing is found of dots in color; only the sharpness of luma is doubted (28 to 54 %)"},
		{"one-to-one", measure.Bandwidth, blurred, "the place moves by 0.34 rows"},
	}
}

// blurred is a strength of its own: blur of both directions with a deviation of
// 1.2 samples.
const blurred = 3

// skipKnown ends a case that is known to be wrong.
func skipKnown(t *testing.T, pattern string, f measure.Fault, step int) {
	for _, k := range knownWrongs() {
		if k.pattern == pattern && k.fault == f && (k.step == -1 || k.step == step) {
			t.Skip("not right yet: " + k.reason)
		}
	}
}
