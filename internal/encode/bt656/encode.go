package bt656

import (
	"encoding/binary"
	"fmt"
	"slices"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"
)

// Lattice returns the raster that a frame must be sampled on: r's own clock and
// scan, and every picture line of the system. It refuses rasters that the
// interface cannot carry.
func Lattice(r *timing.Raster) (*timing.Raster, error) {
	const way = "use raster 480i or 576i, or a file format such as y4m"
	if !r.Scan.Interlaced() {
		return nil, fmt.Errorf("raster %s is not interlaced, and BT.656 carries whole frames of 525 or 625 interlaced lines; %s", r.Name, way)
	}
	clock, start := timing.Int(13_500_000), timing.Int(122) // ITU-R BT.601-5 table 2
	if r.Scan.System == timing.System625 {
		start = timing.Int(132)
	}
	switch {
	case r.Free || r.Clock != clock:
		return nil, fmt.Errorf("raster %s is clocked at %v Hz, and BT.656 is at 13500000; %s", r.Name, r.Clock, way)
	case r.Width != samples:
		return nil, fmt.Errorf("raster %s has %d samples a line, and BT.656 has %d; %s", r.Name, r.Width, samples, way)
	case r.Start != start:
		return nil, fmt.Errorf("raster %s begins %v samples after 0H, and BT.656 at %v; %s", r.Name, r.Start, start, way)
	}
	return r.FullFrame(), nil
}

// An Encoder packs frames. It keeps scratch memory from frame to frame, so that
// a second frame into a large enough slice allocates nothing. Use [NewEncoder].
//
// An Encoder is not safe for concurrent use; make one for each goroutine.
type Encoder struct {
	coding  *colorimetry.Coding
	edition Edition

	codes  [3][]uint16
	rowOf  []int32 // the row of a line, by its number; -1 for none
	seen   map[[3]int32]int
	system *timing.System
	lead   [4][]byte // EAV, blanking and SAV, by F*2+V
	blank  []byte    // the active words of a line without picture
}

// NewEncoder returns an encoder of 8- or 10-bit words. It panics on a coding
// that is not Y'CbCr of that depth.
func NewEncoder(k *colorimetry.Coding, e Edition) *Encoder {
	if k.Model != colorimetry.YCbCr || k.Bits != 8 && k.Bits != 10 {
		panic("bt656: NewEncoder of " + k.Name)
	}
	z := &Encoder{coding: k, edition: e, seen: make(map[[3]int32]int)}
	z.codes = [3][]uint16{make([]uint16, samples), make([]uint16, samples/2), make([]uint16, samples/2)}
	return z
}

// word appends a word given in 8 bits; 0xff is all ones in 10 bits too.
func (z *Encoder) word(dst []byte, v uint8) []byte {
	switch {
	case z.coding.Bits == 8:
		return append(dst, v)
	case v == 0xff:
		return binary.LittleEndian.AppendUint16(dst, 0x3ff)
	default:
		return binary.LittleEndian.AppendUint16(dst, uint16(v)<<2)
	}
}

// reset prepares what does not change from frame to frame.
func (z *Encoder) reset(s *timing.Scan) {
	if z.system == s.System {
		return
	}
	z.system = s.System
	blank := func(dst []byte, words int) []byte {
		for range words / 2 {
			dst = z.word(z.word(dst, 0x80), 0x10)
		}
		return dst
	}
	reference := func(dst []byte, xy uint8) []byte {
		for _, v := range [...]uint8{0xff, 0, 0, xy} {
			dst = z.word(dst, v)
		}
		return dst
	}
	for i := range z.lead {
		f, v := uint8(i>>1), uint8(i&1)
		b := reference(nil, Reference(f, v, 1))
		b = blank(b, LineWords(z.system)-activeWords-2*trsWords)
		z.lead[i] = reference(b, Reference(f, v, 0))
	}
	z.blank = blank(nil, activeWords)
	z.rowOf = make([]int32, s.Lines+1)
}

// Append appends one frame to dst. f is a 4:2:2 frame on a raster of [Lattice];
// lines that the raster does not have are blank. It panics if f is not 4:2:2 or
// its rows are not 720 samples.
func (z *Encoder) Append(dst []byte, f *frame.Frame) []byte {
	r := f.Raster
	if f.Sampling != frame.S422 || r.Width != samples {
		panic(fmt.Sprintf("bt656: Append of a frame of %v and %d samples a row", f.Sampling, r.Width))
	}
	z.reset(r.Scan)
	for i := range z.rowOf {
		z.rowOf[i] = -1
	}
	for j, l := range r.Lines {
		z.rowOf[l.Number] = int32(j)
	}
	clear(z.seen)
	start := len(dst)
	n := FrameSize(r.Scan, z.coding.Bits)
	dst = slices.Grow(dst, n)
	active := activeWords * wordBytes(z.coding.Bits)
	for line := 1; line <= r.Scan.Lines; line++ {
		fbit, vbit := Flags(r.Scan.System, z.edition, line)
		dst = append(dst, z.lead[fbit<<1|vbit]...)
		j := z.rowOf[line]
		if j < 0 {
			dst = append(dst, z.blank...)
			continue
		}
		t := [3]int32{f.Planes[0].Lines[j], f.Planes[1].Lines[j], f.Planes[2].Lines[j]}
		if at, ok := z.seen[t]; ok {
			dst = append(dst, dst[at:at+active]...)
			continue
		}
		z.seen[t] = len(dst)
		for c := range z.codes {
			z.coding.Row(z.codes[c], colorimetry.Component(c), f.Planes[c].Rows[t[c]])
		}
		dst = z.active(dst)
	}
	if len(dst)-start != n {
		panic("bt656: the lines of a frame do not fill it")
	}
	return dst
}

// active appends the words of the line in z.codes.
func (z *Encoder) active(dst []byte) []byte {
	y, cb, cr := z.codes[0], z.codes[1], z.codes[2]
	if z.coding.Bits == 8 {
		for i := range cb {
			dst = append(dst, byte(cb[i]), byte(y[2*i]), byte(cr[i]), byte(y[2*i+1]))
		}
		return dst
	}
	for i := range cb {
		for _, v := range [...]uint16{cb[i], y[2*i], cr[i], y[2*i+1]} {
			dst = binary.LittleEndian.AppendUint16(dst, v)
		}
	}
	return dst
}
