package device

import "backporch/timing"

// The lines of a field that carry no picture: the equalizing and the broad
// pulses. SMPTE 170M-2004 table 3 and ITU-R BT.1700 Annex 1 part B table 3.
const (
	pulses525 = 9
	pulses625 = 5
)

// check finds where clocks and picture contradict each other or the system, and
// does the arithmetic.
func (c *Clocks) check(s *timing.System, v Picture) error {
	if c.Master.Cmp(timing.Int(0)) <= 0 || c.Divider < 1 || len(c.Lines) == 0 {
		return fault("line", "a master clock of %s Hz, %d of them to a pixel, %d kinds of line: all three must be above 0", c.Master, c.Divider, len(c.Lines))
	}
	shortest := c.Lines[0]
	for _, n := range c.Lines {
		if n < 1 {
			return fault("line", "a line of %d master clocks; it takes at least one", n)
		}
		if n%c.Divider != 0 {
			whole := n / c.Divider
			return fault("line", "a line of %d master clocks, %d to a pixel, has %d pixels and %d/%d of one; a line must have a whole number of pixels: %d clocks make %d, %d make %d",
				n, c.Divider, whole, n%c.Divider, c.Divider, whole*c.Divider, whole, (whole+1)*c.Divider, whole+1)
		}
		shortest = min(shortest, n)
	}
	return c.checkPicture(s, v, shortest/c.Divider)
}

// checkPicture holds the picture to a line of so many pixels and to the lines
// of a frame.
func (c *Clocks) checkPicture(s *timing.System, v Picture, pixels int64) error {
	if v.Width < 1 || v.Rows < 1 {
		return fault("width", "a picture of %d by %d pixels has none", v.Width, v.Rows)
	}
	if v.Fields == 2 && v.Lines != s.Lines() {
		return fault("lines", "%d lines in an interlaced frame of %s; it has %d", v.Lines, s.Name, s.Lines())
	}
	if low, high := s.Lines()/2-7, s.Lines()/2+7; v.Fields == 1 && (v.Lines < low || v.Lines > high) {
		return fault("lines", "%d lines in a field of %s; a set locks to %d to %d of them", v.Lines, s.Name, low, high)
	}
	end := v.Begins.Add(timing.Int(int64(v.Width)))
	if v.Begins.Cmp(timing.Int(0)) < 0 {
		return fault("begins", "the first pixel begins %s pixels after 0H, which is before it", v.Begins)
	}
	if end.Cmp(timing.Int(pixels)) > 0 {
		return fault("width", "the picture begins %s pixels after 0H and is %d wide, which makes %s; a line has %d pixels",
			Mixed(v.Begins), v.Width, Mixed(end), pixels)
	}
	pulses := pulses525
	if s == timing.System625 {
		pulses = pulses625
	}
	last, lines := v.First+v.Rows-1, v.Lines/v.Fields
	if v.First <= pulses {
		return fault("first_line", "the first row on line %d; lines 1 to %d of %s hold the vertical sync", v.First, pulses, s.Name)
	}
	if last > lines {
		return fault("rows", "%d rows from line %d on end on line %d; a field has %d lines", v.Rows, v.First, last, lines)
	}
	// A set's line oscillator is pulled in over a few per cent: common practice.
	want := interlaced(s).LinePeriod()
	us := c.meanLine(v.Lines).Mul(timing.Int(1_000_000)).Div(c.Master)
	if off := us.Float64()/want.Float64() - 1; off > 0.03 || off < -0.03 {
		return fault("line", "a line of %s master clocks at %.6g MHz lasts %.3f us; one of %s lasts %.3f us, and a set follows 3 %% at most",
			Mixed(c.meanLine(v.Lines)), c.Master.Float64()/1e6, us.Float64(), s.Name, want.Float64())
	}
	return nil
}
