// Package bt656 writes and reads the parallel interface stream of ITU-R BT.656:
// every line of a 525- or 625-line frame with its timing reference codes and
// blanking, in words of 8 or 10 bits.
//
// A frame begins with the first word of the EAV of line 1. A digital line is
// EAV (4 words), horizontal blanking, SAV (4 words) and 1440 words of the active
// line in the order Cb Y Cr Y: 1716 words in 525/60 and 1728 in 625/50. The EAV
// that stands right after the active words of one line is therefore the
// beginning of the next, and carries its field and vertical-blanking bits.
//
// Words of 8 bits are bytes; those of 10 bits are 16-bit little-endian, the
// value in the low ten bits. Lines without picture hold blanking level, Cb Y Cr
// Y = 80 10 80 10 (10 bits: 200 040). Half lines are full width. No ancillary
// data is written.
package bt656

import (
	"fmt"

	"backporch/timing"
)

// Words of a line.
const (
	trsWords    = 4
	activeWords = 1440
	samples     = 720
)

// An Edition says where in 525/60 the V bit falls to 0. In 625/50 all editions
// agree.
type Edition int

const (
	// Current has V = 0 from lines 20 and 283 (BT.656-4 and later).
	Current Edition = iota
	// Legacy has V = 0 from lines 10 and 273 (older editions).
	Legacy
	numEditions
)

var editionNames = [numEditions]string{"current", "legacy"}

func (e Edition) String() string {
	if e < 0 || e >= numEditions {
		return fmt.Sprintf("Edition(%d)", int(e))
	}
	return editionNames[e]
}

// Editions lists the names of the editions, the usual one first.
func Editions() []string { return editionNames[:] }

// ParseEdition reads a name of [Editions].
func ParseEdition(s string) (Edition, error) {
	for i, n := range editionNames {
		if n == s {
			return Edition(i), nil
		}
	}
	return 0, fmt.Errorf("unknown edition %q of BT.656; use current or legacy", s)
}

// Flags returns the F bit (0: field 1) and the V bit (1: vertical blanking) of
// a line, 1 to 525 or 625. ITU-R BT.656, as a signal-processor manual and open
// code report it (secondary).
func Flags(s *timing.System, e Edition, line int) (f, v uint8) {
	bit := func(b bool) uint8 {
		if b {
			return 1
		}
		return 0
	}
	if s == timing.System625 {
		picture := line >= 23 && line <= 310 || line >= 336 && line <= 623
		return bit(line >= 313), bit(!picture)
	}
	first, second := 20, 283
	if e == Legacy {
		first, second = 10, 273
	}
	picture := line >= first && line <= 263 || line >= second
	return bit(line < 4 || line >= 266), bit(!picture)
}

// Reference returns the last of the four words of a timing reference code, in 8
// bits: 1 F V H and the protection bits P3 = V^H, P2 = F^H, P1 = F^V,
// P0 = F^V^H. h is 1 for EAV and 0 for SAV. The 10-bit word is four times this.
func Reference(f, v, h uint8) uint8 {
	return 0x80 | f<<6 | v<<5 | h<<4 | (v^h)<<3 | (f^h)<<2 | (f^v)<<1 | f ^ v ^ h
}

// LineWords returns the words of a whole line: two for each of 858 or 864
// periods of 13.5 MHz, ITU-R BT.601-5 table 2.
func LineWords(s *timing.System) int {
	if s == timing.System625 {
		return 2 * 864
	}
	return 2 * 858
}

// FrameSize returns the bytes of a frame of a scan at 8 or 10 bits.
func FrameSize(s *timing.Scan, bits int) int {
	return s.Lines * LineWords(s.System) * wordBytes(bits)
}

func wordBytes(bits int) int {
	if bits > 8 {
		return 2
	}
	return 1
}
