package geometry

import (
	"errors"
	"fmt"
)

// A Size is the size of the picture, or of a box in it, at a mean level of the
// picture. A direction that was not read is 0.
type Size struct {
	Level         float64 // 0 dark to 1 white
	Width, Height float64 // mm
}

// A Regulation is how much the picture grows from its darkest to its brightest
// level, per cent of the size at the darkest: the anode voltage sinks under
// beam current, and a beam that flies slower is turned farther.
type Regulation struct {
	Dark, Bright            float64 // levels
	Width, Height           float64
	HasWidth, HasHeight     bool
	WidthSigma, HeightSigma float64 // from the reading error
	Controls                string
}

// Regulate compares the sizes at the lowest and the highest level. reading is
// the standard error of one end of a size, mm; 0 for ReadingError.
func Regulate(sizes []Size, reading float64) (*Regulation, error) {
	if reading == 0 {
		reading = ReadingError
	}
	if len(sizes) < 2 {
		return nil, errors.New("the change of size needs two levels: read the size with a dark and with a bright picture")
	}
	lo, hi := sizes[0], sizes[0]
	for _, s := range sizes {
		if !isReal(s.Level) || s.Level < 0 || s.Level > 1.2 {
			return nil, fmt.Errorf("a level of %g %% is not between black and white", 100*s.Level)
		}
		if !(s.Width >= 0 && s.Width < 5000) || !(s.Height >= 0 && s.Height < 5000) {
			return nil, fmt.Errorf("a size of %g by %g mm at %g %%: give mm on the glass", s.Width, s.Height, 100*s.Level)
		}
		if s.Level < lo.Level {
			lo = s
		}
		if s.Level > hi.Level {
			hi = s
		}
	}
	if hi.Level == lo.Level {
		return nil, fmt.Errorf("all sizes were read at %g %%: the change of size needs a dark and a bright picture", 100*lo.Level)
	}
	r := &Regulation{Dark: lo.Level, Bright: hi.Level,
		Controls: "regulation of the anode voltage and its load: aged capacitors of the supply, the rectifier or the bleeder of the anode voltage, the beam limiter; compensation of width by beam current where the set has it"}
	// Each size has two ends, and two sizes are compared.
	r.Width, r.WidthSigma, r.HasWidth = growth(lo.Width, hi.Width, reading)
	r.Height, r.HeightSigma, r.HasHeight = growth(lo.Height, hi.Height, reading)
	if !r.HasWidth && !r.HasHeight {
		return nil, errors.New("no direction was read at both levels: read width or height with the dark and with the bright picture")
	}
	return r, nil
}

func growth(dark, bright, reading float64) (percent, sigma float64, ok bool) {
	if dark <= 0 || bright <= 0 {
		return 0, 0, false
	}
	return 100 * (bright - dark) / dark, 100 * 2 * reading / dark, true
}
