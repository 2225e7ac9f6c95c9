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
		tiles = append(tiles, tile{x0, v.row(v.nearestRow(y0)), x1, v.row(v.nearestRow(y1)), colorimetry.Gray(z.gray)})
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
	ay = v.row(v.nearestRow(min(ay, 0)))
	ax = min(ax, 0)
	var tiles []tile
	for _, y := range [][2]float64{{t0, t1}, {b0, b1}} {
		tiles = append(tiles, tile{l0, y[0], ax, y[1], to}, tile{-ax, y[0], r1, y[1], to})
	}
	for _, x := range [][2]float64{{l0, l1}, {r0, r1}} {
		tiles = append(tiles, tile{x[0], t0, x[1], ay, to}, tile{x[0], v.row(v.nearestRow(-ay)), x[1], b1, to})
	}
	return tiles
}

// corners are two nested angles in each corner of the picture, one from 0 to 1
// and one from 2 to 3 per cent of its edges, so that overscan can be read off
// in the corners too.
func (v View) corners(to colorimetry.Signal) []tile {
	var tiles []tile
	for _, k := range []float64{0, 2} {
		xs, ys := [2]float64{}, [2]float64{}
		for i := range xs {
			x, y := v.percent(k + float64(i))
			xs[i], ys[i] = x, v.row(v.nearestRow(y))
		}
		xa, ya := v.percent(8 - k) // the end of the arms
		ya = v.row(v.nearestRow(ya))
		for _, sx := range []float64{-1, 1} {
			for _, sy := range []float64{-1, 1} {
				tiles = append(tiles,
					mirrored(v, xs[0], ys[0], xa, ys[1], sx, sy, to),
					mirrored(v, xs[0], ys[0], xs[1], ya, sx, sy, to))
			}
		}
	}
	return tiles
}

// mirrored returns a tile of the upper left quarter, or its image in another:
// sx and sy are -1 for left and upper.
func mirrored(v View, x0, y0, x1, y1, sx, sy float64, to colorimetry.Signal) tile {
	if sx > 0 {
		x0, x1 = -x1, -x0
	}
	if sy > 0 {
		y0, y1 = v.row(v.nearestRow(-y1)), v.row(v.nearestRow(-y0))
	}
	return tile{x0, y0, x1, y1, to}
}

// cross marks the middle of the picture.
func (v View) cross(to colorimetry.Signal) []tile {
	const arm = 0.06
	x0, x1 := v.upright(0, v.ns(lineWidth))
	y0, y1 := v.level(0)
	a0, a1 := v.upright(0, 2*arm/v.stretch())
	return []tile{
		{a0, y0, a1, y1, to},
		{x0, v.row(v.nearestRow(y0 - arm)), x1, v.row(v.nearestRow(y1 + arm)), to},
	}
}

// safePatches names the zones and the lines.
func (v View) safePatches(std safeStandard) []Patch {
	x0, _, _, _ := v.centered(std.Action)
	i0, _, _, _ := v.centered(std.Inner)
	w := v.ns(lineWidth)
	top, bottom := v.row(v.nearestRow(0.12)), v.row(v.nearestRow(0.3))
	gray := func(name string, a, b, level float64) Patch {
		g := colorimetry.Gray(level)
		return Patch{Name: name, Kind: Level, X0: a, Y0: top, X1: b, Y1: bottom, Want: g, To: g}
	}
	line := func(name string, x float64) Patch {
		a, b := v.upright(x, w)
		p := gray(name, a, b, 1)
		p.Kind = Line
		return p
	}
	cross := line("center mark", 0)
	cross.Y0, cross.Y1 = v.row(v.nearestRow(0.02)), v.row(v.nearestRow(0.05))
	left, _ := v.percent(0)
	patches := []Patch{
		gray("outside the action area", max(left, v.Shown.Shown().X0), x0-w, grayOutside),
		gray(std.InnerName, i0+w, -0.1, grayInside),
		line("left line of the action area", x0),
		cross,
	}
	if x0+w+max(v.Edge[0], v.Edge[1]) < i0-2*w { // else no sample is clear of the lines
		patches = append(patches, gray("action area outside the "+std.InnerName, x0+w, i0-w, grayBetween))
	}
	return patches
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
	Use: "overscan and centering: a scale in per cent at the middle of each side, angles in the corners (their edges at 0, 1, 2 and 3 %), " +
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
