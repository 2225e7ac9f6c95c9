package pattern

import (
	"fmt"
	"math"
	"strconv"

	"backporch/colorimetry"
)

// FieldOrder shows whether the two fields of a frame come in the right order of
// time, and on the right rows, by pairs of words of which one is sound and the
// other broken. Those that are sound say what is the case.
//
// In time: two words crawl. "IN ORDER" stands in every field where it belongs;
// "REVERSED" stands in each field where it belongs in the other one of the same
// frame, so that it moves evenly only if the fields are shown the other way
// round. In place: lines of one-row letters, and bars that are almost level.
// "IN PLACE" is drawn as it is; "SWAPPED" has rows 2k and 2k+1 exchanged, so
// that it is sound only if somebody exchanges them again.
type FieldOrder struct {
	Fields string // until the words stand where they began
}

const (
	orderCells   = 60 // between two copies of a crawling word
	orderLevel   = 0.75
	levelThick   = 8 // rows of an almost level bar
	levelDrop    = 24
	wordInOrder  = "IN ORDER"
	wordReversed = "REVERSED"
	wordInPlace  = "IN PLACE"
	wordSwapped  = "SWAPPED"
	wordNoFields = "NO FIELDS"
)

// An orderPlan is the layout in rows and samples of the shown raster.
type orderPlan struct {
	sampleGrid
	cell, high     int // of crawling letters: samples and rows
	pitch, fields  int // samples between copies; fields to cross it
	crawl          [2]int
	bars           int // first row of the almost level bars
	text           int // first row of the one-row letters
	lettersAcross  int // samples a cell of those
	rowsOfSentence int
}

func (p *FieldOrder) plan(v View) orderPlan {
	o := orderPlan{sampleGrid: v.sampleGrid()}
	pair := 2 * v.Shown.Scan.Fields // rows that keep fields and 4:2:0 clean
	at := v.rowAtShare
	o.cell, o.high = max(1, int(math.Round(float64(o.n)/180))), pair
	o.pitch = orderCells * o.cell
	o.fields, _ = strconv.Atoi(p.Fields) // one of the choices
	o.crawl = [2]int{at(0.12), at(0.25)}
	o.bars, o.text = at(0.42), at(0.66)
	o.lettersAcross = max(1, o.n/240)
	o.rowsOfSentence = 4 * pair
	return o
}

// words returns one line of crawling letters, moved by fields at t.
func (o orderPlan) words(v View, runs []cellRun, t int) row {
	moved := float64(t%o.fields) * float64(o.pitch) / float64(o.fields)
	var tiles []tile
	for at := -2 * o.pitch; at < o.n+o.pitch; at += o.pitch {
		x := o.left(at) + float64(moved*o.dx)
		for _, r := range runs {
			tiles = append(tiles, tile{X0: x + float64(float64(r.From*o.cell)*o.dx), X1: x + float64(float64(r.To*o.cell)*o.dx), To: colorimetry.Gray(orderLevel)})
		}
	}
	return v.tileRow(black, tiles)
}

// crawling returns the bands of a word; when gives the field time that each
// field draws.
func (o orderPlan) crawling(v View, word string, top int, when func(t int) int) []Band {
	var bands []Band
	for line, runs := range textRuns(word) {
		bands = append(bands, timed(v.row(top+(line+1)*o.high), func(t int) row { return o.words(v, runs, when(t)) }))
	}
	return bands
}

// levelBar is a bar between samples from and to that sinks by
// levelDrop rows.
func (o orderPlan) levelBar(v View, from, to int, place func(int) int) []tile {
	const thick, drop = levelThick, levelDrop
	slope := float64(to-from) / drop // samples a row
	var tiles []tile
	for k := range thick + drop {
		// The row k of the bar is lit while the bar's upper edge is at or above
		// it and the lower one below it.
		a, b := float64(from)+float64(slope*float64(k-thick+1)), float64(from)+float64(slope*float64(k+1))
		a, b = max(a, float64(from)), min(b, float64(to))
		row := place(o.bars + k)
		tiles = append(tiles, tile{o.left(from) + float64((a-float64(from))*o.dx), v.row(row), o.left(from) + float64((b-float64(from))*o.dx), v.row(row + 1), colorimetry.Gray(orderLevel)})
	}
	return tiles
}

// sentences are lines of one-row letters between samples from and to.
func (o orderPlan) sentences(v View, word string, from, to int, place func(int) int) []tile {
	var tiles []tile
	wide := textCells(word) * o.lettersAcross
	for line := range 3 {
		for at := from; at+wide <= to; at += wide + 4*o.lettersAcross {
			b := textBox{Left: at, Top: o.text + line*o.rowsOfSentence, Wide: o.lettersAcross, High: 1}
			tiles = append(tiles, v.letterTiles(word, b, colorimetry.Gray(orderLevel), place)...)
		}
	}
	return tiles
}

