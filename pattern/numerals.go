package pattern

import (
	"backporch/colorimetry"
)

// numerals are the digits and the point of the scales, in cells of one field
// line: the least that a 240-line picture can show, and steady on interlaced
// ones, where a field line is a row of each field. It is by character.
var numerals = [...][numeralLines]string{
	'0': {".##.", "#..#", "#..#", "#..#", "#..#", "#..#", ".##."},
	'1': {".#.", "##.", ".#.", ".#.", ".#.", ".#.", "###"},
	'2': {".##.", "#..#", "...#", "..#.", ".#..", "#...", "####"},
	'3': {"###.", "...#", "...#", ".##.", "...#", "...#", "###."},
	'4': {"...#", "..##", ".#.#", "#..#", "####", "...#", "...#"},
	'5': {"####", "#...", "#...", "###.", "...#", "...#", "###."},
	'6': {".##.", "#...", "#...", "###.", "#..#", "#..#", ".##."},
	'7': {"####", "...#", "...#", "..#.", "..#.", ".#..", ".#.."},
	'8': {".##.", "#..#", "#..#", ".##.", "#..#", "#..#", ".##."},
	'9': {".##.", "#..#", "#..#", ".###", "...#", "...#", ".##."},
	'.': {".", ".", ".", ".", ".", ".", "#"},
}

// numeralLines is the height of a digit in field lines.
const numeralLines = 7

// numeralCell is the width of a cell: square at 4:3, but not below what a
// shaped picture shows at its full level; whole samples where edges are hard.
func (v View) numeralCell() float64 {
	x0, x1 := v.upright(0, max(v.fieldLine(), v.ns(minLineWidth)))
	return x1 - x0
}

// fieldLine is the height of a field line in picture heights.
func (v View) fieldLine() float64 { return 1 / v.Shown.Scan.System.Height.Float64() }

// numeral returns the digits of text with the upper left corner near x, y. It
// panics on text that is not of the digits in numerals.
func (v View) numeral(text string, x, y float64, to colorimetry.Signal) []tile {
	var tiles []tile
	w := v.numeralCell()
	first := v.nearestRow(v.nudge(y))
	left, _ := v.upright(x+w/2, w) // on a sample where edges are hard
	for _, digit := range text {
		if int(digit) >= len(numerals) || numerals[digit][0] == "" {
			panic("pattern: no numeral " + string(digit))
		}
		shape := numerals[digit]
		for line, cells := range shape {
			top := v.row(first + line*v.Shown.Scan.Fields)
			bottom := v.row(first + (line+1)*v.Shown.Scan.Fields)
			for _, r := range litRuns(cells) {
				tiles = append(tiles, tile{left + float64(float64(r.From)*w), top, left + float64(float64(r.To)*w), bottom, to})
			}
		}
		left += float64(float64(len(shape[0])+1) * w)
	}
	return tiles
}

// numeralAbout returns the digits of text with their middle near x, from y down.
func (v View) numeralAbout(text string, x, y float64, to colorimetry.Signal) []tile {
	return v.numeral(text, x-float64(float64(numeralWidth(text))*v.numeralCell()/2), y, to)
}

// numeralWidth returns the width of text in cells.
func numeralWidth(text string) int {
	n := -1
	for _, digit := range text {
		n += len(numerals[digit][0]) + 1
	}
	return n
}
