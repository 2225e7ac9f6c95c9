package pattern

import "backporch/timing"

// middle is the middle of the analog picture, microseconds after 0H.
func (v View) middle() timing.Ratio {
	s := v.Shown.Scan.System
	return s.Left.Add(s.Right).Div(timing.Int(2))
}

// usAt returns microseconds after 0H at a place, placeOf the inverse.
func (v View) usAt(x float64) float64 {
	return v.middle().Float64() + float64(x*v.perMHz())
}
func (v View) placeOf(us float64) float64 {
	return float64((us - v.middle().Float64()) * v.Shown.Scan.System.HeightsPerMicrosecond().Float64())
}

// insertionTime returns microseconds after 0H in the units of ITU-T J.63 (1990):
// at 625 lines H/32 after 0H (Annex I), at 525 lines H/128 after a reference
// that lies 24 H/128 after 0H (Annex II).
func (v View) insertionTime(k int64) timing.Ratio {
	if v.lines625() {
		return timing.R(64*k, 32)
	}
	return timing.R(572, 9).Mul(timing.R(24+k, 128))
}

// insertion returns the place of an insertionTime.
func (v View) insertion(k int64) float64 {
	return v.insertionTime(k).Sub(v.middle()).Mul(v.Shown.Scan.System.HeightsPerMicrosecond()).Float64()
}
