package device

import (
	"math"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
)

// Shown returns what the output carries where a picture shows the color that
// is nearest to s.
func (p *Profile) Shown(x *pixfmt.Indexed, s colorimetry.Signal) colorimetry.Signal {
	best, least := colorimetry.Signal{}, math.Inf(1)
	for _, c := range p.signals(x) {
		if d := distance(p.Outputs[0], c, s); d < least {
			best, least = c, d
		}
	}
	return best
}
