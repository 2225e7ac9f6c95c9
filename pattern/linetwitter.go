package pattern

import "backporch/colorimetry"

// LineTwitter is detail of one row: lines, wedges and letters, which twitter
// on an interlaced screen; and lines three rows apart, whose even spacing
// proves the interlace.
type LineTwitter struct {
	Level float64 // per cent
}

// Rows between lines: of twelve every line belongs to the same field, of three
// to the one and the other by turns.
const (
	apartRows = 12
	pairRows  = 3
)

// oneRow returns one-row lines between two rows, that many rows apart.
func (l sampleGrid) oneRow(from, to, top, bottom, apart int, level colorimetry.Signal) []tile {
	var tiles []tile
	for j := top; j < bottom; j += apart {
		tiles = append(tiles, l.tile(from, j, to, j+1, level))
	}
	return tiles
}

// wedges are triangles that begin with a point one row high at the left and
// grow by a row above and below at every sixth of their length.
func (l sampleGrid) wedges(from, to, top, bottom int, level colorimetry.Signal) []tile {
	const arm, every = 6, 24
	var tiles []tile
	for middle := top + arm; middle+arm < bottom; middle += every {
		for d := -arm; d <= arm; d++ {
			n := d
			if n < 0 {
				n = -n
			}
			x := from + (to-from)*n/(arm+1)
			tiles = append(tiles, l.tile(x, middle+d, to, middle+d+1, level))
		}
	}
	return tiles
}

// Scene implements Pattern.
func (p *LineTwitter) Scene(v View) (*Scene, error) {
	l := v.sampleGrid()
	level, absent := v.reach(colorimetry.Gray(p.Level / 100))
	light := ink{level, absent}
	at := l.sampleAt
	down := v.rowAtShare
	top, bottom := down(0.12), down(0.66)
	var tiles []tile
	tiles = append(tiles, l.oneRow(at(0.06), at(0.30), top, bottom, apartRows, level)...)
	tiles = append(tiles, l.oneRow(at(0.36), at(0.60), top, bottom, pairRows, level)...)
	tiles = append(tiles, l.wedges(at(0.66), at(0.94), top, bottom, level)...)
	text, wide := "TWITTER", max(1, l.n/240)
	cells := textCells(text) * wide
	first := down(0.76)
	// The same letters with rows of a field line each: they stand still.
	steady := textBox{Left: l.n/2 + at(0.03), Top: first, Wide: wide, High: v.Shown.Scan.Fields}
	for k := range 3 {
		b := textBox{Left: l.n/2 - at(0.03) - cells, Top: first + k*max(apartRows, 8*v.Shown.Scan.Fields), Wide: wide, High: 1}
		tiles = append(tiles, v.letterTiles(text, b, level, nil)...)
	}
	tiles = append(tiles, v.letterTiles("STEADY", steady, level, nil)...)
	s := still(v.tileBands(black, tiles),
		light.patch("line of one row", Line, l.left(at(0.10)), v.row(top), l.left(at(0.26)), v.row(top+1)),
		light.patch("lines 3 rows apart", Line, l.left(at(0.40)), v.row(top), l.left(at(0.56)), v.row(top+1)))
	wedges := light.patch("wedges", Line, l.left(at(0.66)), v.row(top), l.left(at(0.94)), v.row(bottom))
	wedges.To = black
	s.Patches = append(s.Patches, wedges)
	s.Patches = append(s.Patches, v.free(ink{Signal: black}, "ground", v.across(0), v.down(0), v.across(1), v.row(top))...)
	if v.Shown.Scan.Interlaced() {
		s.Notes = []string{
			"Left: every line belongs to one field and is lit at half of the field rate, so it twitters. Right: the steps of the wedges twitter at their thin ends. Letters of one row twitter, those of two rows stand still.",
			"Middle: lines three rows apart belong to the two fields by turns. Evenly spaced, the interlace is sound; by twos, nearer and farther, the fields pair; by twos without a gap and with one dark line between them, there is no interlace at all.",
		}
	} else {
		s.Notes = []string{"Without fields nothing twitters: all lines stand still and the middle ones are evenly spaced. This is how the picture looks that an interlaced raster is to be compared with."}
	}
	return s, nil
}

var lineTwitterEntries = []Entry{{
	Name: "line-twitter", Group: GroupTime,
	Use:     "interlace: twitter of one-row detail, and pairing of the lines of the two fields",
	Source:  "own design",
	Example: "backporch render line-twitter -o linetwitter.y4m",
	Still:   stillLines,
	New: func() (Pattern, []*Option) {
		p := &LineTwitter{Level: 75}
		return p, []*Option{number("level", &p.Level, 10, 100, "per cent", "level of the lines")}
	},
}}
