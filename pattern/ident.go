package pattern

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"
)

// WithIdent returns p with a caption: dim letters on a plate that takes the
// level of the picture about it. The plate lies within 90 % of the shown
// picture, outside every named patch: in a free part of the picture, or else in
// a part of large patches, which become smaller for it and keep at least two
// thirds of their height or width. Scene returns an error that begins with
// "ident: " if the text cannot be written or there is no such place.
func WithIdent(p Pattern, text string) Pattern { return &identified{p, text} }

type identified struct {
	Pattern
	text string
}

// Share of the shown width and height that a caption keeps off each edge, and
// of a patch that must remain.
const (
	identMargin = 0.05
	identKeep   = 2.0 / 3
	identLines  = 3
)

// Scene implements Pattern.
func (p *identified) Scene(v View) (*Scene, error) {
	if strings.TrimSpace(p.text) == "" {
		return nil, errors.New("ident: the caption is empty; use some text")
	}
	if err := checkLetters(p.text); err != nil {
		return nil, fmt.Errorf("ident: %w", err)
	}
	s, err := p.Pattern.Scene(v)
	if err != nil {
		return nil, err
	}
	f, err := Sample(s, v.Shown, frame.S444, 0)
	if err != nil {
		return nil, err
	}
	c, ok := v.placeCaption(s, f, p.text)
	if !ok {
		return nil, fmt.Errorf("ident: %q finds no place beside the patches of this picture; use a shorter text", p.text)
	}
	return c.over(v, s), nil
}

// A caption is a text with its place: samples from From to To and rows from Top
// to End of the shown raster.
type caption struct {
	lines          []string
	From, To       int
	Top, End       int
	wide           int // samples of a cell
	plate, letters colorimetry.Signal
	patches        []Patch // of the scene, as they are beside it
	smaller        []string
}

// captionSize returns the samples of a cell, and the rows of a text and its
// plate.
func (v View) captionSize(lines []string) (wide, width, height int) {
	wide = max(1, int(math.Round(v.numeralCell()/v.Shown.Comb(0).DX)))
	for _, l := range lines {
		width = max(width, (textCells(l)+4)*wide)
	}
	pair := 2 * v.Shown.Scan.Fields
	rows := (len(lines)*(letterLines+2) + 2) * v.Shown.Scan.Fields
	return wide, width, (rows + pair - 1) / pair * pair
}

// extent returns the plate in picture coordinates.
func (c caption) extent(v View) timing.Extent {
	l := v.sampleGrid()
	return timing.Extent{X0: l.left(c.From), Y0: v.row(c.Top), X1: l.left(c.To), Y1: v.row(c.End)}
}

// placeCaption tries all places: first flat parts of the picture outside the
// patches, then others outside them, then flat ones that leave most of them,
// then the others: a plate over the end of a bar looks like a part of it. What
// the scene keeps, such as a scale, is covered last.
func (v View) placeCaption(s *Scene, f *frame.Frame, text string) (caption, bool) {
	var all []caption
	for n := 1; n <= identLines; n++ {
		if lines := wrap(text, n); len(lines) == n {
			all = append(all, v.captionPlaces(lines)...)
		}
	}
	best, found, least := caption{}, false, math.Inf(1)
	for _, c := range all {
		patches, lost, ok := v.beside(s.Patches, c)
		switch {
		case !ok || lost > least:
			continue
		case lost == 0 && c.flat(f):
			return c.colored(f, patches, s.Patches), true
		case !c.flat(f):
			if lost > 0 {
				lost += float64(len(patches)) // more than all that flat ones can lose
			}
			if c.covers(v, s.keep) {
				lost += float64(2*len(patches) + 1) // more than all others
			}
		}
		if lost < least {
			best, found, least = c.colored(f, patches, s.Patches), true, lost
		}
	}
	return best, found
}

