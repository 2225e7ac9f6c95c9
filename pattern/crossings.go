package pattern

import "fmt"

// Crossings are the places where the lines of a lattice cross on the tube, for
// whoever holds a ruler against them.
type Crossings struct {
	Columns, Rows int // upright lines left and right of the middle one; level lines above and below it

	view  View
	grid  lattice
	width float64 // of upright lines, ns
}

// Crossings returns those of a pattern of lines: crosshatch or crosshatch-dots.
func (v View) Crossings(p Pattern) (c Crossings, err error) {
	c.view = v
	var across, down int
	switch p := p.(type) {
	case *Crosshatch:
		across, down, c.width = p.Across, p.Down, p.Width
	case *CrosshatchDots:
		across, down, c.width = p.Across, p.Down, p.Width
	default:
		return c, fmt.Errorf("its lines do not cross in a lattice; use crosshatch or crosshatch-dots")
	}
	if c.grid, err = v.lattice(across, down); err != nil {
		return c, err
	}
	c.Columns, c.Rows = c.grid.Across/2, c.grid.Down/2
	return c, nil
}

// At is the place of a crossing as it is drawn on the view's raster, in picture
// heights from the middle of the picture, x right and y down. Column 0 and row 0
// go through the middle; left and up are negative. A line that the pattern does
// not have lies where one more at the same pitch would.
func (c Crossings) At(column, row int) (x, y float64) {
	x0, x1 := c.view.upright(float64(float64(column)*c.grid.PX), c.view.ns(c.width))
	top, bottom := c.view.level(float64(float64(row) * c.grid.PY))
	return (x0 + x1) / 2 * c.view.stretch(), (top + bottom) / 2
}

// Width is the width of the whole analog picture in picture heights.
func (v View) Width() float64 {
	e := v.Shown.Picture()
	return (e.X1 - e.X0) * v.stretch()
}