// Scene implements Pattern.
func (p *FieldOrder) Scene(v View) (*Scene, error) {
	o := p.plan(v)
	ground := ink{Signal: black}
	if !v.Shown.Scan.Interlaced() {
		return o.noFields(v), nil
	}
	same := func(row int) int { return row }
	other := func(row int) int { return row ^ 1 }
	left, right := [2]int{o.n / 12, o.n/2 - o.n/24}, [2]int{o.n/2 + o.n/24, o.n - o.n/12}
	var tiles []tile
	tiles = append(tiles, o.levelBar(v, left[0], left[1], same)...)
	tiles = append(tiles, o.levelBar(v, right[0], right[1], other)...)
	tiles = append(tiles, o.sentences(v, wordInPlace, left[0], left[1], same)...)
	tiles = append(tiles, o.sentences(v, wordSwapped, right[0], right[1], other)...)
	bands := v.tileBands(black, tiles)
	for i, word := range []string{wordInOrder, wordReversed} {
		when := same
		if i == 1 {
			when = other // the other field of the same frame
		}
		top := o.crawl[i]
		bands = splice(bands, v.row(top), v.row(top+letterLines*o.high), o.crawling(v, word, top, when)...)
	}
	s := &Scene{Bands: bands, Period: v.framesOf(o.fields)}
	s.Patches = v.free(ground, "ground", v.across(0), v.row(o.crawl[0]+letterLines*o.high), v.across(1), v.row(o.crawl[1]))
	word := func(name string, kind Kind, x0, y0, x1, y1 float64) {
		light := colorimetry.Gray(orderLevel)
		s.Patches = append(s.Patches, Patch{Name: name, Kind: kind, X0: x0, Y0: y0, X1: x1, Y1: y1, Want: light, To: black})
	}
	for i, name := range []string{wordInOrder, wordReversed} {
		word(name+", crawling", Changing, v.across(0), v.row(o.crawl[i]), v.across(1), v.row(o.crawl[i]+letterLines*o.high))
	}
	for _, half := range []struct {
		name string
		at   [2]int
	}{{wordInPlace, left}, {wordSwapped, right}} {
		word(half.name+", bar", Line, o.left(half.at[0]), v.row(o.bars), o.left(half.at[1]), v.row(o.bars+levelThick+levelDrop))
		word(half.name+", one-row letters", Line, o.left(half.at[0]), v.row(o.text), o.left(half.at[1]), v.row(o.text+2*o.rowsOfSentence+letterLines+1))
	}
	s.Notes = []string{
		fmt.Sprintf("Time: of the two words that crawl, the one that moves evenly and reads well says whether the fields are %q or %q; the other shakes and looks double. A still picture does not show it.", wordInOrder, wordReversed),
		fmt.Sprintf("Place: of the small words and the bars above them, those that are whole say whether the rows of the fields are %q or %q; the others are broken into single rows.", wordInPlace, wordSwapped),
		fmt.Sprintf("The words stand where they began after %d fields, %d frames, %.3f s.", o.fields, s.Period, v.fieldSeconds(o.fields)),
	}
	return s, nil
}

// noFields is the picture on a raster that has none.
func (o orderPlan) noFields(v View) *Scene {
	wide := textCells(wordNoFields) * 2 * o.cell
	b := textBox{Left: (o.n - wide) / 2, Top: o.crawl[1], Wide: 2 * o.cell, High: 2 * o.high}
	bottom := v.row(b.Top + letterLines*b.High)
	s := still(v.tileBands(black, v.letterTiles(wordNoFields, b, colorimetry.Gray(orderLevel), nil)))
	s.Patches = v.free(ink{Signal: black}, "ground", v.across(0), bottom, v.across(1), v.down(1))
	s.Notes = []string{fmt.Sprintf("Raster %s has no fields, so that there is no order of them to be seen; an interlaced raster such as 480i or 576i shows it.", v.Shown.Name)}
	return s
}

var fieldOrderEntries = []Entry{{
	Name: "field-order", Group: GroupTime,
	Use:     "order of fields: the words that move evenly, and those that are whole, say whether fields are reversed in time or swapped in place",
	Source:  "own design",
	Example: "backporch render field-order --seconds 10 -o fieldorder.y4m",
	New: func() (Pattern, []*Option) {
		p := &FieldOrder{Fields: "30"}
		return p, []*Option{choice("fields", &p.Fields, "fields until the words stand where they began: more is slower", "20", "30", "40", "60")}
	},
}}
