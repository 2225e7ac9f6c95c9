package pattern

import (
	"fmt"
	"math"

	"backporch/timing"
)

// Crosshatch is a lattice of lines.
type Crosshatch struct {
	Across, Down int     // cells, even; Across 0 makes them square
	Width        float64 // of upright lines, ns between half amplitudes
	Marks        bool    // tick the two center lines at half cells
	Color        string  // of the lines
	Background   string
}

// crosshatchTiles returns the lines of a lattice and their places.
func (v View) crosshatchTiles(g lattice, width float64, line ink) (tiles []tile, places []timing.Extent) {
	w, inf := v.ns(width), math.Inf(1)
	for _, x := range g.columns() {
		x0, x1 := v.upright(x, w)
		tiles = append(tiles, tile{x0, -inf, x1, inf, line.Signal})
		places = append(places, timing.Extent{X0: x0, X1: x1})
	}
	for _, y := range g.rows() {
		top, bottom := v.level(y)
		tiles = append(tiles, tile{-inf, top, inf, bottom, line.Signal})
		places = append(places, timing.Extent{Y0: top, Y1: bottom})
	}
	return tiles, places
}

// centerTicks returns a short crossbar in the middle of each cell's side
// along the two lines through the center: they tell these lines from all
// others and halve the scale.
func (v View) centerTicks(g lattice, width float64, line ink) []tile {
	var tiles []tile
	up, low := v.tickRows(g)
	for _, x := range g.columnMiddles() {
		x0, x1 := v.upright(x, v.ns(width))
		tiles = append(tiles, tile{x0, up, x1, low, line.Signal})
	}
	x0, x1 := v.upright(0, g.PX/3)
	for _, y := range g.rowMiddles() {
		top, bottom := v.level(y)
		tiles = append(tiles, tile{x0, top, x1, bottom, line.Signal})
	}
	return tiles
}

// tickRows returns top and bottom of the ticks across the horizontal center
// line: whole field lines beyond it.
func (v View) tickRows(g lattice) (up, low float64) {
	top, bottom := v.level(0)
	arm := v.fieldLine() * max(1, math.Round(g.PY/6/v.fieldLine()))
	return v.rowEdge(top - arm), v.rowEdge(bottom + arm)
}

// fits reports lines too wide for their cells.
func (v View) fits(g lattice, width float64) error {
	if cell := g.PX / v.ns(1); width > cell/3 {
		return fmt.Errorf("width: lines of %v ns leave too little of cells of %.0f ns; use a width up to %.0f, or fewer cells across", width, cell, math.Floor(cell/3))
	}
	return nil
}

// linePatches names the lines through the center, beside it.
func (v View) linePatches(g lattice, width float64, line ink) []Patch {
	x0, x1 := v.upright(0, v.ns(width))
	top, bottom := v.level(0)
	y0, y1 := v.rowEdge(g.PY*0.15), v.rowEdge(g.PY*0.4)
	return []Patch{
		line.patch("vertical line through the middle", Line, x0, y0, x1, y1),
		line.patch("horizontal line through the middle", Line, x1+g.PX*0.1, top, g.PX*0.4, bottom),
	}
}

// Scene implements Pattern.
func (p *Crosshatch) Scene(v View) (*Scene, error) {
	g, err := v.lattice(p.Across, p.Down)
	if err != nil {
		return nil, err
	}
	if err := v.fits(g, p.Width); err != nil {
		return nil, err
	}
	line, ground, err := v.inks(p.Color, p.Background)
	if err != nil {
		return nil, err
	}
	tiles, places := v.crosshatchTiles(g, p.Width, line)
	if p.Marks {
		tiles = append(tiles, v.centerTicks(g, p.Width, line)...)
	}
	patches := v.linePatches(g, p.Width, line)
	// The cell right of and below the middle, without the ticks on its sides.
	_, y0 := v.tickRows(g)
	y1, _ := v.level(g.PY)
	x1, _ := v.upright(g.PX, v.ns(p.Width))
	patches = append(patches, v.free(ground, "background", g.PX/4, y0, x1, y1)...)
	s := still(v.tileBands(ground.Signal, tiles), patches...)
	s.Notes = v.outside("grid line", places)
	return s, nil
}

// Width of upright lines, ns. At 150 a sin-squared line still reaches its
// level with the 296 ns edges of a shaped picture.
const (
	lineWidth    = 200
	minLineWidth = 150
	maxLineWidth = 1000
)

func widthOption(p *float64) *Option {
	return number("width", p, minLineWidth, maxLineWidth, "ns", "duration of an upright line between its half amplitudes")
}

var crosshatchEntries = []Entry{
	{
		Name: "crosshatch", Group: GroupGeometry,
		Use:     "convergence, pincushion, trapezoid, size and linearity: lines of a square lattice, those through the middle with ticks at half cells",
		Source:  "own design; square by the sampling clocks of the systems, lines sin-squared (common practice)",
		Example: "backporch render crosshatch --color magenta -o crosshatch.png",
		Still:   stillLines,
		New: func() (Pattern, []*Option) {
			p := &Crosshatch{Down: 12, Width: lineWidth, Marks: true, Color: "white", Background: "black"}
			options := append(latticeOptions(&p.Across, &p.Down), widthOption(&p.Width),
				toggle("marks", &p.Marks, "tick the two lines through the middle at half cells"))
			return p, append(options, inkOptions(&p.Color, &p.Background, "lines")...)
		},
	},
	dotsEntry, crosshatchDotsEntry, circlesEntry, safeAreaEntry,
}
