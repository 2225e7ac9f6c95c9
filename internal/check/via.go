package check

import (
	"fmt"
	"math"

	"backporch/internal/measure"
)

// A Via is what lay between the source and the file.
type Via struct {
	None        bool                 // nothing analog: a decoded file, a screenshot
	Calibration *measure.Calibration // of the capture device; nil and not None: nothing is known of it
	Name        string               // file of the calibration
	Doubts      []string             // why the calibration may not fit
}

// Known reports whether what is measured can be laid at the source's door.
func (v *Via) Known() bool { return v.None || v.Calibration != nil }

// Words says it in a few.
func (v *Via) Words() string {
	switch {
	case v.None:
		return "none: the file is the source's own picture"
	case v.Calibration != nil:
		return v.Name + ", its errors taken out"
	}
	return "not known: player and capture together"
}

// left says what the calibration leaves uncertain.
func (v *Via) left() string {
	c := v.Calibration
	if c == nil {
		return ""
	}
	s := fmt.Sprintf("The calibration leaves luma uncertain by %.2f IRE at black and %.2f IRE at white", 100*c.SigmaLuma(0), 100*c.SigmaLuma(1))
	gain, sigma := c.ChromaGain()
	if math.IsNaN(gain) {
		return s + ", and knows nothing of color (one standard deviation)."
	}
	_, phase := c.Phase()
	return s + fmt.Sprintf(", chroma gain by %.2f %% and phase by %.2f degrees (one standard deviation).", 100*sigma/gain, phase)
}
