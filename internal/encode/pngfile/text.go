package pngfile

import (
	"bytes"
	"encoding/binary"
)

// Text returns the keywords and texts (tEXt, W3C PNG third edition, 11.3.3.2) of
// a PNG before its picture. What is no PNG has none.
func Text(file []byte) (list [][2]string) {
	rest, ok := bytes.CutPrefix(file, []byte("\x89PNG\r\n\x1a\n"))
	for ok && len(rest) >= 12 {
		n, kind := int64(binary.BigEndian.Uint32(rest)), string(rest[4:8])
		if kind == "IDAT" || n > int64(len(rest)-12) {
			break
		}
		if keyword, text, found := bytes.Cut(rest[8:8+n], []byte{0}); kind == "tEXt" && found {
			list = append(list, [2]string{fromLatin1(keyword), fromLatin1(text)})
		}
		rest = rest[12+n:]
	}
	return list
}

// fromLatin1 is the inverse of latin1.
func fromLatin1(b []byte) string {
	r := make([]rune, len(b))
	for i, c := range b {
		r[i] = rune(c)
	}
	return string(r)
}
