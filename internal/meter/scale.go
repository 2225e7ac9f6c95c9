package meter

import (
	"fmt"
	"math"
)

// Levels of the signal that are read: those below black and above white are
// played, too.
const (
	leastLevel = -0.10
	mostLevel  = 1.20
)

// A Scale is how levels are counted.
type Scale struct {
	Name         string
	Black, White float64
	Unit         string
}

// Scales lists how levels may be counted; columns of levels are named like them.
func Scales() []Scale {
	return []Scale{
		percent(),
		{"ire", 0, 100, "IRE with black at 0"},
		{"fraction", 0, 1, "parts of white"},
		{"code8", 16, 235, "8-bit codes of Y' (16 black, 235 white)"},
		{"code10", 64, 940, "10-bit codes of Y' (64 black, 940 white)"},
		{"rgb8", 0, 255, "8-bit codes of full-range R'G'B' (0 black, 255 white)"},
	}
}

func percent() Scale { return Scale{"percent", 0, 100, "per cent"} }

// level returns the level that a figure stands for.
func (s Scale) level(v float64) (float64, error) {
	level := (v - s.Black) / (s.White - s.Black)
	if level < leastLevel-1e-9 || level > mostLevel+1e-9 {
		at := func(l float64) float64 {
			return math.Round(10*(s.Black+float64(l*(s.White-s.Black)))) / 10
		}
		return 0, fmt.Errorf("%g is no level in %s; use %g to %g", v, s.Unit, at(leastLevel), at(mostLevel))
	}
	return level, nil
}
