package bt656

import (
	"encoding/binary"
	"fmt"

	"backporch/internal/pixfmt"
	"backporch/timing"
)

// A FormatError reports words that are not a BT.656 stream.
type FormatError string

func (e FormatError) Error() string { return "bt656: invalid stream: " + string(e) }

// A Line is a whole digital line as it stands in a stream.
type Line struct {
	Number int      // 1 to 525 or 625; 0 if the stream has no field change to count from
	F, V   uint8    // of its EAV, and equal in its SAV
	Active []uint16 // 1440 words, Cb Y Cr Y
}

// A Stream is the whole lines found in a piece of a stream.
type Stream struct {
	System        *timing.System
	Bits          int
	Lines         []Line
	Before, After int // words that belong to no whole line
}

// Read finds the lines in a piece of a stream of 8- or 10-bit words, which may
// begin and end anywhere. It holds every timing reference code to its
// protection bits and to its place. The error is a FormatError.
//
// As the interface has it, a word counts as all ones or as zero by its upper
// eight bits.
func Read(src []byte, bits int) (*Stream, error) {
	words, err := toWords(src, bits)
	if err != nil {
		return nil, err
	}
	start := nextEAV(words, 0, bits)
	if start < 0 {
		return nil, FormatError("no EAV in it: FF 00 00 and a word with the H bit")
	}
	next := nextEAV(words, start+trsWords, bits)
	if next < 0 {
		return nil, FormatError("no two EAVs in it, so no whole line")
	}
	s := &Stream{Bits: bits, Before: start}
	switch next - start {
	case LineWords(timing.System525):
		s.System = timing.System525
	case LineWords(timing.System625):
		s.System = timing.System625
	default:
		return nil, FormatError(fmt.Sprintf("%d words from EAV to EAV; a line has %d or %d", next-start, LineWords(timing.System525), LineWords(timing.System625)))
	}
	n := LineWords(s.System)
	for ; len(words)-start >= n; start += n {
		l, err := readLine(words[start:start+n], bits)
		if err != nil {
			return nil, FormatError(fmt.Sprintf("line %d from the beginning: %v", len(s.Lines)+1, err))
		}
		s.Lines = append(s.Lines, l)
	}
	s.After = len(words) - start
	return s, s.count()
}

func toWords(src []byte, bits int) ([]uint16, error) {
	if bits != 8 && bits != 10 {
		return nil, FormatError(fmt.Sprintf("words of %d bits; there are 8 and 10", bits))
	}
	if bits == 8 {
		words := make([]uint16, len(src))
		for i, b := range src {
			words[i] = uint16(b)
		}
		return words, nil
	}
	if len(src)%2 != 0 {
		return nil, FormatError(fmt.Sprintf("%d bytes, not a whole number of 16-bit words", len(src)))
	}
	words := make([]uint16, len(src)/2)
	for i := range words {
		words[i] = binary.LittleEndian.Uint16(src[2*i:])
		if words[i] > 0x3ff {
			return nil, FormatError(fmt.Sprintf("word %d is %#x, more than 10 bits; the value belongs in the low bits", i, words[i]))
		}
	}
	return words, nil
}

// reference returns the fourth word of a timing reference code at the start of
// w, in 8 bits.
func reference(w []uint16, bits int) (xy uint8, ok bool) {
	shift := bits - 8
	if len(w) < trsWords || w[0]>>shift != 0xff || w[1]>>shift != 0 || w[2]>>shift != 0 {
		return 0, false
	}
	return uint8(w[3] >> shift), true
}

// nextEAV returns the place of the next timing reference code with the H bit,
// or -1.
func nextEAV(words []uint16, from, bits int) int {
	for i := from; i+trsWords <= len(words); i++ {
		if xy, ok := reference(words[i:], bits); ok && xy&0x10 != 0 {
			return i
		}
	}
	return -1
}

// readLine reads one line, beginning with its EAV.
func readLine(w []uint16, bits int) (Line, error) {
	var l Line
	sav := len(w) - activeWords - trsWords
	for h, at := range [...]int{sav, 0} {
		name := [...]string{"SAV", "EAV"}[h]
		xy, ok := reference(w[at:], bits)
		if !ok {
			return l, fmt.Errorf("no %s at word %d of the line", name, at)
		}
		f, v := xy>>6&1, xy>>5&1
		if want := Reference(f, v, uint8(h)); xy != want {
			return l, fmt.Errorf("the %s is %#02x; with F %d and V %d it must be %#02x", name, xy, f, v, want)
		}
		if h == 1 && (f != l.F || v != l.V) {
			return l, fmt.Errorf("the bits F and V are %d %d in the EAV and %d %d in the SAV", f, v, l.F, l.V)
		}
		l.F, l.V = f, v
	}
	l.Active = w[sav+trsWords:]
	return l, nil
}

// count numbers the lines from the first change of F, and holds the F bits of
// all others to it.
func (s *Stream) count() error {
	total, second := 525, 266
	first := 4
	if s.System == timing.System625 {
		total, second, first = 625, 313, 1
	}
	known, number := -1, 0
	for i := 1; i < len(s.Lines); i++ {
		if s.Lines[i].F != s.Lines[i-1].F {
			known, number = i, first
			if s.Lines[i].F == 1 {
				number = second
			}
			break
		}
	}
	if known < 0 {
		return nil
	}
	for i := range s.Lines {
		l := &s.Lines[i]
		l.Number = ((number-1+i-known)%total+total)%total + 1
		if f, _ := Flags(s.System, Current, l.Number); f != l.F {
			return FormatError(fmt.Sprintf("line %d from the beginning has F = %d, and counted from the first change of field it is line %d with F = %d", i+1, l.F, l.Number, f))
		}
	}
	return nil
}

// Picture returns the rows of a raster out of frame n, counting from 0 the
// frames that begin in the stream: 4:2:2 codes. The raster may be any of the
// system that is 720 samples wide. It names a line that the stream lacks.
func (s *Stream) Picture(r *timing.Raster, n int) (*pixfmt.Codes, error) {
	if r.Scan.System != s.System || !r.Scan.Interlaced() || r.Width != samples {
		return nil, fmt.Errorf("bt656: raster %s cannot be read from a stream of %s", r.Name, s.System.Name)
	}
	lines := make(map[int][]uint16)
	frame := -1
	for _, l := range s.Lines {
		if l.Number == 1 {
			frame++
		}
		if l.Number > 0 && frame == n {
			lines[l.Number] = l.Active
		}
	}
	c := pixfmt.NewCodes(samples, r.Height(), 2, 1)
	for j, l := range r.Lines {
		w, ok := lines[l.Number]
		if !ok {
			return nil, fmt.Errorf("bt656: frame %d of the stream lacks line %d", n, l.Number)
		}
		y, cb, cr := c.Row(0, j), c.Row(1, j), c.Row(2, j)
		for i := range cb {
			cb[i], y[2*i], cr[i], y[2*i+1] = w[4*i], w[4*i+1], w[4*i+2], w[4*i+3]
		}
	}
	return c, nil
}
