package device

import (
	"sort"

	"backporch/colorimetry"
)

// ditherLevels is how many thresholds there are, and the size of the square
// after which they repeat.
const ditherLevels = 17

// threshold returns one of 17 thresholds, above 0 and below 1, for a pixel. They
// lie on an oblique lattice, our own choice: 7 and 4 are such that neighbors
// across, down and along both diagonals differ by 3 to 7 of the 17.
func threshold(x, y int) float64 {
	return (float64((7*x+4*y)%ditherLevels) + 0.5) / ditherLevels
}

// dithered returns the color of a pixel so that a flat area has the mean of s as
// nearly as the colors allow. All channels share the threshold: gray stays gray.
func (l *palette) dithered(s colorimetry.Signal, x, y int) colorID {
	t := threshold(x, y)
	if l.inks != nil {
		s.Y += float64((t - 0.5) * l.step())
		return l.nearest(s)
	}
	r, g, b := s.RGB()
	var c [3]int
	for i, v := range [3]float64{r, g, b} {
		levels := l.levels[i]
		n := sort.SearchFloat64s(levels, v+1e-12) // the first above v
		switch {
		case n == 0:
			c[i] = 0
		case n == len(levels):
			c[i] = n - 1
		case v-levels[n-1] > float64(t*(levels[n]-levels[n-1])):
			c[i] = n
		default:
			c[i] = n - 1
		}
	}
	return idOf(c)
}

// step is the mean distance of the lumas of a fixed palette, 0 to 1 being black
// to white.
func (l *palette) step() float64 {
	lumas := make(map[float64]bool)
	low, high := l.color.Fixed[0].Signal.Y, l.color.Fixed[0].Signal.Y
	for _, ink := range l.color.Fixed {
		lumas[ink.Signal.Y] = true
		low, high = min(low, ink.Signal.Y), max(high, ink.Signal.Y)
	}
	return (high - low) / float64(max(1, len(lumas)-1))
}
