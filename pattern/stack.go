package pattern

import (
	"math"
	"slices"

	"backporch/colorimetry"
	"backporch/timing"
)

// A stack is rows on top of each other. Between rows of a raster it is exact;
// a sample that reaches over two of its layers, such as 4:2:0 chroma beside a
// line, gets the mean of what it covers.
type stack []layer

type layer struct {
	Top, Bottom float64
	row
}

// add returns the stack with r below it, down to bottom.
func (s stack) add(bottom float64, r row) stack {
	top := math.Inf(-1)
	if n := len(s); n > 0 {
		if s[n-1].First == r.First && slices.Equal(s[n-1].Steps, r.Steps) {
			s[n-1].Bottom = bottom
			return s
		}
		top = s[n-1].Bottom
	}
	return append(s, layer{top, bottom, r})
}

// bands returns the stack as uniform bands where every sample sees one layer
// only, and others around the cuts. Samples reach up to a row to either side
// of their middle: a chroma sample of 4:2:0 is two rows high.
func (s stack) bands(row float64) []Band {
	var list []Band
	for i, l := range s {
		if l.Bottom-l.Top > 2.5*row {
			list = append(list, l.band(l.Bottom-row))
		}
		if i+1 < len(s) {
			// The part around a cut swallows a layer too thin for a band.
			until := min(l.Bottom+row, s[i+1].Bottom)
			if n := len(list); n > 0 && !list[n-1].Uniform {
				list[n-1].Bottom = until
			} else {
				list = append(list, Band{Bottom: until, Paint: s.paint})
			}
		}
	}
	list[len(list)-1].Bottom = endless
	return list
}

// paint fills dst with the mean of the layers that y covers.
func (s stack) paint(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, t int) {
	const whole = 1 - 1e-6 // of a row: rounded places must not make a mixture
	from, to := y.Y-y.DY/2, y.Y+y.DY/2
	var part []float64
	for _, l := range s {
		share := (min(to, l.Bottom) - max(from, l.Top)) / y.DY
		switch {
		case share >= whole:
			l.paint(dst, c, x, y, t)
			return
		case share <= 1-whole:
			continue
		case part == nil:
			part = make([]float64, len(dst))
			fill(dst, 0)
		}
		l.paint(part, c, x, y, t)
		for i, p := range part {
			dst[i] += float64(share * p)
		}
	}
}
