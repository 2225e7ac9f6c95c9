package pattern

import (
	"fmt"
	"strings"
	"unicode"

	"backporch/colorimetry"
)

// Sizes of a letter, in cells. Letters stand a cell apart.
const (
	letterWide  = 5
	letterLines = 7
)

// letters are capitals, figures and signs in cells, by character: the least that
// can be read. What has no shape is empty.
var letters = [...][letterLines]string{
	'A':  {".###.", "#...#", "#...#", "#####", "#...#", "#...#", "#...#"},
	'B':  {"####.", "#...#", "#...#", "####.", "#...#", "#...#", "####."},
	'C':  {".###.", "#...#", "#....", "#....", "#....", "#...#", ".###."},
	'D':  {"####.", "#...#", "#...#", "#...#", "#...#", "#...#", "####."},
	'E':  {"#####", "#....", "#....", "####.", "#....", "#....", "#####"},
	'F':  {"#####", "#....", "#....", "####.", "#....", "#....", "#...."},
	'G':  {".###.", "#...#", "#....", "#.###", "#...#", "#...#", ".###."},
	'H':  {"#...#", "#...#", "#...#", "#####", "#...#", "#...#", "#...#"},
	'I':  {".###.", "..#..", "..#..", "..#..", "..#..", "..#..", ".###."},
	'J':  {"..###", "...#.", "...#.", "...#.", "...#.", "#..#.", ".##.."},
	'K':  {"#...#", "#..#.", "#.#..", "##...", "#.#..", "#..#.", "#...#"},
	'L':  {"#....", "#....", "#....", "#....", "#....", "#....", "#####"},
	'M':  {"#...#", "##.##", "#.#.#", "#.#.#", "#...#", "#...#", "#...#"},
	'N':  {"#...#", "##..#", "#.#.#", "#..##", "#...#", "#...#", "#...#"},
	'O':  {".###.", "#...#", "#...#", "#...#", "#...#", "#...#", ".###."},
	'P':  {"####.", "#...#", "#...#", "####.", "#....", "#....", "#...."},
	'Q':  {".###.", "#...#", "#...#", "#...#", "#.#.#", "#..#.", ".##.#"},
	'R':  {"####.", "#...#", "#...#", "####.", "#.#..", "#..#.", "#...#"},
	'S':  {".####", "#....", "#....", ".###.", "....#", "....#", "####."},
	'T':  {"#####", "..#..", "..#..", "..#..", "..#..", "..#..", "..#.."},
	'U':  {"#...#", "#...#", "#...#", "#...#", "#...#", "#...#", ".###."},
	'V':  {"#...#", "#...#", "#...#", "#...#", "#...#", ".#.#.", "..#.."},
	'W':  {"#...#", "#...#", "#...#", "#.#.#", "#.#.#", "##.##", "#...#"},
	'X':  {"#...#", "#...#", ".#.#.", "..#..", ".#.#.", "#...#", "#...#"},
	'Y':  {"#...#", "#...#", ".#.#.", "..#..", "..#..", "..#..", "..#.."},
	'Z':  {"#####", "....#", "...#.", "..#..", ".#...", "#....", "#####"},
	'0':  {".###.", "#...#", "#..##", "#.#.#", "##..#", "#...#", ".###."},
	'1':  {"..#..", ".##..", "..#..", "..#..", "..#..", "..#..", ".###."},
	'2':  {".###.", "#...#", "....#", "...#.", "..#..", ".#...", "#####"},
	'3':  {"#####", "...#.", "..#..", "...#.", "....#", "#...#", ".###."},
	'4':  {"...#.", "..##.", ".#.#.", "#..#.", "#####", "...#.", "...#."},
	'5':  {"#####", "#....", "####.", "....#", "....#", "#...#", ".###."},
	'6':  {"..##.", ".#...", "#....", "####.", "#...#", "#...#", ".###."},
	'7':  {"#####", "....#", "...#.", "..#..", ".#...", ".#...", ".#..."},
	'8':  {".###.", "#...#", "#...#", ".###.", "#...#", "#...#", ".###."},
	'9':  {".###.", "#...#", "#...#", ".####", "....#", "...#.", ".##.."},
	' ':  {".....", ".....", ".....", ".....", ".....", ".....", "....."},
	'-':  {".....", ".....", ".....", ".###.", ".....", ".....", "....."},
	'.':  {".....", ".....", ".....", ".....", ".....", ".##..", ".##.."},
	'/':  {"....#", "....#", "...#.", "..#..", ".#...", "#....", "#...."},
	'+':  {".....", "..#..", "..#..", "#####", "..#..", "..#..", "....."},
	':':  {".....", ".##..", ".##..", ".....", ".##..", ".##..", "....."},
	'=':  {".....", ".....", "#####", ".....", "#####", ".....", "....."},
	',':  {".....", ".....", ".....", ".....", ".##..", "..#..", ".#..."},
	'(':  {"...#.", "..#..", ".#...", ".#...", ".#...", "..#..", "...#."},
	')':  {".#...", "..#..", "...#.", "...#.", "...#.", "..#..", ".#..."},
	'%':  {"##..#", "##..#", "...#.", "..#..", ".#...", "#..##", "#..##"},
	'#':  {".#.#.", ".#.#.", "#####", ".#.#.", "#####", ".#.#.", ".#.#."},
	'_':  {".....", ".....", ".....", ".....", ".....", ".....", "#####"},
	'!':  {"..#..", "..#..", "..#..", "..#..", "..#..", ".....", "..#.."},
	'?':  {".###.", "#...#", "....#", "...#.", "..#..", ".....", "..#.."},
	'*':  {".....", "#.#.#", ".###.", "#####", ".###.", "#.#.#", "....."},
	'&':  {".##..", "#..#.", "#.#..", ".#...", "#.#.#", "#..#.", ".##.#"},
	'\'': {"..#..", "..#..", ".#...", ".....", ".....", ".....", "....."},
}

