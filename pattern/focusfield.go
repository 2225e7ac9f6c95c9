package pattern

import (
	"fmt"
	"image/color"
	"math"

	"backporch/colorimetry"
	"backporch/timing"

	"golang.org/x/image/font/basicfont"
)

// FocusField is small characters and fine dots over the whole picture.
type FocusField struct {
	Size     int    // field lines of a dot of the characters' matrix
	Polarity string // light: color on black; dark: black on color
	Color    string
}

// focusLetters are letters without ascender and descender, open and closed,
// round, slanted and upright, with spaces: groups of no meaning, which move on
// from row to row so that unlike letters stand above each other.
const focusLetters = "emow szan excv ruos aewn "

// Cells of the matrix: one character and the space to the next, a row of
// characters, and a row of dots in the space below it.
const (
	matrixCells  = 6
	matrixPitch  = 7
	matrixLines  = 6
	gapLines     = 5
	dotsPerPitch = 2 // in a gap, for each character
)

// letter returns the matrix of a letter of focusLetters.
func letter(c byte) (cells [matrixLines][matrixCells]bool) {
	f := basicfont.Face7x13
	top := (int(c)-int(f.Ranges[0].Low)+f.Ranges[0].Offset)*(f.Ascent+f.Descent) + f.Ascent - matrixLines
	for y := range cells {
		for x := range cells[y] {
			a := color.AlphaModel.Convert(f.Mask.At(x, top+y)).(color.Alpha)
			cells[y][x] = a.A >= 128
		}
	}
	return cells
}

// A focusGrid is where the characters stand.
type focusGrid struct {
	View
	cell        float64 // width of a cell
	lines       int     // rows of the raster in a cell
	columns     int     // characters in a row
	rows        int     // rows of characters
	left, first float64 // place of the first column, and of row 0 of the raster's numbering
}

// focusGrid lays the characters out around the middle of the analog picture.
func (v View) focusGrid(size int) focusGrid {
	n := float64(size)
	x0, x1 := v.upright(0, max(n*v.fieldLine()/v.stretch(), v.ns(minLineWidth)))
	g := focusGrid{View: v, cell: x1 - x0, lines: size * v.Shown.Scan.Fields}
	width := 2*v.Shown.Picture().X1 - 2*sideMargin/v.stretch()
	g.columns = int((width/g.cell + matrixPitch - matrixCells) / matrixPitch)
	height := v.Shown.Scan.System.Height.Float64() * (1 - margin) / n
	g.rows = int((height + gapLines) / (matrixLines + gapLines))
	g.left, _ = v.upright(-(float64(g.columns*matrixPitch-1)/2-0.5)*g.cell, g.cell)
	tall := n * float64(g.rows*(matrixLines+gapLines)-gapLines) * v.fieldLine()
	g.first = float64(v.nearestRow(v.nudge(-tall / 2)))
	return g
}

// x and y are the edges of a cell: k cells from the left, and line lines below
// the first.
func (g focusGrid) x(k int) float64    { return g.left + float64(float64(k)*g.cell) }
func (g focusGrid) y(line int) float64 { return g.row(int(g.first) + line*g.lines) }

// box returns a rectangle of cells.
func (g focusGrid) box(x0, y0, x1, y1 int) timing.Extent {
	return timing.Extent{X0: g.x(x0), Y0: g.y(y0), X1: g.x(x1), Y1: g.y(y1)}
}

// tiles returns all characters and dots in ink.
func (g focusGrid) tiles(ink colorimetry.Signal) []tile {
	var list []tile
	add := func(x0, line, x1 int) {
		list = append(list, tile{g.x(x0), g.y(line), g.x(x1), g.y(line + 1), ink})
	}
	matrices := map[byte][matrixLines][matrixCells]bool{}
	for i := range len(focusLetters) {
		matrices[focusLetters[i]] = letter(focusLetters[i])
	}
	for r := range g.rows {
		top := r * (matrixLines + gapLines)
		for c := range g.columns {
			left := c * matrixPitch
			m := matrices[focusLetters[(c+7*r)%len(focusLetters)]]
			for y := range m {
				for x := 0; x < matrixCells; x++ {
					from := x
					for x < matrixCells && m[y][x] {
						x++
					}
					if x > from {
						add(left+from, top+y, left+x)
					}
				}
			}
			if r+1 < g.rows {
				for d := range dotsPerPitch {
					x := left + 1 + d*matrixPitch/dotsPerPitch
					add(x, top+matrixLines+gapLines/2, x+1)
				}
			}
		}
	}
	return list
}