// covers reports whether the plate lies over a part of one of these.
func (c caption) covers(v View, list []timing.Extent) bool {
	e := c.extent(v)
	return slices.ContainsFunc(list, func(k timing.Extent) bool {
		return k.X0 < e.X1 && k.X1 > e.X0 && k.Y0 < e.Y1 && k.Y1 > e.Y0
	})
}

// captionPlaces returns the places for these lines, the lowest first, and of
// each height the left, the middle and the right one first.
func (v View) captionPlaces(lines []string) []caption {
	wide, width, height := v.captionSize(lines)
	e, l, pair := v.Shown.Shown(), v.sampleGrid(), 2*v.Shown.Scan.Fields
	w, h := e.X1-e.X0, e.Y1-e.Y0
	from := int(math.Ceil((e.X0 + float64(identMargin*w) - l.left(0)) / l.dx))
	to := int(math.Floor((e.X1-float64(identMargin*w)-l.left(0))/l.dx)) - width
	top := int(math.Ceil((e.Y0+float64(identMargin*h)-l.y0)/l.dy/float64(pair))) * pair
	end := int(math.Floor((e.Y1-float64(identMargin*h)-l.y0)/l.dy/float64(pair)))*pair - height
	if to < from {
		return nil
	}
	step := max(1, (to-from)/24)
	at := []int{from, (from + to) / 2, to}
	for x := from + step; x < to; x += step {
		at = append(at, x)
	}
	var list []caption
	for row := end; row >= top; row -= pair {
		for _, x := range at {
			list = append(list, caption{lines: lines, From: x, To: x + width, Top: row, End: row + height, wide: wide})
		}
	}
	return list
}

// wrap breaks text between words into at most n lines of about equal length.
func wrap(text string, n int) []string {
	words := strings.Fields(text)
	goal := (len([]rune(text)) + n - 1) / n
	var lines []string
	for _, w := range words {
		last := len(lines) - 1
		if last < 0 || (len(lines) < n && len([]rune(lines[last]))+1+len([]rune(w)) > goal) {
			lines = append(lines, w)
			continue
		}
		lines[last] += " " + w
	}
	return lines
}

// beside returns the patches as they are beside a caption, and how much of
// them is lost, in shares of a patch. It is not ok if one would lose too much.
func (v View) beside(patches []Patch, c caption) (list []Patch, lost float64, ok bool) {
	e := c.extent(v)
	row, gap := v.Shown.Span(0).DY, max(v.Edge[0], v.Edge[1], v.Edge[2])+v.Shown.Comb(0).DX
	list = patches
	shared := true // with the scene, until one changes
	for i, p := range patches {
		if p.X0 >= e.X1+gap || p.X1 <= e.X0-gap || p.Y0 >= e.Y1+row/2 || p.Y1 <= e.Y0-row/2 {
			continue
		}
		best, kept := p, 0.0
		try := func(q Patch, share float64) {
			if share > kept {
				best, kept = q, share
			}
		}
		up, down, left, right := p, p, p, p
		up.Y1, down.Y0, left.X1, right.X0 = v.rowEdge(e.Y0-row), v.rowEdge(e.Y1+row), e.X0-gap, e.X1+gap
		if p.Kind != RampDown {
			try(up, (up.Y1-p.Y0)/(p.Y1-p.Y0))
			try(down, (p.Y1-down.Y0)/(p.Y1-p.Y0))
		}
		if p.Kind == Level || p.Kind == RampDown || p.Kind == Changing || p.Kind == Line {
			try(left, (left.X1-p.X0)/(p.X1-p.X0))
			try(right, (p.X1-right.X0)/(p.X1-p.X0))
		}
		if kept < identKeep {
			return nil, 0, false
		}
		if shared {
			list, shared = slices.Clone(patches), false
		}
		list[i] = best
		lost += 1 - kept
	}
	return list, lost, true
}

