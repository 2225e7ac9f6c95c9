package pattern

import (
	"fmt"
	"math"
	"strconv"

	"backporch/colorimetry"
	"backporch/timing"
)

// A lattice is the crossings of a crosshatch around the middle of the analog
// picture: columns at k*PX for |k| <= Across/2, rows at k*PY for |k| <= Down/2,
// in the coordinates of a Comb and a Span. The same options give every pattern
// of the geometry group the same lattice.
type lattice struct {
	Across, Down int // cells, even
	PX, PY       float64
}

// Limits of the cells, and the free margin that the lattice leaves.
const (
	maxAcross = 48
	maxDown   = 24
	// margin is how much of the picture height the outermost rows leave free,
	// both sides together: enough for the crops that files have (480i shows
	// 240 of 243 lines of a field).
	margin = 1.0 / 25
	// sideMargin is how much of the picture height stays free outside the columns of
	// a square lattice, at least.
	sideMargin = 0.005
)

// lattice returns the lattice of that many cells. Rows lie a whole number of
// field lines apart, so that they are equally spaced on every raster. across 0
// makes the cells square on the tube, as many as the picture holds; else they
// fill a rectangle of the screen's shape, whatever the cells become.
func (v View) lattice(across, down int) (lattice, error) {
	for _, o := range []struct {
		name         string
		n, least, up int
	}{{"across", across, 0, maxAcross}, {"down", down, 2, maxDown}} {
		if err := evenWithin(o.n, o.least, o.up); err != nil {
			return lattice{}, fmt.Errorf("%s: %w", o.name, err)
		}
	}
	lines := v.Shown.Scan.System.Height.Float64()
	g := lattice{Across: across, Down: down}
	g.PY = math.Floor(lines*(1-margin)/float64(down)) / lines
	if across > 0 {
		g.PX = Aspect4x3 * g.PY * float64(down) / float64(across)
		return g, nil
	}
	g.PX = g.PY / v.stretch()
	g.Across = 2 * int((v.Shown.Picture().X1-sideMargin/v.stretch())/g.PX)
	return g, nil
}

// columns and rows return the places of the lines, in ascending order.
func (g lattice) columns() []float64 { return multiples(g.PX, g.Across/2, 0) }
func (g lattice) rows() []float64    { return multiples(g.PY, g.Down/2, 0) }

// columnMiddles and rowMiddles return the middles of the cells.
func (g lattice) columnMiddles() []float64 { return multiples(g.PX, g.Across/2, 0.5) }
func (g lattice) rowMiddles() []float64    { return multiples(g.PY, g.Down/2, 0.5) }

// multiples returns (k+shift)*pitch for all of them within n pitches. Mirrored
// places are exactly opposite.
func multiples(pitch float64, n int, shift float64) []float64 {
	var list []float64
	for k := -float64(n) + shift; k <= float64(n); k++ {
		list = append(list, float64(k*pitch))
	}
	return list
}

func evenWithin(n, least, most int) error {
	if n%2 != 0 || n < least || n > most {
		return fmt.Errorf("%d is not an even number within %d to %d; use one that is: a line goes through the middle of the picture, with as many cells on either side", n, least, most)
	}
	return nil
}

// latticeOptions are the options that all patterns on a lattice share.
func latticeOptions(across, down *int) []*Option {
	even := func(name string, p *int, least, most int, limits, help string) *Option {
		return &Option{Name: name, Range: limits, Help: help, typ: "int",
			get: func() string { return strconv.Itoa(*p) },
			set: func(s string) error {
				n, err := strconv.Atoi(s)
				if err != nil {
					return fmt.Errorf("%q is not a whole number; it takes %s", s, limits)
				}
				if err := evenWithin(n, least, most); err != nil {
					return err
				}
				*p = n
				return nil
			}}
	}
	return []*Option{
		even("down", down, 2, maxDown, fmt.Sprintf("even, 2 to %d cells", maxDown),
			"cells from the uppermost to the lowest line"),
		even("across", across, 0, maxAcross, fmt.Sprintf("even, 2 to %d cells; 0: square cells", maxAcross),
			"cells from the leftmost to the rightmost line; 0 for as many square ones as the screen holds"),
	}
}

