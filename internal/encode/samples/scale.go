// Package samples writes and reads the samples of a signal as numbers: words
// of 16 bits, as raw files and WAVE files hold them, and text with a line for
// each sample. It knows levels in mV above blanking and nothing of what they
// mean.
//
// Words come in two scales. U16 is the digital composite signal of SMPTE 244M
// (525 lines) and EBU Tech 3280-E (625 lines): 10-bit codes with blanking at 240
// or 256, unshifted. S16 is the same scale 32 times as fine, with blanking at 0.
package samples

import (
	"encoding/binary"
	"fmt"
	"math"
)

// A Scale says which code stands for a level: Zero + mV * PerMillivolt,
// rounded half up and held within Lowest and Highest.
type Scale struct {
	PerMillivolt    float64
	Zero            int // code of 0 mV
	Lowest, Highest int // legal codes; below 0: the word has a sign
}

// perMillivolt is the scale of the 10-bit codes. 525 lines: 5.6 codes an IRE
// of 1000/140 mV, so that 240 is blanking and 800 is 100 IRE (SMPTE 244M table
// 1). 625 lines: 256 is blanking and 844 is 700 mV (EBU Tech 3280-E table 1).
func perMillivolt(lines int) float64 {
	if lines == 625 {
		return 0.84
	}
	return 0.784
}

// Codes 0 to 3 and 1020 to 1023 are reserved (SMPTE 244M table 1, EBU Tech
// 3280-E table 1).
const (
	lowest10  = 4
	highest10 = 1019
	middle10  = 512
)

// U16 returns the scale of 10-bit codes for the signals of a system of 525 or
// 625 lines. A signal that swings about 0, such as a color difference, has its
// zero at 512.
func U16(lines int, swings bool) Scale {
	s := Scale{perMillivolt(lines), 240, lowest10, highest10}
	switch {
	case swings:
		s.Zero = middle10
	case lines == 625:
		s.Zero = 256
	}
	return s
}

// finer is how many steps of S16 make one of U16.
const finer = 32

// S16 returns the scale of signed words, 0 at blanking or at no color.
func S16(lines int) Scale {
	return Scale{finer * perMillivolt(lines), 0, math.MinInt16, math.MaxInt16}
}

// Limits of PerMillivolt: 16 bits are then 655 V to 6.5 mV, far beyond any
// cable on either side.
const (
	leastPerMillivolt = 0.1
	mostPerMillivolt  = 10_000
)

// Check reports a scale that no file of 16-bit words can have, or that no
// cable needs.
func (s Scale) Check() error {
	switch {
	case !(s.PerMillivolt >= leastPerMillivolt && s.PerMillivolt <= mostPerMillivolt):
		return fmt.Errorf("%v codes a mV are not within %v to %v", s.PerMillivolt, leastPerMillivolt, mostPerMillivolt)
	case s.Lowest >= s.Highest || s.Zero < s.Lowest || s.Zero > s.Highest,
		s.Lowest < math.MinInt16 || s.Lowest < 0 && s.Highest > math.MaxInt16 || s.Highest > math.MaxUint16:
		return fmt.Errorf("codes %d to %d with zero at %d do not fit 16 bits", s.Lowest, s.Highest, s.Zero)
	}
	return nil
}

// Code returns the code of a level, and whether it is the nearest legal one
// and not the code itself.
func (s Scale) Code(mv float32) (code int, clipped bool) {
	c := math.Floor(float64(float64(mv)*s.PerMillivolt) + float64(s.Zero) + 0.5)
	switch {
	case c < float64(s.Lowest):
		return s.Lowest, true
	case c > float64(s.Highest):
		return s.Highest, true
	}
	return int(c), false
}

// Millivolt returns the level that a code stands for.
func (s Scale) Millivolt(code int) float32 {
	return float32(float64(code-s.Zero) / s.PerMillivolt)
}

// word returns the code that 16 bits hold.
func (s Scale) word(w uint16) int {
	if s.Lowest < 0 {
		return int(int16(w))
	}
	return int(w)
}

// Append appends the samples of all channels in turn, little-endian, to dst
// and adds to clipped, for each channel, how many had no legal code. scales has
// one scale for each channel; the channels are of one length.
func Append(dst []byte, scales []Scale, mv [][]float32, clipped []int64) []byte {
	step := 2 * len(mv)
	from := len(dst)
	dst = append(dst, make([]byte, step*len(mv[0]))...)
	for c, samples := range mv {
		s := scales[c]
		zero, lowest, highest := float64(s.Zero)+0.5, float64(s.Lowest), float64(s.Highest)
		at := from + 2*c
		for _, v := range samples {
			code := math.Floor(float64(float64(v)*s.PerMillivolt) + zero)
			if code < lowest {
				code = lowest
				clipped[c]++
			} else if code > highest {
				code = highest
				clipped[c]++
			}
			binary.LittleEndian.PutUint16(dst[at:], uint16(int32(code)))
			at += step
		}
	}
	return dst
}

// Extend appends the levels of whole blocks of words, one word for each
// channel, to the channels of dst. It is the inverse of [Append].
func Extend(dst [][]float32, scales []Scale, words []byte) {
	step := 2 * len(dst)
	n := len(words) / step
	for c := range dst {
		s := scales[c]
		for i := range n {
			w := binary.LittleEndian.Uint16(words[i*step+2*c:])
			dst[c] = append(dst[c], s.Millivolt(s.word(w)))
		}
	}
}
