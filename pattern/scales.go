package pattern

import (
	"fmt"

	"backporch/colorimetry"
)

// scaleEnd is the last mark of a scale, per cent from the edge.
const scaleEnd = 10

// Sizes of the marks of a scale, in cells of numerals.
const (
	shortMark = 3
	longMark  = 6 // at 5 and 10 %
	labelGap  = 2
)

// scales returns a scale in the middle of each side: marks at every per cent
// of the picture's width or height from 0 to 10, numerals at the even ones, on
// black.
func (v View) scales(to colorimetry.Signal) []tile {
	var tiles []tile
	for _, side := range []float64{-1, 1} {
		tiles = append(tiles, v.scaleAcross(side, to)...)
		tiles = append(tiles, v.scaleDown(side, to)...)
	}
	return tiles
}

// markLength returns how far the mark reaches to either side of the axis, in
// cells. Numerals stand by turns on the positive side (2, 6, 10) and on the
// negative one (4, 8), and the mark points to its own.
func markLength(k int) (negative, positive float64) {
	switch {
	case k == 5 || k == scaleEnd:
		return longMark, longMark
	case k%4 == 2:
		return shortMark, longMark
	case k%4 == 0 && k > 0:
		return longMark, shortMark
	}
	return shortMark, shortMark
}

// scaleAcross is the scale at the left (side -1) or the right (1).
func (v View) scaleAcross(side float64, to colorimetry.Signal) []tile {
	line, cell, w := v.fieldLine(), v.numeralCell(), v.ns(lineWidth)
	place := func(k float64) float64 { x, _ := v.percent(k); return -side * x }
	axisTop, axisBottom := v.level(0)

	const half = longMark + labelGap + numeralLines + 2
	edge, end := place(0), place(scaleEnd)-float64(side*6*cell)
	tiles := []tile{
		{min(edge, end), v.rowEdge(-half * line), max(edge, end), v.rowEdge(half * line), colorimetry.Gray(0)},
		{min(edge, place(scaleEnd)), axisTop, max(edge, place(scaleEnd)), axisBottom, to},
	}
	for k := range scaleEnd + 1 {
		x := place(float64(k))
		if k == 0 {
			x -= side * w / 2 // its outer side is the edge
		}
		x0, x1 := v.upright(x, w)
		up, down := markLength(k)
		tiles = append(tiles, tile{x0, v.rowEdge(axisTop - float64(up*line)), x1, v.rowEdge(axisBottom + float64(down*line)), to})
		if k%2 == 0 && k > 0 {
			text := fmt.Sprint(k)
			l, reach := v.sampleGrid(), float64(float64(numeralWidth(text))*cell/2)
			if place(float64(k))-reach < l.left(0) || place(float64(k))+reach > l.left(l.n) {
				continue // half an 8 would read as a 3
			}
			top := axisBottom + float64((longMark+labelGap)*line)
			if k%4 == 0 {
				top = axisTop - float64((longMark+labelGap+numeralLines)*line)
			}
			tiles = append(tiles, v.numeralAbout(text, place(float64(k)), top, to)...)
		}
	}
	return tiles
}

// scaleDown is the scale at the top (side -1) or the bottom (1). Its marks are
// so close that the numerals stand to the right and to the left by turns.
func (v View) scaleDown(side float64, to colorimetry.Signal) []tile {
	line, cell := v.fieldLine(), v.numeralCell()
	place := func(k float64) float64 { _, y := v.percent(k); return -side * y }
	half := float64(longMark+labelGap+9) * cell

	edge, end := place(0), place(scaleEnd)-float64(side*6*line)
	b0, b1 := v.upright(0, 2*half)
	a0, a1 := v.upright(0, v.ns(lineWidth))
	tiles := []tile{
		{b0, v.rowEdge(min(edge, end)), b1, v.rowEdge(max(edge, end)), colorimetry.Gray(0)},
		{a0, v.rowEdge(min(edge, place(scaleEnd))), a1, v.rowEdge(max(edge, place(scaleEnd))), to},
	}
	for k := range scaleEnd + 1 {
		y := place(float64(k))
		if k == 0 {
			y -= side * line / 2
		}
		top, bottom := v.level(y)
		left, right := markLength(k)
		x0, _ := v.upright(-float64(left*cell), cell)
		_, x1 := v.upright(float64(right*cell), cell)
		tiles = append(tiles, tile{x0, top, x1, bottom, to})
		if k%2 == 0 && k > 0 {
			text := fmt.Sprint(k)
			x := float64((longMark + labelGap) * cell)
			if k%4 == 0 {
				x = -x - float64(float64(numeralWidth(text))*cell)
			}
			up := (top+bottom)/2 - float64(numeralLines*line/2)
			switch k {
			case 2:
				up -= float64(side * 1.3 * line) // clear of the rows that files leave out
			case 6:
				up -= float64(side * 0.8 * line) // and of the 2
			}
			tiles = append(tiles, v.numeral(text, x, up, to)...)
		}
	}
	return tiles
}
