package pixfmt

import (
	"fmt"
	"slices"

	"backporch/colorimetry"
	"backporch/pattern/frame"
)

// Codes is a picture of codes: Y'CbCr, or R'G'B' at full chroma resolution.
// Each plane holds its rows top to bottom, without gaps.
type Codes struct {
	Width, Height int
	Across, Down  int // luma samples and rows to one of planes 1 and 2
	Planes        [3][]uint16
}

// NewCodes returns a picture of zero codes. Width must be a multiple of across
// and height of down; it panics otherwise.
func NewCodes(width, height, across, down int) *Codes {
	if width <= 0 || height <= 0 || width%across != 0 || height%down != 0 {
		panic(fmt.Sprintf("pixfmt: NewCodes of %d x %d samples for steps of %d x %d", width, height, across, down))
	}
	c := &Codes{Width: width, Height: height, Across: across, Down: down}
	c.Planes[0] = make([]uint16, width*height)
	for i := 1; i < 3; i++ {
		c.Planes[i] = make([]uint16, width/across*(height/down))
	}
	return c
}

// Size returns the samples and rows of a plane.
func (c *Codes) Size(plane int) (width, height int) {
	if plane == 0 {
		return c.Width, c.Height
	}
	return c.Width / c.Across, c.Height / c.Down
}

// Row returns row j of a plane, sharing its memory.
func (c *Codes) Row(plane, j int) []uint16 {
	w, _ := c.Size(plane)
	return c.Planes[plane][j*w : (j+1)*w : (j+1)*w]
}

// Round returns the codes of a frame. It panics if the coding is R'G'B' and the
// frame is not 4:4:4.
func Round(f *frame.Frame, k *colorimetry.Coding) *Codes {
	across, down := f.Sampling.Step()
	c := NewCodes(f.Raster.Width, f.Raster.Height(), across, down)
	if k.Model == colorimetry.RGB {
		r := RoundRGB(f, k)
		for j, n := range r.Lines {
			for i := range c.Planes {
				copy(c.Row(i, j), r.Rows[n][i])
			}
		}
		return c
	}
	for i, p := range f.Planes {
		first := make(map[int32]int)
		for j, n := range p.Lines {
			if k, ok := first[n]; ok {
				copy(c.Row(i, j), c.Row(i, k))
				continue
			}
			first[n] = j
			k.Row(c.Row(i, j), colorimetry.Component(i), p.Rows[n])
		}
	}
	return c
}

// RGBRows is the distinct rows of a frame as R'G'B' codes, and which of them
// each line shows.
type RGBRows struct {
	Rows  [][3][]uint16
	Lines []int32
}

// Width returns the samples of a row.
func (r *RGBRows) Width() int { return len(r.Rows[0][0]) }

// RoundRGB returns the distinct rows of a 4:4:4 frame in an R'G'B' coding. It
// panics on any other.
func RoundRGB(f *frame.Frame, k *colorimetry.Coding) *RGBRows {
	if f.Sampling != frame.S444 {
		panic(fmt.Sprintf("pixfmt: RoundRGB of a %v frame", f.Sampling))
	}
	triples, lines := f.Distinct()
	r := &RGBRows{Rows: make([][3][]uint16, len(triples)), Lines: lines}
	w := f.Raster.Width
	for i, t := range triples {
		store := make([]uint16, 3*w)
		r.Rows[i] = [3][]uint16{store[:w:w], store[w : 2*w : 2*w], store[2*w:]}
		y, cb, cr := f.Triple(t)
		k.RowRGB(r.Rows[i][0], r.Rows[i][1], r.Rows[i][2], y, cb, cr)
	}
	return r
}

// AppendCodes appends the bytes of a picture of codes to dst. Codes above what
// the layout's bits can hold have no meaning. It panics if the picture does not
// have the layout's chroma.
func (l *Layout) AppendCodes(dst []byte, c *Codes) []byte {
	if c.Across != l.Across || c.Down != l.Down {
		panic("pixfmt: AppendCodes of another chroma than " + l.Name)
	}
	n := l.Size(c.Width, c.Height)
	dst = slices.Grow(dst, n)
	out := dst[len(dst) : len(dst)+n]
	for _, s := range l.sections {
		stride := s.stride(c.Width)
		for j := range c.Height / s.down {
			s.pack(out[:stride], c.rows(s, j))
			out = out[stride:]
		}
	}
	return dst[:len(dst)+n]
}

// Unpack reads a picture of width x height samples from src, which must hold
// exactly one. The errors are a FormatError for bytes that cannot be one, and
// an UnsupportedError for a size that the layout cannot have.
func (l *Layout) Unpack(src []byte, width, height int) (*Codes, error) {
	if err := l.pictureSize(width, height); err != nil {
		return nil, err
	}
	if n := l.Size(width, height); len(src) != n {
		return nil, FormatError(fmt.Sprintf("%d bytes; a %s picture of %d x %d samples has %d", len(src), l.Name, width, height, n))
	}
	c := NewCodes(width, height, l.Across, l.Down)
	for _, s := range l.sections {
		stride := s.stride(width)
		for j := range height / s.down {
			s.unpack(c.rows(s, j), src[:stride])
			src = src[stride:]
		}
	}
	if l.Bits > 8 {
		if err := l.inRange(c); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// rows returns row j of the components of a section.
func (c *Codes) rows(s section, j int) *[3][]uint16 {
	var r [3][]uint16
	for _, i := range s.parts {
		r[i] = c.Row(i, j)
	}
	return &r
}

// inRange refuses words that hold more than the layout's bits.
func (l *Layout) inRange(c *Codes) error {
	for i, p := range c.Planes {
		w, _ := c.Size(i)
		for n, v := range p {
			if v >= 1<<l.Bits {
				return FormatError(fmt.Sprintf("plane %d, row %d, sample %d holds %d, more than %d bits; the value belongs in the low bits of its word", i, n/w, n%w, v, l.Bits))
			}
		}
	}
	return nil
}
