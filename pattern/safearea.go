package pattern

import (
	"fmt"
	"math"
	"strings"

	"backporch/colorimetry"
)

// A safeStandard is a pair of areas in per cent of the width and of the height
// of the picture.
type safeStandard struct {
	Name          string
	Action, Inner float64
	InnerName     string
}

// safeStandards: RP 27.3 by a text that reports it (secondary); ST 2046-1 and
// EBU R 95 memory. For picture tubes the first is the one of their time.
var safeStandards = []safeStandard{
	{"rp27.3", 90, 80, "title area"},
	{"st2046-1", 93, 90, "title area"},
	{"ebu-r95", 93, 90, "graphics area"},
}

// SafeArea is the safe areas of a standard and a scale at each side of the
// picture.
type SafeArea struct {
	Standard string // rp27.3, st2046-1 or ebu-r95
}

// Levels: three grays tell the zones apart and show where the raster ends;
// they are low because the picture may stand for long.
const (
	grayOutside = 0.15
	grayBetween = 0.25
	grayInside  = 0.35
)

// percent returns the place k per cent of the picture's width and height from
// its left or upper edge; beyond 50 it is nearer to the other.
func (v View) percent(k float64) (x, y float64) {
	e := v.Shown.Picture()
	return blend(e.X0, e.X1, k/100), blend(e.Y0, e.Y1, k/100)
}

// centered returns the corners of an area of that many per cent.
func (v View) centered(pct float64) (x0, y0, x1, y1 float64) {
	x1, y1 = v.percent(50 + pct/2)
	return -x1, -y1, x1, y1
}

// Scene implements Pattern.
func (p *SafeArea) Scene(v View) (*Scene, error) {
	var std safeStandard
	var names []string
	for _, s := range safeStandards {
		names = append(names, s.Name)
		if s.Name == p.Standard {
			std = s
		}
	}
	if std.Name == "" {
		return nil, fmt.Errorf("standard: %q is none of %s", p.Standard, strings.Join(names, ", "))
	}
	ground := colorimetry.Gray(grayOutside)
	light := colorimetry.Gray(1)
	tiles := v.zones(std)
	tiles = append(tiles, v.frame(std.Action, light)...)
	tiles = append(tiles, v.brackets(std.Inner, 6, light)...)
	tiles = append(tiles, v.corners(light)...)
	tiles = append(tiles, v.scales(light)...)
	tiles = append(tiles, v.cross(light)...)
	s := still(v.tileBands(ground, tiles), v.safePatches(std)...)
	s.Notes = v.unseenScale()
	return s, nil
}

// zones are the areas as shades.
func (v View) zones(std safeStandard) []tile {
	var tiles []tile
	for _, z := range []struct{ pct, gray float64 }{{std.Action, grayBetween}, {std.Inner, grayInside}} {
		x0, y0, x1, y1 := v.centered(z.pct)
		tiles = append(tiles, tile{x0, v.rowEdge(y0), x1, v.rowEdge(y1), colorimetry.Gray(z.gray)})
	}
	return tiles
}

// frame is the outline of an area of that many per cent. The middle of each
// line is the area's edge.
func (v View) frame(pct float64, to colorimetry.Signal) []tile {
	return v.brackets(pct, 50, to)
}

// brackets are the corners of that outline, each arm that many per cent of
// the picture long; with 50 they close.
func (v View) brackets(pct, arm float64, to colorimetry.Signal) []tile {
	x0, y0, x1, y1 := v.centered(pct)
	w := v.ns(lineWidth)
	l0, l1 := v.upright(x0, w)
	r0, r1 := v.upright(x1, w)
	t0, t1 := v.level(y0)
	b0, b1 := v.level(y1)
	ax, ay := v.percent(50 - pct/2 + arm)
	ax, ay = min(ax, 0), min(ay, 0)
	var tiles []tile
	for _, y := range [][2]float64{{t0, t1}, {b0, b1}} {
		tiles = append(tiles, tile{l0, y[0], ax, y[1], to}, tile{-ax, y[0], r1, y[1], to})
	}
	for _, x := range [][2]float64{{l0, l1}, {r0, r1}} {
		tiles = append(tiles, tile{x[0], t0, x[1], v.rowEdge(ay), to}, tile{x[0], v.rowEdge(-ay), x[1], b1, to})
	}
	return tiles
}