// letterOf returns the shape of a character; small letters have that of their
// capital.
func letterOf(r rune) (shape [letterLines]string, ok bool) {
	if r = unicode.ToUpper(r); r < 0 || int(r) >= len(letters) {
		return shape, false
	}
	return letters[r], letters[r][0] != ""
}

// checkLetters reports a character that has no shape.
func checkLetters(text string) error {
	for _, r := range text {
		if _, ok := letterOf(r); !ok {
			return fmt.Errorf("there is no letter for %q; use A to Z, 0 to 9, spaces and - . / + : = , ( ) %% # _ ! ? * & '", r)
		}
	}
	return nil
}

// textCells is the width of text in cells.
func textCells(text string) int { return max(0, len([]rune(text))*(letterWide+1)-1) }

// A cellRun is a run of lit cells, counted from the left end of a line.
type cellRun struct{ From, To int }

// litRuns returns the runs of # in a line of cells.
func litRuns(cells string) (runs []cellRun) {
	for n := 0; n < len(cells); n++ {
		if cells[n] != '#' {
			continue
		}
		from := n
		n += strings.IndexByte(cells[n:]+".", '.')
		runs = append(runs, cellRun{from, n})
	}
	return runs
}

// textRuns returns the lit cells of each line of text. Characters without a
// shape are blank.
func textRuns(text string) (lines [letterLines][]cellRun) {
	for i, r := range []rune(text) {
		shape, _ := letterOf(r)
		at := i * (letterWide + 1)
		for line, cells := range shape {
			for _, r := range litRuns(cells) {
				lines[line] = append(lines[line], cellRun{at + r.From, at + r.To})
			}
		}
	}
	return lines
}

// A textBox says where a text stands: cells of wide samples and high rows of
// the shown raster, the first at sample Left and row Top.
type textBox struct {
	Left, Top, Wide, High int
}

// letterTiles returns text as tiles. Rows of the picture change places as
// place says, nil for none.
func (v View) letterTiles(text string, b textBox, to colorimetry.Signal, place func(row int) int) []tile {
	l := v.sampleGrid()
	var tiles []tile
	for line, runs := range textRuns(text) {
		for row := b.Top + line*b.High; row < b.Top+(line+1)*b.High; row++ {
			at := row
			if place != nil {
				at = place(row)
			}
			for _, r := range runs {
				tiles = append(tiles, l.tile(b.Left+r.From*b.Wide, at, b.Left+r.To*b.Wide, at+1, to))
			}
		}
	}
	return tiles
}
