package pixfmt

import (
	"fmt"
	"slices"

	"backporch/colorimetry"
	"backporch/pattern/frame"
)

// A Packer packs frames. It keeps scratch memory from frame to frame, so that
// packing a second frame of the same size into a large enough slice allocates
// nothing. The zero value is ready.
//
// A Packer is not safe for concurrent use; make one for each goroutine.
type Packer struct {
	codes [3][]uint16
	seen  map[[3]int32]int // where the row of a triple was packed first
	first []int            // the same for a plane, by row
	have  [3]int32         // which row of each component is in codes; -1 for none
}

// Append appends the bytes of a frame to dst. It panics if the frame does not
// have the chroma of the layout, or the coding its model or depth: which
// sampling and coding a file takes is decided long before.
func (p *Packer) Append(dst []byte, l *Layout, k *colorimetry.Coding, f *frame.Frame) []byte {
	if !l.fits(f.Sampling) || k.Model != l.Model || k.Bits != l.Bits {
		panic(fmt.Sprintf("pixfmt: %s from a frame of %v and %s", l.Name, f.Sampling, k.Name))
	}
	width, height := f.Raster.Width, f.Raster.Height()
	for i := range p.codes {
		n := width
		if i > 0 {
			n /= l.Across
		}
		p.codes[i] = slices.Grow(p.codes[i][:0], n)[:n]
	}
	n := l.Size(width, height)
	dst = slices.Grow(dst, n)
	out := dst[len(dst) : len(dst)+n]
	for i := range l.sections {
		s := &l.sections[i]
		size := s.stride(width) * (height / s.down)
		if len(s.parts) == 1 {
			p.plane(out[:size], s, k, &f.Planes[s.parts[0]], s.stride(width))
		} else {
			p.mixed(out[:size], s, k, f, s.stride(width))
		}
		out = out[size:]
	}
	return dst[:len(dst)+n]
}

// plane packs a section of one component.
func (p *Packer) plane(out []byte, s *section, k *colorimetry.Coding, v *frame.Plane, stride int) {
	c := s.parts[0]
	p.first = slices.Grow(p.first[:0], len(v.Rows))[:len(v.Rows)]
	for i := range p.first {
		p.first[i] = -1
	}
	for j, row := range v.Lines {
		line := out[j*stride : (j+1)*stride]
		if at := p.first[row]; at >= 0 {
			copy(line, out[at:at+stride])
			continue
		}
		p.first[row] = j * stride
		k.Row(p.codes[c], colorimetry.Component(c), v.Rows[row])
		s.pack(line, &p.codes)
	}
}

// mixed packs a section of several components.
func (p *Packer) mixed(out []byte, s *section, k *colorimetry.Coding, f *frame.Frame, stride int) {
	if p.seen == nil {
		p.seen = make(map[[3]int32]int)
	}
	clear(p.seen)
	p.have = [3]int32{-1, -1, -1}
	lead := f.Planes[s.parts[0]].Lines
	for j := range lead {
		var t [3]int32
		for _, c := range s.parts {
			t[c] = f.Planes[c].Lines[j]
		}
		line := out[j*stride : (j+1)*stride]
		if at, ok := p.seen[t]; ok {
			copy(line, out[at:at+stride])
			continue
		}
		p.seen[t] = j * stride
		if k.Model == colorimetry.RGB {
			y, cb, cr := f.Triple(t)
			k.RowRGB(p.codes[0], p.codes[1], p.codes[2], y, cb, cr)
		} else {
			for _, c := range s.parts {
				if p.have[c] == t[c] {
					continue // the chroma of a neutral picture is one row
				}
				p.have[c] = t[c]
				k.Row(p.codes[c], colorimetry.Component(c), f.Planes[c].Rows[t[c]])
			}
		}
		s.pack(line, &p.codes)
	}
}
