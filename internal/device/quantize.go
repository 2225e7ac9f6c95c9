package device

import (
	"cmp"
	"fmt"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/pattern"
	"backporch/pattern/frame"
)

// mostColors is how many a picture of indexes can have.
const mostColors = 1 << 16

// Options is how colors are chosen for a picture. The zero value is the usual
// way.
type Options struct {
	// Wire is the output on which errors count; nil: the usual one.
	Wire *colorimetry.Family
	// Patches are those whose colors stay as they are when a picture needs more
	// colors than the device has at once, if there is room for theirs. Plan is
	// the one by which the picture was made.
	Patches []pattern.Patch
	Plan    colorimetry.Plan
	// Dither spreads the error of each pixel over its neighbors by a matrix of
	// thresholds. Levels then hold over areas only, and no pixel is exact.
	Dither bool
}

// Quantize returns the picture that the device shows of a 4:4:4 frame on its
// own raster: for each sample the color of the device whose luma and color
// vector on the usual output are nearest, by the distance in mV. A fixed
// palette keeps its order; else the palette is in order of first appearance,
// top row first. Colors beyond those that the device has at once are merged;
// see [Profile.QuantizeScene], which says so. It panics on a device that does
// not show pixels.
func (p *Profile) Quantize(f *frame.Frame) (*pixfmt.Indexed, error) {
	x, _, err := p.QuantizeScene(f, Options{})
	return x, err
}

// QuantizeScene is Quantize with a choice, and a report of what was merged.
func (p *Profile) QuantizeScene(f *frame.Frame, o Options) (*pixfmt.Indexed, *Merge, error) {
	if !p.Pixels() {
		panic("device: Quantize for " + p.Name)
	}
	if f.Sampling != frame.S444 {
		return nil, nil, fmt.Errorf("device %s: a picture of colors is made from 4:4:4 samples, and these are %s", p.Name, f.Sampling)
	}
	l := p.palette(cmp.Or(o.Wire, p.Outputs[0]))
	c := l.paint(f, o.Dither)
	room := p.Color.AtOnce
	if room == 0 || room > mostColors {
		room = mostColors
	}
	merge := &Merge{Room: room, Needed: len(c.order)}
	if len(c.order) > room {
		keep := make(map[colorID]bool)
		for _, patch := range o.Patches {
			for _, s := range []colorimetry.Signal{patch.Want, patch.To} {
				keep[l.nearest(o.Plan.Map(s))] = true
			}
		}
		l.merge(c, f, keep, merge)
	}
	return l.indexed(c), merge, nil
}

// A canvas is a picture of colors: distinct rows, and which of them each line
// shows.
type canvas struct {
	rows    [][]colorID
	lines   []int32
	sources [][3]int32 // of each row, the triple of rows of the frame
	order   []colorID  // colors in use, in order of first appearance by line
}

// paint chooses a color for each sample.
func (l *palette) paint(f *frame.Frame, dither bool) *canvas {
	triples, lines := f.Distinct()
	c := &canvas{lines: make([]int32, len(lines))}
	type key struct{ triple, phase int32 }
	done := make(map[key]int32)
	used := make(map[colorID]bool)
	for j, n := range lines {
		k := key{n, 0}
		if dither {
			k.phase = int32(j % ditherLevels)
		}
		row, ok := done[k]
		if !ok {
			row = int32(len(c.rows))
			done[k] = row
			out := l.row(f, triples[n], dither, int(k.phase))
			for i, id := range out {
				if (i == 0 || id != out[i-1]) && !used[id] {
					used[id] = true
					c.order = append(c.order, id)
				}
			}
			c.rows = append(c.rows, out)
			c.sources = append(c.sources, triples[n])
		}
		c.lines[j] = row
	}
	return c
}

func (l *palette) row(f *frame.Frame, t [3]int32, dither bool, phase int) []colorID {
	y, cb, cr := f.Triple(t)
	out := make([]colorID, len(y))
	for i := range out {
		s := colorimetry.Signal{Y: y[i], CB: cb[i], CR: cr[i]}
		switch {
		case dither:
			out[i] = l.dithered(s, i, phase)
		case i > 0 && y[i] == y[i-1] && cb[i] == cb[i-1] && cr[i] == cr[i-1]:
			out[i] = out[i-1]
		default:
			out[i] = l.nearest(s)
		}
	}
	return out
}

// indexed gives each color in use its index.
func (l *palette) indexed(c *canvas) *pixfmt.Indexed {
	x := &pixfmt.Indexed{Lines: c.lines, Rows: make([][]uint16, len(c.rows))}
	index := make(map[colorID]uint16, len(c.order))
	if l.inks != nil {
		for i, ink := range l.color.Fixed {
			index[colorID(i)] = uint16(i)
			x.Palette = append(x.Palette, ink.RGB)
		}
	} else {
		for _, id := range c.order {
			index[id] = uint16(len(x.Palette))
			x.Palette = append(x.Palette, l.rgb(id))
		}
	}
	for j, row := range c.rows {
		out := make([]uint16, len(row))
		for i, id := range row {
			if i > 0 && id == row[i-1] {
				out[i] = out[i-1]
				continue
			}
			out[i] = index[id]
		}
		x.Rows[j] = out
	}
	return x
}
