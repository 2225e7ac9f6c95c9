package pixfmt

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

// Width returns the samples of a row.
func (x *Indexed) Width() int { return len(x.Rows[0]) }

// Height returns the number of lines.
func (x *Indexed) Height() int { return len(x.Lines) }
