package pattern

import (
	"fmt"

	"backporch/colorimetry"
	"backporch/timing"
)

// HalfLine tells whether a set receives the half line between the two fields,
// which offsets their lines: lines of field 1 at the left meet lines of field 2
// at the right. Where there are no fields they meet on the same row.
type HalfLine struct {
	Level float64 // per cent
}

// halfLineRows are the rows from one line of the vernier to the next on an
// interlaced raster; few are lit, so that the picture hardly flickers.
const halfLineRows = 8

// rowsOfField returns tiles over the rows of one field, or of both.
func (l sampleGrid) rowsOfField(v View, from, to, top, bottom int, level colorimetry.Signal, take func(timing.Line) bool) []tile {
	var tiles []tile
	for j := top; j < bottom; j++ {
		if take(v.Shown.Lines[j]) {
			tiles = append(tiles, l.tile(from, j, to, j+1, level))
		}
	}
	return tiles
}

// Scene implements Pattern.
func (p *HalfLine) Scene(v View) (*Scene, error) {
	l, fields := v.sampleGrid(), v.Shown.Scan.Fields
	level, absent := v.reach(colorimetry.Gray(p.Level / 100))
	at := l.sampleAt
	down := v.rowAtShare

	// The file says what it is.
	text := fmt.Sprintf("%d ROWS, NO FIELDS", l.rows)
	if fields == 2 {
		text = fmt.Sprintf("%d ROWS, INTERLACED", l.rows)
	}
	wide := max(1, l.n/240)
	tiles := v.letterTiles(text, textBox{Left: (l.n - textCells(text)*wide) / 2, Top: down(0.10), Wide: wide, High: fields}, level, nil)

	top, bottom := down(0.20), down(0.62)
	for j := top; j < bottom; j += halfLineRows / 2 * fields {
		one, two := j, j
		if fields == 2 {
			two = j + 1
			if v.Shown.Lines[one].Field != 1 {
				one, two = two, one
			}
		}
		tiles = append(tiles, l.tile(at(0.1), one, at(0.5), one+1, level), l.tile(at(0.5), two, at(0.9), two+1, level))
	}
	low, end := down(0.72), down(0.86)
	first := func(n timing.Line) bool { return n.Field == 1 }
	tiles = append(tiles, l.rowsOfField(v, at(0.20), at(0.32), low, end, level, first)...)
	tiles = append(tiles, l.tile(at(0.44), low, at(0.56), end, level))
	tiles = append(tiles, l.rowsOfField(v, at(0.68), at(0.80), low, end, level, func(n timing.Line) bool { return fields == 1 || !first(n) })...)

	light := ink{level, absent}
	s := still(v.tileBands(black, tiles))
	s.Patches = append(v.free(light, "rows of both fields", l.left(at(0.44)), v.row(low), l.left(at(0.56)), v.row(end)),
		v.free(ink{Signal: black}, "ground", v.across(0), v.row(end), v.across(1), v.down(1))...)
	lines := light.patch("lines of the halves", Line, l.left(at(0.1)), v.row(top), l.left(at(0.9)), v.row(bottom))
	lines.To = black
	s.Patches = append(s.Patches, lines)
	for _, b := range []struct {
		name     string
		from, to float64
	}{{"rows of field 1", 0.20, 0.32}, {"rows of field 2", 0.68, 0.80}} {
		p := light.patch(b.name, Line, l.left(at(b.from)), v.row(low), l.left(at(b.to)), v.row(end))
		p.To = black
		if fields == 1 {
			p.Name += " on interlaced rasters"
			p.Kind, p.To = Level, p.Want
		}
		s.Patches = append(s.Patches, p)
	}
	s.Notes = halfLineNotes(v.Shown)
	return s, nil
}

// halfLineNotes say what to look for.
func halfLineNotes(r *timing.Raster) []string {
	const look = "Look with a magnifier where the lines of the left half meet those of the right, in the middle. "
	if r.Scan.Interlaced() {
		return []string{
			look + "A step of half the distance between scanning lines: the set receives the half line and interlaces. Straight through: it does not, and shows both fields on the same lines, as 240p or 288p.",
			"The left and the right block have the rows of one field only: they flicker, with fine lines that lie in each other's gaps; the middle one has both, and is solid.",
			"The outer blocks flicker at half of the field rate: do not stare at them, and see that nobody with photosensitive epilepsy has to.",
		}
	}
	return []string{
		look + "There are no fields: every line runs straight through, all three blocks look alike, solid and steady, and dark gaps show between their scanning lines. A step, or flicker: something behind the player interlaces.",
		"The same pattern on " + interlacedTwin(r) + " shows a step of half a line in the middle, and outer blocks that flicker.",
	}
}

// interlacedTwin names the interlaced raster of the same system.
func interlacedTwin(r *timing.Raster) string {
	if r.Scan.System == timing.System625 {
		return "576i"
	}
	return "480i"
}

var halfLineEntries = []Entry{{
	Name: "half-line", Group: GroupTime,
	Use:     "interlaced or not: tells whether the set receives the half line between fields, 480i from 240p and 576i from 288p",
	Source:  "own design; field-2 line n lies at n-262.5 or n-312.5: SMPTE 170M-2004 figure 6, ITU-R BT.1700 Part B",
	Example: "backporch render half-line --raster 240p -o halfline.png",
	Still:   stillLines,
	New: func() (Pattern, []*Option) {
		p := &HalfLine{Level: 75}
		return p, []*Option{number("level", &p.Level, 10, 100, "per cent", "level of the lines")}
	},
}}
