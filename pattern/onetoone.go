package pattern

import (
	"fmt"
	"math"

	"backporch/colorimetry"
	"backporch/timing"
)

// OneToOne proves that a file reaches the screen sample for sample and row for
// row: pairs of the finest stripes, levels beyond black and white, and marks
// at the very edges. It is laid out in the samples and rows of the shown
// raster, not in the analog picture.
type OneToOne struct{}

// Sizes in samples and rows of the shown raster. The margin is free for the
// edge marks on all four sides; its innermost part is black.
const (
	oneMargin = 16
	oneSteps  = 8  // step k of a side begins k samples or rows inside
	oneDepth  = 12 // and all end here
	oneGuard  = 4  // black samples on either side of stripes
)

// A sampleGrid counts the samples and rows of the shown raster.
type sampleGrid struct {
	x0, dx, y0, dy float64 // middle of sample 0, top of row 0
	n, rows        int
}

func (v View) sampleGrid() sampleGrid {
	c := v.Shown.Comb(0)
	return sampleGrid{c.X0, c.DX, v.row(0), v.Shown.Span(0).DY, c.N, v.Shown.Height()}
}

// left returns the left edge of sample i, top the upper edge of row j.
func (l sampleGrid) left(i int) float64 { return l.x0 + float64((float64(i)-0.5)*l.dx) }
func (l sampleGrid) top(j int) float64  { return l.y0 + float64(float64(j)*l.dy) }

// tile returns a tile from sample from and row top to those of until and bottom,
// less one.
func (l sampleGrid) tile(from, top, until, bottom int, to colorimetry.Signal) tile {
	return tile{l.left(from), l.top(top), l.left(until), l.top(bottom), to}
}

// sampleAt returns the sample at a share of the width.
func (l sampleGrid) sampleAt(share float64) int { return int(math.Round(share * float64(l.n))) }

// wholeRows returns about that many rows, a number that keeps the fields and
// the chroma of 4:2:0 clean.
func (v View) wholeRows(rows float64) int {
	unit := 2 * v.Shown.Scan.Fields
	return int(math.Round(rows/float64(unit))) * unit
}

// rowAtShare returns the row at about a share of the height, clean as by
// wholeRows.
func (v View) rowAtShare(share float64) int {
	return v.wholeRows(share * float64(v.Shown.Height()))
}

// Scene implements Pattern.
func (*OneToOne) Scene(v View) (*Scene, error) {
	l := v.sampleGrid()
	const leastSamples, leastRows = 128, 96
	if l.n < leastSamples || l.rows < leastRows {
		return nil, fmt.Errorf("one-to-one: raster %s has %d by %d samples; it needs %d by %d for the marks to be told apart", v.Shown.Name, l.n, l.rows, leastSamples, leastRows)
	}
	top, low := l.top(oneMargin), l.rows-oneMargin
	split := oneMargin + (low-oneMargin)*2/3/4*4
	fields, patches := l.stripes(v.Shown, split)
	strips, more := v.beyond(l, l.top(split), l.top(low))
	dark := row{First: black}
	s := still([]Band{
		dark.band(top),
		{Bottom: l.top(split), Paint: fields.paint},
		strips,
		dark.band(endless),
	}, append(append(patches, more...), l.edges()...)...)
	for i := range s.Bands {
		s.Bands[i].Uniform = false
		s.Bands[i].Paint = l.marked(s.Bands[i].Paint)
	}
	s.Notes = []string{
		"Each field of stripes must look even all over: beats or a smooth gray mean that something between file and screen scales, interpolates or filters. One-line pairs flicker on an interlaced picture, and must.",
		"A white line of one sample or row marks the ends of each edge; between them are eight steps, of which the first touches the edge and each further one begins one sample or row further in. As many steps as are missing on a side are cut there; a tube with overscan hides them all.",
	}
	return s, nil
}

