package pixfmt

import (
	"fmt"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"
)

// MaxColors is how many colors [RGBRows.Index] gives a picture: what an index of
// one byte tells apart. A device may use more of them.
const MaxColors = 256

// Indexed is a picture of palette indexes: distinct rows, and which of them
// each line shows. PNG, BMP, framebuffers and tiles are written from it.
type Indexed struct {
	Palette [][3]uint8 // R'G'B', 0 to 255; at most 65,536. Not every index need be in use
	Rows    [][]uint16
	Lines   []int32
}

// Index returns the indexed picture of rows of 8-bit codes. ok is false when
// they hold more than [MaxColors] colors. The palette is in order of first
// appearance, top row first.
func (r *RGBRows) Index() (x *Indexed, ok bool) {
	x = &Indexed{Rows: make([][]uint16, len(r.Rows)), Lines: r.Lines}
	index := make(map[uint32]uint16, MaxColors)
	for i, row := range r.Rows {
		red, green, blue := row[0], row[1][:len(row[0])], row[2][:len(row[0])]
		out := make([]uint16, len(red))
		last, lastIndex := uint32(1<<24), uint16(0) // no color
		for j := range red {
			color := uint32(red[j])<<16 | uint32(green[j])<<8 | uint32(blue[j])
			if color != last {
				n, known := index[color]
				if !known {
					if len(x.Palette) == MaxColors {
						return nil, false
					}
					n = uint16(len(x.Palette))
					index[color] = n
					x.Palette = append(x.Palette, [3]uint8{uint8(red[j]), uint8(green[j]), uint8(blue[j])})
				}
				last, lastIndex = color, n
			}
			out[j] = lastIndex
		}
		x.Rows[i] = out
	}
	return x, true
}

// Frame returns the picture as samples in 4:4:4 on its raster, for packers of
// full-range R'G'B' of 8 bits: their codes are those of the palette.
func (x *Indexed) Frame(r *timing.Raster) *frame.Frame {
	signals := make([]colorimetry.Signal, len(x.Palette))
	for i, c := range x.Palette {
		signals[i] = colorimetry.RGB8.Signal([3]uint16{uint16(c[0]), uint16(c[1]), uint16(c[2])})
	}
	f := &frame.Frame{Raster: r, Sampling: frame.S444}
	for c := range f.Planes {
		f.Planes[c].Lines = x.Lines
		for _, row := range x.Rows {
			samples := make([]float64, len(row))
			for i, v := range row {
				samples[i] = signals[v].Of(colorimetry.Component(c))
			}
			f.Planes[c].Rows = append(f.Planes[c].Rows, samples)
		}
	}
	return f
}

// Width returns the samples of a row.
func (x *Indexed) Width() int { return len(x.Rows[0]) }

// Height returns the number of lines.
func (x *Indexed) Height() int { return len(x.Lines) }

// check refuses what is no picture: rows of different widths, lines without a
// row, and indexes that are not below most.
func (x *Indexed) check(most int) error {
	if len(x.Rows) == 0 {
		return FormatError("a picture without rows")
	}
	if err := checkSides(x.Width(), x.Height()); err != nil {
		return err
	}
	for j, row := range x.Rows {
		if len(row) != x.Width() {
			return FormatError(fmt.Sprintf("row %d has %d pixels, and row 0 has %d", j, len(row), x.Width()))
		}
		for i, v := range row {
			if int(v) >= most {
				return UnsupportedError(fmt.Sprintf("row %d, pixel %d has color number %d, and there is room for %d colors; take a pattern of fewer colors", j, i, v, most))
			}
		}
	}
	for j, n := range x.Lines {
		if n < 0 || int(n) >= len(x.Rows) {
			return FormatError(fmt.Sprintf("line %d shows row %d of %d", j, n, len(x.Rows)))
		}
	}
	return nil
}

// checkSides refuses sizes that no picture has. The limit keeps a size that was
// read from a file from asking for all memory.
func checkSides(width, height int) error {
	const limit = 1 << 15
	if width <= 0 || height <= 0 || width > limit || height > limit {
		return UnsupportedError(fmt.Sprintf("a picture of %d x %d pixels; each side must be 1 to %d", width, height, limit))
	}
	return nil
}

// used says of each color of the palette whether a pixel has it.
func (x *Indexed) used() []bool {
	used := make([]bool, len(x.Palette))
	for _, row := range x.Rows {
		for _, v := range row {
			used[v] = true
		}
	}
	return used
}
