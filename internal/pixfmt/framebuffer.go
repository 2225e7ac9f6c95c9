package pixfmt

import "fmt"

// mostAlign is the largest distance that rows may be made multiples of.
const mostAlign = 1 << 12

// Check refuses a framebuffer that cannot be.
func (f *Framebuffer) Check() error {
	switch f.Bits {
	case 0:
		if err := f.Color.Check(); err != nil {
			return err
		}
	case 1, 2, 4, 8:
		if f.Palette != nil {
			if err := f.Palette.Check(); err != nil {
				return err
			}
		}
	default:
		return UnsupportedError(fmt.Sprintf("indexes of %d bits; a framebuffer can have 1, 2, 4 or 8", f.Bits))
	}
	if f.Align < 0 || f.Align > mostAlign {
		return UnsupportedError(fmt.Sprintf("rows aligned to %d bytes; it can be 0 to %d", f.Align, mostAlign))
	}
	return nil
}

// Stride returns the bytes from one row to the next of a picture of so many
// pixels across.
func (f *Framebuffer) Stride(width int) int {
	n := width * f.Color.Bytes
	if f.Bits != 0 {
		n = (width*f.Bits + 7) / 8
	}
	align := max(1, f.Align)
	return (n + align - 1) / align * align
}

// Pack returns a picture as it stands in memory, top row first. Bits and bytes
// that no pixel needs are 0. A picture whose indexes or colors the framebuffer
// cannot hold is refused.
func (f *Framebuffer) Pack(x *Indexed) ([]byte, error) {
	if err := f.Check(); err != nil {
		return nil, err
	}
	most := len(x.Palette)
	if f.Bits != 0 {
		most = min(most, 1<<f.Bits)
	}
	if err := x.check(most); err != nil {
		return nil, err
	}
	var words []uint32
	if f.Bits == 0 {
		var err error
		if words, err = f.words(x); err != nil {
			return nil, err
		}
	}
	stride := f.Stride(x.Width())
	dst := make([]byte, stride*x.Height())
	first := make([]int, len(x.Rows)) // where a row stands, from 1; 0: not yet
	for j, n := range x.Lines {
		line := dst[j*stride : (j+1)*stride]
		if at := first[n]; at > 0 {
			copy(line, dst[(at-1)*stride:])
			continue
		}
		first[n] = j + 1
		if f.Bits != 0 {
			packIndexes(line, x.Rows[n], f.Bits, f.HighFirst)
			continue
		}
		line = line[:0]
		for _, i := range x.Rows[n] {
			line = appendWord(line, words[i], f.Color.Bytes, f.Color.BigEndian)
		}
	}
	return dst, nil
}

// words returns the words of the palette. A color that has none is refused only
// if a pixel has it.
func (f *Framebuffer) words(x *Indexed) ([]uint32, error) {
	words := make([]uint32, len(x.Palette))
	for i, used := range x.used() {
		if !used {
			continue
		}
		var err error
		if words[i], err = f.Color.Word(x.Palette[i]); err != nil {
			return nil, err
		}
	}
	return words, nil
}

// PackPalette returns the palette of a picture as its words stand in memory,
// in the palette's order; nil if the framebuffer has none.
func (f *Framebuffer) PackPalette(x *Indexed) ([]byte, error) {
	if f.Bits == 0 || f.Palette == nil {
		return nil, f.Check()
	}
	if err := f.Check(); err != nil {
		return nil, err
	}
	return f.Palette.AppendPalette(nil, x.Palette[:min(len(x.Palette), 1<<f.Bits)])
}

// Unpack returns the picture that src is. palette says what the indexes stand
// for, and an index beyond it is refused; where every pixel is a color it must
// be nil, and the colors are put in order of first appearance. Bits and bytes
// that no pixel needs are ignored.
func (f *Framebuffer) Unpack(src []byte, width, height int, palette [][3]uint8) (*Indexed, error) {
	if err := f.Check(); err != nil {
		return nil, err
	}
	if err := checkSides(width, height); err != nil {
		return nil, err
	}
	stride := f.Stride(width)
	if len(src) != stride*height {
		return nil, FormatError(fmt.Sprintf("%d bytes; a picture of %d x %d pixels has %d", len(src), width, height, stride*height))
	}
	x := &Indexed{Palette: palette, Rows: make([][]uint16, height), Lines: make([]int32, height)}
	pixels := make([]uint16, width*height)
	index := make(map[uint32]uint16)
	for j := range x.Rows {
		row := pixels[j*width : (j+1)*width]
		x.Rows[j], x.Lines[j] = row, int32(j)
		line := src[j*stride:]
		if f.Bits != 0 {
			unpackIndexes(row, line, f.Bits, f.HighFirst)
			continue
		}
		for i := range row {
			word := wordAt(line[i*f.Color.Bytes:(i+1)*f.Color.Bytes], f.Color.BigEndian)
			color := f.Color.Color(word)
			key := uint32(color[0])<<16 | uint32(color[1])<<8 | uint32(color[2])
			n, ok := index[key]
			if !ok {
				if len(x.Palette) > 0xffff {
					return nil, UnsupportedError("a picture of more than 65,536 colors")
				}
				n = uint16(len(x.Palette))
				index[key] = n
				x.Palette = append(x.Palette, color)
			}
			row[i] = n
		}
	}
	return x, x.check(len(x.Palette))
}

// packIndexes packs pixels of 1, 2, 4 or 8 bits into bytes.
func packIndexes[T uint8 | uint16](dst []byte, row []T, bits int, highFirst bool) {
	for i, v := range row {
		at := i * bits
		shift := at % 8
		if highFirst {
			shift = 8 - bits - shift
		}
		dst[at/8] |= byte(v) << shift
	}
}

// unpackIndexes is the reverse of packIndexes.
func unpackIndexes[T uint8 | uint16](row []T, src []byte, bits int, highFirst bool) {
	for i := range row {
		at := i * bits
		shift := at % 8
		if highFirst {
			shift = 8 - bits - shift
		}
		row[i] = T(src[at/8] >> shift & (1<<bits - 1))
	}
}