// inkOptions are the two colors of a geometry pattern.
func inkOptions(ink, ground *string, of string) []*Option {
	check := func(s string) error { _, err := colorimetry.ParseColor(s); return err }
	return []*Option{
		spelled("color", ink, colorimetry.ColorRange,
			"color of the "+of+"; for convergence by pairs yellow shows red on green, magenta red on blue, cyan green on blue", check, colorimetry.ColorNames()...),
		spelled("background", ground, colorimetry.ColorRange, "color between the "+of, check, colorimetry.ColorNames()...),
	}
}

// An ink is a color as the view's coding holds it.
type ink struct {
	colorimetry.Signal
	absent string
}

// ink reads a color that an option named. Levels that the coding cannot hold
// become its nearest.
func (v View) ink(option, text string) (ink, error) {
	s, err := colorimetry.ParseColor(text)
	if err != nil {
		return ink{}, fmt.Errorf("%s: %w", option, err)
	}
	held, absent := v.reach(s)
	return ink{held, absent}, nil
}

// inks reads the two colors of a geometry pattern.
func (v View) inks(color, background string) (line, ground ink, err error) {
	if line, err = v.ink("color", color); err != nil {
		return
	}
	ground, err = v.ink("background", background)
	return
}

// plain is a picture of nothing but a ground.
func plain(ground ink) Band { return row{First: ground.Signal}.band(endless) }

// patch returns a named area in this ink.
func (k ink) patch(name string, kind Kind, x0, y0, x1, y1 float64) Patch {
	return Patch{Name: name, Kind: kind, Absent: k.absent, X0: x0, Y0: y0, X1: x1, Y1: y1, Want: k.Signal, To: k.Signal}
}

// free returns a patch of a level within these sides, if any sample is clear
// of the edges around it: else there is nothing to measure. Chroma samples of
// 4:2:0 are two rows high and two samples wide.
func (v View) free(k ink, name string, x0, y0, x1, y1 float64) []Patch {
	row, sample := v.Shown.Span(0).DY, v.Shown.Comb(0).DX
	if v.Edge[0] == 0 { // the samples of a hard rim are as wide as a sample
		x0, x1 = x0+sample, x1-sample
	}
	y0, y1 = v.rowEdge(y0+1.49*row), v.rowEdge(y1-1.49*row)
	if y1-y0 < 2.1*row || x1-x0-max(v.Edge[0], v.Edge[1]) < 2.1*sample {
		return nil
	}
	return []Patch{k.patch(name, Level, x0, y0, x1, y1)}
}

// outside says which of several things lie wholly or partly outside the part
// of the picture that the shown raster holds.
func (v View) outside(what string, list []timing.Extent) []string {
	const near = 1e-6 // picture heights: rounding is not an overhang
	e, name := v.Shown.Shown(), v.Shown.Name
	var n [4]int
	for _, p := range list {
		for side, out := range [4]bool{p.Y0 < e.Y0-near, p.Y1 > e.Y1+near, p.X0 < e.X0-near, p.X1 > e.X1+near} {
			if out {
				n[side]++
			}
		}
	}
	var notes []string
	for side, place := range [4]string{"above the first row", "below the last row", "left of the first sample", "right of the last sample"} {
		switch n[side] {
		case 0:
		case 1:
			notes = append(notes, fmt.Sprintf("One %s lies wholly or partly %s of raster %s.", what, place, name))
		default:
			notes = append(notes, fmt.Sprintf("%d %ss lie wholly or partly %s of raster %s.", n[side], what, place, name))
		}
	}
	return notes
}

// stillLines is the caution for thin bright lines.
const stillLines = "Thin bright lines that stand still for hours burn into the phosphor: keep the contrast down and take the picture off when you have read it."
