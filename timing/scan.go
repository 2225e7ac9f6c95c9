package timing

// A Scan is one way to sweep a [System].
type Scan struct {
	Name   string
	System *System
	Lines  int   // in a frame
	Fields int   // 2 when interlaced, else 1
	Cycles Ratio // of the subcarrier in a line
}

// The scans. Interlaced: SMPTE 170M clause 11 and ITU-R BT.1700 Annex 1
// Part B table 1. Non-interlaced: the field-1 structure repeated, with a
// whole number of lines, as arithmetic; CEA-861 lists 262, 263, 312 and 313.
var (
	Scan525i       = &Scan{"525i", System525, 525, 2, R(455, 2)}
	Scan262        = &Scan{"525p/262", System525, 262, 1, R(455, 2)}
	Scan263        = &Scan{"525p/263", System525, 263, 1, R(455, 2)}
	Scan262c228    = &Scan{"525p/262, 228 cycles", System525, 262, 1, Int(228)}
	Scan262c227_33 = &Scan{"525p/262, 227 1/3 cycles", System525, 262, 1, R(682, 3)}
	Scan625i       = &Scan{"625i", System625, 625, 2, R(709_379, 2500)} // 1135/4 + 1/625
	Scan312        = &Scan{"625p/312", System625, 312, 1, R(1135, 4)}   // without the 25 Hz offset
	Scan313        = &Scan{"625p/313", System625, 313, 1, R(1135, 4)}
)

// LineRate returns lines per second, Subcarrier / Cycles.
func (s *Scan) LineRate() Ratio { return s.System.Subcarrier.Div(s.Cycles) }

// FrameRate returns frames per second: of pairs of fields when interlaced.
func (s *Scan) FrameRate() Ratio { return s.LineRate().Div(Int(int64(s.Lines))) }

// FieldRate returns vertical sweeps per second.
func (s *Scan) FieldRate() Ratio { return s.FrameRate().Mul(Int(int64(s.Fields))) }

// LinePeriod returns the duration of a line in microseconds.
func (s *Scan) LinePeriod() Ratio { return Int(1_000_000).Div(s.LineRate()) }

// Interlaced reports whether two fields make a frame.
func (s *Scan) Interlaced() bool { return s.Fields == 2 }

// FieldOf returns in which field of its frame a line begins, 1 or 2. The second
// field begins in the middle of line 263 or 313.
func (s *Scan) FieldOf(line int) int {
	if s.Interlaced() && 2*line > s.Lines+1 {
		return 2
	}
	return 1
}
