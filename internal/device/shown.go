package device

import (
	"math"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
)

// IndexOn returns the color of a picture, chosen for that output, that is
// nearest to s: its index in the picture's palette, and what the output carries
// of it. Of two colors equally near it is the one of more luma, which is the one
// that the picture has: half of white is such a case on every device of an even
// number of levels.
func (p *Profile) IndexOn(x *pixfmt.Indexed, s colorimetry.Signal, wire *colorimetry.Family) (index int, emitted colorimetry.Signal) {
	colors := p.signals(x)
	index = nearestOf(colors, s, wire)
	return index, colors[index]
}

// nearestOf is the index of [Profile.IndexOn] among the signals of a palette.
func nearestOf(colors []colorimetry.Signal, s colorimetry.Signal, wire *colorimetry.Family) (index int) {
	at, least := pointOf(wire, s), math.Inf(1)
	for i, c := range colors {
		d := pointOf(wire, c).to(at)
		if d < least-tied || d < least+tied && c.Y > colors[index].Y {
			index, least = i, d
		}
	}
	return index
}