// beyond lays out a strip below black on black, and one above white on white.
func (v View) beyond(l sampleGrid, top, bottom float64) (Band, []Patch) {
	from, to := l.left(oneMargin), l.left(l.n-oneMargin)
	x := func(sixth float64) float64 { return blend(from, to, sixth/6) }
	below, absentBelow := v.hold(colorimetry.Gray(-0.04), black)
	above, absentAbove := v.hold(colorimetry.Gray(1.04), white)
	return v.bars(from, top, bottom,
		bar{Name: "black", Until: x(1), Want: black},
		bar{Name: "below black", Until: x(2), Want: below, Absent: absentBelow},
		bar{Until: x(3), Want: black},
		bar{Name: "white", Until: x(4), Want: white},
		bar{Name: "above white", Until: x(5), Want: above, Absent: absentAbove},
		bar{Until: x(6), Want: white})
}

// stripes lays out pairs of 1 and 2 samples and of 1 and 2 rows, from the
// margin down to row split.
func (l sampleGrid) stripes(r *timing.Raster, split int) (fieldsOfStripes, []Patch) {
	f := fieldsOfStripes{sampleGrid: l, lit: 1}
	var patches []Patch
	slot := (l.n - 2*oneMargin) / 4 / 4 * 4
	for q, kind := range []struct {
		name string
		wide int
		rows bool
	}{{"1-sample pairs", 1, false}, {"2-sample pairs", 2, false}, {"1-line pairs", 1, true}, {"2-line pairs", 2, true}} {
		a := stripeArea{oneMargin + q*slot + oneGuard, oneMargin + (q+1)*slot - oneGuard, oneMargin, split, kind.wide, kind.rows}
		f.areas = append(f.areas, a)
		patches = append(patches, f.patch(a, kind.name, r))
	}
	return f, patches
}

// A painter is the Paint of a Band.
type painter func(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, t int)

// marked lays the edge marks over what paint makes. Outside the raster all is
// black, so that its edge can be seen where more is shown.
func (l sampleGrid) marked(paint painter) painter {
	return func(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, t int) {
		paint(dst, c, x, y, t)
		if c != colorimetry.Y {
			return
		}
		j := l.rowAt(y.Y)
		over := func(from, to int) {
			for k := from; k < to; k++ {
				dst[k] = l.mark(int(math.Floor((x.At(k)-l.left(0))/l.dx)), j)
			}
		}
		first, end := 0, 0
		if j >= oneMargin && j < l.rows-oneMargin {
			first, end = l.within(oneMargin, l.n-oneMargin, x)
		}
		over(0, first)
		over(end, len(dst))
	}
}

// mark returns the level of sample i of row j of the margin, or outside.
func (l sampleGrid) mark(i, j int) float64 {
	side, above := min(i, l.n-1-i), min(j, l.rows-1-j)
	depth := min(side, above)
	// Place along the nearer side; the steps take the middle half of it.
	at, length := j, l.rows
	if above < side {
		at, length = i, l.n
	}
	first, last := 0, 0
	if at >= length/4 && at < length-length/4 {
		first = (at - length/4) * oneSteps / (length - 2*(length/4))
		last = oneDepth
	}
	if depth >= first && depth <= last {
		return 1
	}
	return 0
}

// edges are the patches of the four outermost lines, where no steps are.
func (l sampleGrid) edges() []Patch {
	quarterX, quarterY := l.left(l.n/4), l.top(l.rows/4)
	line := func(name string, x0, y0, x1, y1 float64) Patch {
		p := area(name, x0, y0, x1, y1, white, "")
		p.Kind, p.To = Line, black
		return p
	}
	return []Patch{
		line("first sample", l.left(0), l.top(0), l.left(1), quarterY),
		line("last sample", l.left(l.n-1), l.top(0), l.left(l.n), quarterY),
		line("first row", l.left(0), l.top(0), quarterX, l.top(1)),
		line("last row", l.left(0), l.top(l.rows-1), quarterX, l.top(l.rows)),
	}
}

var oneToOneEntries = []Entry{{
	Name: "one-to-one", Group: GroupSource,
	Use:     "the first picture to show: proves that player and display pass every sample and row, and levels beyond black and white, as they are",
	Source:  "own design",
	Example: "backporch render one-to-one --raster 480i -o onetoone.y4m",
	Still:   stillBright,
	New:     func() (Pattern, []*Option) { return &OneToOne{}, nil },
}}
