package pngfile

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"math"
	"strings"
)

// headerEnd is where the second chunk of a file begins: behind the signature
// (8 bytes) and IHDR (4 length, 4 type, 13 data, 4 checksum).
const headerEnd = 8 + 25

// chunks returns the ancillary chunks of a picture.
func (m Meta) chunks() (b []byte, err error) {
	if m.Shape.Den != 0 {
		// Pixels per unit: a pixel is ppuY/ppuX as wide as it is high.
		s := m.Shape
		if s.Num <= 0 || s.Num > math.MaxInt32 || s.Den > math.MaxInt32 {
			return nil, fmt.Errorf("png: a pixel shape of %v cannot be written; both numbers must be 1 to %d", s, math.MaxInt32)
		}
		var p [9]byte // unit 0: only the ratio is known
		binary.BigEndian.PutUint32(p[0:], uint32(s.Den))
		binary.BigEndian.PutUint32(p[4:], uint32(s.Num))
		b = appendChunk(b, "pHYs", p[:])
	}
	for _, t := range m.Text {
		keyword, err := latin1(t[0])
		if err != nil {
			return nil, fmt.Errorf("png: keyword %q: %w", t[0], err)
		}
		if err := checkKeyword(keyword); err != nil {
			return nil, fmt.Errorf("png: keyword %q: %w", t[0], err)
		}
		text, err := latin1(t[1])
		if err != nil {
			return nil, fmt.Errorf("png: text of %q: %w", t[0], err)
		}
		b = appendChunk(b, "tEXt", append(append(keyword, 0), text...))
	}
	return b, nil
}

func appendChunk(b []byte, name string, data []byte) []byte {
	b = binary.BigEndian.AppendUint32(b, uint32(len(data)))
	start := len(b)
	b = append(append(b, name...), data...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[start:]))
}

// checkKeyword holds a keyword to clause 11.3.3.2: 1 to 79 bytes, printable,
// no space at either end or twice.
func checkKeyword(k []byte) error {
	s := string(k)
	switch {
	case len(k) == 0 || len(k) > 79:
		return fmt.Errorf("%d bytes; it must have 1 to 79", len(k))
	case strings.ContainsAny(s, "\n\u00a0") || strings.HasPrefix(s, " ") || strings.HasSuffix(s, " ") || strings.Contains(s, "  "):
		return fmt.Errorf("spaces must be single and inside, and no line may break")
	}
	return nil
}

// latin1 returns s in ISO 8859-1, which is all that tEXt can hold. Of the
// control characters only the newline is allowed.
func latin1(s string) ([]byte, error) {
	b := make([]byte, 0, len(s))
	for _, r := range s {
		if r > 0xff || r < 0x20 && r != '\n' || r >= 0x7f && r < 0xa0 {
			return nil, fmt.Errorf("%q is not in Latin-1, all that a tEXt chunk can hold; spell it in other letters", r)
		}
		b = append(b, byte(r))
	}
	return b, nil
}
