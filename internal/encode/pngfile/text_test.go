package pngfile

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// FuzzText: whatever the bytes, no panic, and no text longer than the file.
func FuzzText(f *testing.F) {
	f.Add([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x03tEXta\x00\xe9\x00\x00\x00\x00\x00\x00\x00\x00IDAT\x00\x00\x00\x00"))
	f.Add([]byte("\x89PNG\r\n\x1a\n\xff\xff\xff\xfftEXta\x00\xe9\x00\x00\x00\x00"))
	f.Add([]byte("GIF89a"))
	f.Fuzz(func(t *testing.T, file []byte) {
		n := 0
		for _, kv := range Text(file) {
			n += len([]rune(kv[0])) + len([]rune(kv[1])) + 1
		}
		if n > len(file) {
			t.Fatalf("%d characters out of %d bytes", n, len(file))
		}
	})
}

// TestText: W3C PNG third edition, 11.3.3.2: keyword, null, Latin-1.
func TestText(t *testing.T) {
	file := []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x03tEXta\x00\xe9\x00\x00\x00\x00\x00\x00\x00\x00IDAT\x00\x00\x00\x00")
	assert.Equal(t, [][2]string{{"a", "é"}}, Text(file))
	assert.Nil(t, Text(file[:20]))
}