// corners are two nested angles in each corner of the picture, one from 0 to 1
// and one from 2 to 2.5 per cent of its edges, so that overscan can be read off
// in the corners too.
func (v View) corners(to colorimetry.Signal) []tile {
	var tiles []tile
	for _, k := range []float64{0, 2} {
		x0, y0 := v.percent(k)
		x1, y1 := v.percent(k + 1 - k/4) // clear of an area 3.5 % from the edge
		xa, ya := v.percent(8 - k)       // the end of the arms
		for _, sx := range []float64{1, -1} {
			for _, sy := range []float64{1, -1} {
				tiles = append(tiles,
					v.spanned(sx*x0, sy*y0, sx*xa, sy*y1, to),
					v.spanned(sx*x0, sy*y0, sx*x1, sy*ya, to))
			}
		}
	}
	return tiles
}

// spanned returns the tile between two corners, on whole rows.
func (v View) spanned(x0, y0, x1, y1 float64, to colorimetry.Signal) tile {
	return tile{min(x0, x1), v.rowEdge(min(y0, y1)), max(x0, x1), v.rowEdge(max(y0, y1)), to}
}

// cross marks the middle of the picture.
func (v View) cross(to colorimetry.Signal) []tile {
	const arm = 0.06
	x0, x1 := v.upright(0, v.ns(lineWidth))
	y0, y1 := v.level(0)
	a0, a1 := v.upright(0, 2*arm/v.stretch())
	return []tile{
		{a0, y0, a1, y1, to},
		{x0, v.rowEdge(y0 - arm), x1, v.rowEdge(y1 + arm), to},
	}
}

// safePatches names the zones, as far as they are wide enough to measure
// between the lines, and the lines.
func (v View) safePatches(std safeStandard) []Patch {
	x0, _, _, _ := v.centered(std.Action)
	i0, _, _, _ := v.centered(std.Inner)
	left := max(v.Shown.Picture().X0, v.Shown.Shown().X0)
	w, light := v.ns(lineWidth), ink{Signal: colorimetry.Gray(1)}
	const top, bottom = 0.12, 0.3 // free of scales and corners
	var patches []Patch
	for _, z := range []struct {
		name   string
		x0, x1 float64
		gray   float64
	}{
		{"outside the action area", left, x0 - w, grayOutside},
		{"action area outside the " + std.InnerName, x0 + w, i0 - w, grayBetween},
		{std.InnerName, i0 + w, -0.1, grayInside},
	} {
		patches = append(patches, v.free(ink{Signal: colorimetry.Gray(z.gray)}, z.name, z.x0, top, z.x1, bottom)...)
	}
	a, b := v.upright(x0, w)
	c, d := v.upright(0, w)
	return append(patches,
		light.patch("left line of the action area", Line, a, v.rowEdge(top), b, v.rowEdge(bottom)),
		light.patch("center mark", Line, c, v.rowEdge(0.02), d, v.rowEdge(0.05)))
}

// unseenScale says how much of the picture the raster leaves out: there the
// scales cannot be read.
func (v View) unseenScale() []string {
	p, s := v.Shown.Picture(), v.Shown.Shown()
	var notes []string
	for _, side := range []struct {
		name string
		part float64
	}{
		{"top", (s.Y0 - p.Y0) / (p.Y1 - p.Y0)}, {"bottom", (p.Y1 - s.Y1) / (p.Y1 - p.Y0)},
		{"left", (s.X0 - p.X0) / (p.X1 - p.X0)}, {"right", (p.X1 - s.X1) / (p.X1 - p.X0)},
	} {
		if pct := 100 * side.part; math.Round(pct*10) > 0 {
			notes = append(notes, fmt.Sprintf("Raster %s leaves out %.1f %% of the picture at the %s: marks nearer to that edge are not in the file.", v.Shown.Name, pct, side.name))
		}
	}
	return notes
}

var safeAreaEntry = Entry{
	Name: "safe-area", Group: GroupGeometry,
	Use: "overscan and centering: a scale in per cent at the middle of each side, angles in the corners (their edges at 0, 1, 2 and 2.5 %), " +
		"the action area as a closed frame, the title or graphics area as four corners",
	Source:  "per cents SMPTE RP 27.3 (secondary), SMPTE ST 2046-1, EBU R 95 (memory); layout own design",
	Example: "backporch render safe-area --standard ebu-r95 --raster 576i -o safe.png",
	Still:   stillLines,
	New: func() (Pattern, []*Option) {
		p := &SafeArea{Standard: "rp27.3"}
		var names []string
		for _, s := range safeStandards {
			names = append(names, s.Name)
		}
		return p, []*Option{choice("standard", &p.Standard, "whose action and title or graphics area", names...)}
	},
}
