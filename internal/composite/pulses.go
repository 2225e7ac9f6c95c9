package composite

import (
	"backporch/timing"
)

// A pulse is what begins a half line.
type pulse int

const (
	none       pulse = iota
	lineSync         // at the beginning of a line
	equalizing       // at twice the line rate, before and after the broad ones
	broad
)

// A form is what two lines have in common whose blanking looks alike.
type form struct {
	pulses [2]pulse // in the first and the second half
	open   [2]bool  // whether picture is shown in the halves
}

// A structure is the vertical layout of a scan: pulses per half line, and the
// lines that carry picture.
type structure struct {
	scan   *timing.Scan
	before int // equalizing pulses before the broad ones, at the end of the frame or field
	first  int // pulses of each kind that begin a frame
	lead   int // of them, equalizing ones before the broad ones
}

// structureOf returns the layout of SMPTE 170M table 3 and figures 6 and 7, or
// ITU-R BT.1700 Annex 1 Part B table 3 and figure 8: six pulses of each kind
// on 525 lines, five on 625. A 525-line frame begins with its equalizing
// pulses and a 625-line frame with the broad ones.
func structureOf(s *timing.Scan) structure {
	if s.System == timing.System525 {
		return structure{scan: s, first: 6, lead: 6}
	}
	before := 5
	if s.Lines == 312 {
		// Five would begin in the middle of line 310, the last of the 288; four
		// leave it whole.
		before = 4
	}
	return structure{scan: s, first: 5, before: before}
}

// form returns the form of a line, counted from 1.
func (v structure) form(line int) (f form) {
	for half := range f.pulses {
		f.pulses[half] = v.pulse(2*(line-1) + half)
	}
	f.open = v.open(line)
	return f
}

// pulse returns what begins half line h, counted from 0.
func (v structure) pulse(h int) pulse {
	// The block of field 2 is half a frame later: 525 or 625 half lines.
	period := 2 * v.scan.Lines
	if v.scan.Interlaced() {
		period = v.scan.Lines
	}
	at := h % period
	switch {
	case at < v.lead:
		return equalizing
	case at < v.lead+v.first:
		return broad
	case at < v.lead+2*v.first:
		return equalizing
	case at >= period-v.before:
		return equalizing
	case h%2 == 0:
		return lineSync
	default:
		return none
	}
}

// open returns which halves of a line show picture: lines 21 to 263 and 283 to
// 525, or 23 to 310 and 336 to 623, with half a line at one end of each field
// (SMPTE 170M figure 6, EBU Tech 3280-E figure 6). Without interlace there are
// no half lines, and lines 21 to 262 or 23 to 310.
func (v structure) open(line int) (halves [2]bool) {
	full := [2]bool{true, true}
	first, second := [2]bool{true, false}, [2]bool{false, true}
	if !v.scan.Interlaced() {
		from, to := 21, 262
		if v.scan.System == timing.System625 {
			from, to = 23, 310
		}
		if line >= from && line <= to {
			return full
		}
		return halves
	}
	if v.scan.System == timing.System525 {
		switch {
		case line == 263:
			return first
		case line == 283:
			return second
		case line >= 21 && line <= 262, line >= 284:
			return full
		}
		return halves
	}
	switch {
	case line == 23:
		return second
	case line == 623:
		return first
	case line >= 24 && line <= 310, line >= 336 && line <= 622:
		return full
	}
	return halves
}

// pictureLines lists the lines that show picture, top to bottom.
func (v structure) pictureLines() []timing.Line {
	if v.scan.Interlaced() {
		return (&timing.Raster{Scan: v.scan}).FullFrame().Lines
	}
	var lines []timing.Line
	for n := 1; n <= v.scan.Lines; n++ {
		if v.open(n)[0] {
			lines = append(lines, timing.Line{Number: n, Field: 1})
		}
	}
	return lines
}

// burst reports whether a line of frame n carries the color burst. On 525
// lines it is absent from the nine lines around the broad pulses (SMPTE 170M
// table 2 and figure 7). On 625 lines the nine lines move so that each field
// begins and ends with the burst of +135 degrees: 623 to 6, 310 to 318, 622 to
// 5 and 311 to 319 in turn (ITU-R BT.1700 Annex 1 Part B figure 8).
func (v structure) burst(n, line int) bool {
	if v.scan.System == timing.System525 {
		return !(line <= 9 || v.scan.Interlaced() && line >= 264 && line <= 272)
	}
	odd, next := v.odd(n), v.odd(n+1)
	head, tail := 6, v.scan.Lines-2
	if odd {
		head = 5
	}
	if next {
		tail--
	}
	if line <= head || line >= tail {
		return false
	}
	if v.scan.Interlaced() {
		from := 310
		if odd {
			from++
		}
		return line < from || line > from+8
	}
	return true
}

// odd reports whether an odd number of lines went before frame n.
func (v structure) odd(n int) bool { return n%2 != 0 && v.scan.Lines%2 != 0 }

// vSign returns the sign of V on a line of frame n of a 625-line scan: + on
// the odd lines of fields 1, 2, 5 and 6 and the even ones of the others
// (ITU-R BT.470-6 table 2 item 2.16).
func (v structure) vSign(n, line int) float64 {
	if odd := line%2 != 0; odd != v.odd(n) {
		return 1
	}
	return -1
}
