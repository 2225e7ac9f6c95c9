// Package timing describes the 525-line and 625-line scanning systems, the
// ways of sweeping them (interlaced, or as 240 and 288 non-interlaced lines)
// and the rasters of samples laid on them, as exact rational numbers.
//
// Figures come from SMPTE 170M-2004 and ITU-R BT.1700 (analog line and field
// structure), ITU-R BT.601-5 (13.5 MHz sampling) and CEA-861 (the placing of
// the low-line-count pictures); each row of the tables names the clause. The
// 240p and 288p scans are not defined by any of these documents: they keep
// the line of the interlaced system and repeat its field 1.
//
// The package knows nothing of color or of pictures, and imports only the
// standard library.
package timing

// A System is a row of the table of scanning systems: what the interlaced
// and the non-interlaced ways of sweeping it have in common.
type System struct {
	Name       string // "525/60" or "625/50"
	Subcarrier Ratio  // Hz
	Square     Ratio  // Hz; clock at which an interlaced sample is square: common practice
	Left       Ratio  // left edge of the analog picture, microseconds after 0H
	Right      Ratio  // right edge of it, microseconds after the same 0H
	Middle     Ratio  // its middle, in field lines; see [Line.Position]
	Height     Ratio  // its height, in field lines
	Offset     Ratio  // field lines from a line of field 1 to the one that far down in field 2
}

var (
	// System525 is 525/60. Subcarrier: SMPTE 170M clause 11.1, 5 MHz x 63/88.
	// Left and right: 170M table 2, 9.2 us after 0H to 1.5 us before the next.
	// ITU-R BT.470-6 table 1-1 gives 10.9 us of blanking instead of 10.7; it is
	// not followed here, so TV lines differ by 0.4 %. Rows: lines 21-263 and
	// 283-525, SMPTE 170M figure 6.
	System525 = &System{
		Name:       "525/60",
		Subcarrier: R(39_375_000, 11),
		Square:     R(135_000_000, 11), // 780 fH
		Left:       R(92, 10),
		Right:      R(572, 9).Sub(R(15, 10)),
		Middle:     R(567, 4),
		Height:     Int(243),
		Offset:     R(525, 2),
	}

	// System625 is 625/50. Subcarrier and blanking: ITU-R BT.1700 Annex 1
	// Part B tables 1 and 2, 10.5 us after 0H to 1.5 us before the next. Rows:
	// lines 23-310 and 336-623, EBU Tech 3280-E figure 6.
	System625 = &System{
		Name:       "625/50",
		Subcarrier: R(17_734_475, 4),
		Square:     Int(14_750_000), // 944 fH
		Left:       R(105, 10),
		Right:      Int(64).Sub(R(15, 10)),
		Middle:     R(667, 4),
		Height:     Int(288),
		Offset:     R(625, 2),
	}
)

// Lines returns the lines of an interlaced frame: 525 or 625.
func (s *System) Lines() int { return int(s.Offset.Mul(Int(2)).Num) }

// Active returns the width of the analog picture in microseconds.
func (s *System) Active() Ratio { return s.Right.Sub(s.Left) }

// perSecond is how many picture heights the beam of a 4:3 picture with square
// samples at Square covers in a second: a row of an interlaced raster is half
// a field line high, so a square sample is as wide.
func (s *System) perSecond() Ratio { return s.Square.Div(s.Height.Mul(Int(2))) }

// HeightsPerMicrosecond returns how many picture heights of a 4:3 tube the
// beam covers in a microsecond; it turns times into the x of a [Comb].
func (s *System) HeightsPerMicrosecond() Ratio { return s.perSecond().Div(Int(1_000_000)) }
