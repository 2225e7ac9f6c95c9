// Package blueonly turns what the blue gun shows of 75 % bars into errors of
// chroma gain and phase, and says which way to turn the controls.
package blueonly

// A Reading is the light of the four bars that have blue, any unit, with the
// blue gun alone.
type Reading struct{ Gray, Cyan, Magenta, Blue float64 }

// A Result is errors of chroma.
type Result struct {
	Gain  float64 // 1 is right
	Phase float64 // degrees; positive: vectors turned counterclockwise
	Words []string
}

// Solve computes gain and phase from the light of the bars on a tube of that
// gamma.
func Solve(r Reading, gamma float64) (*Result, error) { return &Result{}, nil }