// zones are the places to compare: the middle, the corners and the middles of
// the sides, each some characters wide and high: as many, odd or even, as put
// the middle one into the very middle.
func (g focusGrid) zones() (names []string, boxes []timing.Extent) {
	wide, high := max(3, g.columns/7), max(1, g.rows/7)
	wide, high = wide+(g.columns-wide)%2, high+(g.rows-high)%2
	for r, vertical := range [3]string{"top", "middle", "bottom"} {
		for c, horizontal := range [3]string{"left", "middle", "right"} {
			name := vertical + " " + horizontal
			if r == 1 && c == 1 {
				name = "center"
			}
			x := (g.columns - wide) * c / 2 * matrixPitch
			y := (g.rows - high) * r / 2 * (matrixLines + gapLines)
			names = append(names, name)
			boxes = append(boxes, g.box(x, y, x+wide*matrixPitch-1, y+high*(matrixLines+gapLines)-gapLines))
		}
	}
	return names, boxes
}

// Scene implements Pattern.
func (p *FocusField) Scene(v View) (*Scene, error) {
	if p.Size < 1 || p.Size > mostFocusSize {
		return nil, fmt.Errorf("size: %d is not within 1 to %d", p.Size, mostFocusSize)
	}
	front, err := v.ink("color", p.Color)
	if err != nil {
		return nil, err
	}
	back := ink{Signal: black}
	switch p.Polarity {
	case "light":
	case "dark":
		front, back = back, front
	default:
		return nil, fmt.Errorf("polarity: %q is none of light, dark", p.Polarity)
	}
	g := v.focusGrid(p.Size)
	s := still(v.tileBands(back.Signal, g.tiles(front.Signal)))
	names, boxes := g.zones()
	for i, b := range boxes {
		q := front.patch(names[i], Line, b.X0, b.Y0, b.X1, b.Y1)
		q.To = back.Signal
		if q.Absent == "" {
			q.Absent = back.absent
		}
		s.Patches = append(s.Patches, q)
	}
	s.Notes = v.outside("zone", boxes)
	s.Notes = append(s.Notes, fmt.Sprintf("Strokes last %.0f ns; %d characters in %d rows.", math.Round(g.cell/v.ns(1)), g.columns, g.rows))
	return s, nil
}

const mostFocusSize = 4

var focusFieldEntries = []Entry{{
	Name: "focus-field", Group: GroupGeometry,
	Use:     "focus over the whole screen: find the setting at which corners and sides are as sharp as they can be together with the center; at full contrast it shows blooming",
	Source:  "own design; characters from the public-domain 7x13 matrix of golang.org/x/image/font/basicfont",
	Example: "backporch render focus-field --polarity dark -o focus.png",
	Still:   "Bright characters, or a bright field about dark ones, burn into the phosphor when they stand still for hours: keep the contrast down and take the picture off when you have read it.",
	New: func() (Pattern, []*Option) {
		p := &FocusField{Size: 1, Polarity: "light", Color: "white"}
		return p, []*Option{
			whole("size", &p.Size, 1, mostFocusSize, "field lines", "height of a dot of the characters, which are six dots high"),
			choice("polarity", &p.Polarity, "characters in color on black (light), or black on color (dark)", "light", "dark"),
			spelled("color", &p.Color, colorimetry.ColorRange, "the color; red, green or blue show one gun alone",
				func(s string) error { _, err := colorimetry.ParseColor(s); return err }, colorimetry.ColorNames()...),
		}
	},
}}