// flat reports whether the picture has one color under the plate and about it,
// a cell wide and two field lines high.
func (c caption) flat(f *frame.Frame) bool {
	about := 2 * f.Raster.Scan.Fields
	for i := range f.Planes {
		first, shows := math.NaN(), f.Planes[i].Lines
		from, end := max(0, c.Top-about), min(c.End+about, f.Raster.Height())
		for j := from; j < end; j++ {
			if j > from && shows[j] == shows[j-1] {
				continue // the same row once more
			}
			for _, x := range f.Planes[i].Row(j)[max(0, c.From-c.wide):min(c.To+c.wide, f.Raster.Width)] {
				if first != first {
					first = x
				}
				if math.Abs(x-first) > 1e-9 {
					return false
				}
			}
		}
	}
	return true
}

// colored chooses the levels: on a flat gray the plate is that gray, else it is
// dark on a dark picture and light on a light one.
func (c caption) colored(f *frame.Frame, patches, before []Patch) caption {
	const contrast = 0.25
	c.patches = patches
	for i := range patches {
		if patches[i] != before[i] {
			c.smaller = append(c.smaller, patches[i].Name)
		}
	}
	sum := 0.0
	for j := c.Top; j < c.End; j++ {
		for _, y := range f.Planes[0].Row(j)[c.From:c.To] {
			sum += y
		}
	}
	mean := sum / float64((c.End-c.Top)*(c.To-c.From))
	ground := 0.1
	if mean > 0.5 {
		ground = 0.6
	}
	if cb, cr := f.Planes[1].Row(c.Top)[c.From], f.Planes[2].Row(c.Top)[c.From]; c.flat(f) && math.Abs(cb)+math.Abs(cr) < 1e-9 {
		ground = min(max(f.Planes[0].Row(c.Top)[c.From], 0), 1)
	}
	ink := ground + contrast
	if ground > 0.5 {
		ink = ground - contrast
	}
	c.plate, c.letters = colorimetry.Gray(ground), colorimetry.Gray(ink)
	return c
}

// over returns the scene with the caption.
func (c caption) over(v View, s *Scene) *Scene {
	n := v.Shown.Scan.Fields
	var tiles []tile
	text := len(c.lines)*(letterLines+2) - 2
	first := c.Top + ((c.End-c.Top)/n-text)/2*n
	for i, line := range c.lines {
		b := textBox{Left: (c.From + c.To - textCells(line)*c.wide) / 2, Top: first + i*(letterLines+2)*n, Wide: c.wide, High: n}
		tiles = append(tiles, v.letterTiles(line, b, c.letters, nil)...)
	}
	plate, e := v.tileBands(c.plate, tiles), c.extent(v)
	out := *s
	out.Patches = c.patches
	out.Bands = overBands(s.Bands, e.Y0, e.Y1, func(b Band) Band {
		return Band{Bottom: b.Bottom, Paint: v.plated(b.Paint, plate, e)}
	})
	if len(c.smaller) > 0 {
		out.Notes = append(slices.Clone(s.Notes), "The caption takes a part of: "+strings.Join(c.smaller, ", ")+". Their named areas are smaller for it.")
	}
	return &out
}

// plated lays a plate between X0 and X1 of e over what paint makes; its sides
// are edges of the view.
func (v View) plated(paint painter, plate []Band, e timing.Extent) painter {
	return func(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, t int) {
		paint(dst, c, x, y, t)
		w := v.Edge[c]
		from := firstAt(x, e.X0-w/2, len(dst))
		to := max(from, firstAt(x, e.X1+w/2, len(dst)))
		if from == to {
			return
		}
		over := make([]float64, to-from)
		part := timing.Comb{X0: x.At(from), DX: x.DX, N: to - from}
		plate[bandAt(plate, y.Y)].Paint(over, c, part, y, 0)
		for i, k := range over {
			share := 1.0
			if w > 0 {
				at := part.At(i)
				share = min(rise((at-e.X0)/w+0.5), rise((e.X1-at)/w+0.5))
			}
			if share < 1 {
				k = blend(dst[from+i], k, share)
			}
			dst[from+i] = k
		}
	}
}
