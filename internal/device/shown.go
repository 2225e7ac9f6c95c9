package device

import (
	"math"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
)

// Shown returns what the usual output carries where a picture shows the color
// that is nearest to s.
func (p *Profile) Shown(x *pixfmt.Indexed, s colorimetry.Signal) colorimetry.Signal {
	return p.ShownOn(x, s, p.Outputs[0])
}

// ShownOn is Shown of a picture whose colors were chosen for another output.
// Of two colors equally near it is the one of more luma, which is the one that
// the picture has: half of white is such a case on every device of an even
// number of levels.
func (p *Profile) ShownOn(x *pixfmt.Indexed, s colorimetry.Signal, wire *colorimetry.Family) colorimetry.Signal {
	_, best := p.IndexOn(x, s, wire)
	return best
}

// IndexOn is ShownOn with the index of the color in the picture's palette.
func (p *Profile) IndexOn(x *pixfmt.Indexed, s colorimetry.Signal, wire *colorimetry.Family) (index int, best colorimetry.Signal) {
	at, least := pointOf(wire, s), math.Inf(1)
	for i, c := range p.signals(x) {
		d := pointOf(wire, c).to(at)
		if d < least-tied || d < least+tied && c.Y > best.Y {
			index, best, least = i, c, d
		}
	}
	return index, best
}
