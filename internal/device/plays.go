package device

import "backporch/colorimetry"

// Plays returns what a video player's decoder makes of a sample of its file,
// before the levels of its output: the sample is rounded to the codes of the
// file; still is for an R'G'B' picture, which the player turns into Y'CbCr by
// its own matrix; and codes below black and above white may be dropped.
func (p *Profile) Plays(s colorimetry.Signal, still bool) colorimetry.Signal {
	if still {
		s = colorimetry.RGB8.Signal(colorimetry.RGB8.Codes(s))
		if p.Matrix == Matrix709 {
			s = by709(s)
		}
	}
	s = p.Coding.Signal(p.Coding.Codes(s))
	if !p.SubBlack {
		s.Y = min(max(s.Y, 0), 1)
	}
	return s
}

// by709 returns the Y'CbCr that the matrix of ITU-R BT.709 (clause 3.2 and 3.3:
// memory) makes of the R'G'B' of s.
func by709(s colorimetry.Signal) colorimetry.Signal {
	const kr, kb = 0.2126, 0.0722
	r, g, b := s.RGB()
	y := g + float64(kr*(r-g)) + float64(kb*(b-g))
	return colorimetry.Signal{Y: y, CB: (b - y) / (2 * (1 - kb)), CR: (r - y) / (2 * (1 - kr))}
}
