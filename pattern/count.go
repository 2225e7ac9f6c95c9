package pattern

import (
	"fmt"
	"math"
	"math/bits"
)

// Count shows the number of each frame in figures and as a row of blocks that
// a program can read, and in each field the number of the field.
type Count struct {
	Frames int // until it counts from 0 again
}

// The code is countBlocks blocks from left to right, a sixteenth of the shown
// width each, the first and the last sixteenth free: white and black to begin
// with, then ten bits of the frame's number, the highest first, one that is set
// in field 2, and one that makes the number of set ones among these eleven even.
// Every field has its own.
const (
	countSlots  = 16
	countBits   = 10
	countBlocks = 2 + countBits + 2
)

// codeBlocks returns the blocks of a frame and field.
func codeBlocks(frame, field int) (set [countBlocks]bool) {
	set[0] = true
	word := frame<<1 | (field - 1)
	for i := range countBits + 1 {
		set[2+i] = word>>(countBits-i)&1 == 1
	}
	set[countBlocks-1] = bits.OnesCount(uint(word))%2 == 1
	return set
}

// changing is a patch that is white in some frames and black in others.
func changing(name string, x0, y0, x1, y1 float64) Patch {
	return Patch{Name: name, Kind: Changing, X0: x0, Y0: y0, X1: x1, Y1: y1, Want: white, To: black}
}

// figures returns one line of big figures, wide samples a cell.
func (l sampleGrid) figures(v View, text string, line, left, wide int) []tile {
	var tiles []tile
	for _, r := range textRuns(text)[line] {
		tiles = append(tiles, tile{X0: l.left(left + r.From*wide), X1: l.left(left + r.To*wide), To: white})
	}
	return tiles
}

// Scene implements Pattern.
func (p *Count) Scene(v View) (*Scene, error) {
	l, fields := v.sampleGrid(), v.Shown.Scan.Fields
	pair := 2 * fields
	snap := func(rows float64) int { return max(pair, v.wholeRows(rows)) }
	big, small := snap(0.42*float64(l.rows)/letterLines), snap(0.14*float64(l.rows)/letterLines)
	// A cell is about as wide as high on a 4:3 tube.
	cell := func(high int) int {
		return max(1, int(math.Round(0.8*float64(high)*l.dy/l.dx/v.stretch())))
	}
	when := func(t int) (frame, field int) { return t / fields % p.Frames, t%fields + 1 }
	number := func(frame int) string { return fmt.Sprintf("%03d", frame) }

	var bands []Band
	add := func(until int, of func(t int) []tile) {
		bands = append(bands, timed(v.row(until), func(t int) row { return v.tileRow(black, of(t)) }))
	}
	top := snap(0.12 * float64(l.rows))
	bands = append(bands, row{First: black}.band(v.row(top)))
	wide := min(cell(big), l.n*9/10/textCells("000"))
	figuresLeft, figuresEnd := (l.n-textCells("000")*wide)/2, top+letterLines*big
	for line := range letterLines {
		add(top+(line+1)*big, func(t int) []tile {
			frame, _ := when(t)
			return l.figures(v, number(frame), line, figuresLeft, wide)
		})
	}
	// The number of the field: 1 left of the middle and 2 right of it.
	next := figuresEnd + snap(0.03*float64(l.rows))
	bands = append(bands, row{First: black}.band(v.row(next)))
	w := cell(small)
	if fields == 2 {
		for line := range letterLines {
			add(next+(line+1)*small, func(t int) []tile {
				_, field := when(t)
				left := l.n/2 - 8*w
				if field == 2 {
					left = l.n/2 + 3*w
				}
				return l.figures(v, fmt.Sprint(field), line, left, w)
			})
		}
		next += letterLines * small
	}
	codeTop, codeEnd := max(next+pair, snap(0.78*float64(l.rows))), snap(0.92*float64(l.rows))
	bands = append(bands, row{First: black}.band(v.row(codeTop)))
	slot := func(k int) float64 { return l.left(l.n * k / countSlots) }
	add(codeEnd, func(t int) (tiles []tile) {
		for i, set := range codeBlocks(when(t)) {
			if set {
				tiles = append(tiles, tile{X0: slot(1 + i), X1: slot(2 + i), To: white})
			}
		}
		return tiles
	})
	bands = append(bands, row{First: black}.band(endless))
	s := &Scene{Bands: bands, Period: p.Frames, Patches: []Patch{
		area("code begins, white", slot(1), v.row(codeTop), slot(2), v.row(codeEnd), white, ""),
		area("code begins, black", slot(2), v.row(codeTop), slot(3), v.row(codeEnd), black, ""),
		changing("code", slot(3), v.row(codeTop), slot(1+countBlocks), v.row(codeEnd)),
		changing("number of the frame", l.left(figuresLeft), v.row(top), l.left(figuresLeft+textCells("000")*wide), v.row(figuresEnd)),
	}}
	if fields == 2 {
		s.Patches = append(s.Patches, changing("number of the field", l.left(l.n/2-8*w), v.row(next-letterLines*small), l.left(l.n/2+8*w), v.row(next)))
	}
	s.Notes = p.notes(v)
	return s, nil
}

func (p *Count) notes(v View) []string {
	fields := v.Shown.Scan.Fields
	notes := []string{fmt.Sprintf("Frames count from 0 to %d and begin again after %.3f s. A number that is missing was dropped, one that stays twice as long was repeated; a camera or a capture shows it.",
		p.Frames-1, v.fieldSeconds(p.Frames*fields))}
	if fields == 2 {
		notes = append(notes, "The small 1 is drawn in the rows of field 1 only and the 2 in those of field 2: where one is missing, or both are solid, a field was dropped or made out of the other.")
	}
	return append(notes, "The blocks below, a sixteenth of the width each, from the second one: white, black, ten bits of the frame's number with the highest first, a bit that is set in field 2, and one that makes the number of set ones among these eleven even.")
}

var countEntries = []Entry{{
	Name: "count", Group: GroupTime,
	Use:     "dropped and repeated frames and fields: every frame shows its number, to the eye and to a program",
	Source:  "own design",
	Example: "backporch render count --frames 300 -o count.y4m",
	New: func() (Pattern, []*Option) {
		p := &Count{Frames: 10}
		return p, []*Option{whole("until", &p.Frames, 2, 1000, "frames", "frames until it counts from 0 again")}
	},
}}
