package pixfmt

// MaxColors is how many colors an [Indexed] picture can have.
const MaxColors = 256

// Indexed is a picture of palette indexes: distinct rows, and which of them
// each line shows. PNG and BMP files are written from it.
type Indexed struct {
	Palette [][3]uint8 // R'G'B', in order of first appearance, top row first
	Rows    [][]uint8
	Lines   []int32
}

// Index returns the indexed picture of rows of 8-bit codes. ok is false when
// they hold more than [MaxColors] colors.
func (r *RGBRows) Index() (x *Indexed, ok bool) {
	x = &Indexed{Rows: make([][]uint8, len(r.Rows)), Lines: r.Lines}
	index := make(map[uint32]uint8, MaxColors)
	for i, row := range r.Rows {
		red, green, blue := row[0], row[1][:len(row[0])], row[2][:len(row[0])]
		out := make([]uint8, len(red))
		last, lastIndex := uint32(1<<24), uint8(0) // no color
		for j := range red {
			color := uint32(red[j])<<16 | uint32(green[j])<<8 | uint32(blue[j])
			if color != last {
				n, known := index[color]
				if !known {
					if len(x.Palette) == MaxColors {
						return nil, false
					}
					n = uint8(len(x.Palette))
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
