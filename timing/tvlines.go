package timing

// TVLines returns how many TV lines a frequency in MHz can show: light plus
// dark lines within a width equal to the picture height of a screen of the
// aspect given (4/3 or 16/9),
//
//	TVL = 2 f T / A
//
// T being the analog active line in microseconds (common practice; with the
// 52.8556 us of SMPTE 170M table 2 for 525/60, 52 us for 625/50).
func (s *System) TVLines(mhz float64, aspect Ratio) float64 {
	return 2 * mhz * s.Active().Div(aspect).Float64()
}

// Frequency is the inverse of TVLines, in MHz.
func (s *System) Frequency(tvLines float64, aspect Ratio) float64 {
	return tvLines * aspect.Div(s.Active()).Float64() / 2
}

// Nyquist returns half the clock, in MHz: no finer detail can be stored.
func (r *Raster) Nyquist() Ratio { return r.Clock.Div(Int(2_000_000)) }
