package oracle

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// chunk is a chunk by the words of W3C PNG 3rd edition, 5.3: length, type,
// data, CRC over type and data.
func chunk(kind string, data ...byte) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	b = append(append(b, kind...), data...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// pngFile is a PNG of rows that have their filter byte in front; more chunks
// stand before the data.
func pngFile(w, h uint32, depth, kind byte, rows []byte, more ...[]byte) []byte {
	b := []byte("\x89PNG\r\n\x1a\n")
	head := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	b = append(b, chunk("IHDR", append(head, depth, kind, 0, 0, 0)...)...)
	b = append(b, bytes.Join(more, nil)...)
	var z bytes.Buffer
	zw := zlib.NewWriter(&z)
	_, _ = zw.Write(rows) // a buffer takes everything
	_ = zw.Close()
	b = append(b, chunk("IDAT", z.Bytes()...)...)
	return append(b, chunk("IEND")...)
}

func TestReadPNG(t *testing.T) {
	for _, tt := range []struct {
		name string
		file []byte
		want Pixels
	}{
		{"RGB of 8 bits", pngFile(2, 2, 8, 2, []byte{0, 1, 2, 3, 250, 251, 252, 0, 16, 235, 128, 0, 0, 255}),
			Pixels{2, 2, 255, []uint16{1, 2, 3, 250, 251, 252, 16, 235, 128, 0, 0, 255}}},
		{"RGB of 16 bits", pngFile(1, 1, 16, 2, []byte{0, 0x12, 0x34, 0xff, 0xff, 0, 1}),
			Pixels{1, 1, 65535, []uint16{0x1234, 0xffff, 1}}},
		{"gray", pngFile(3, 1, 8, 0, []byte{0, 7, 128, 255}),
			Pixels{3, 1, 255, []uint16{7, 7, 7, 128, 128, 128, 255, 255, 255}}},
		{"palette of 2 bits", pngFile(3, 1, 2, 3, []byte{0, 0b00_01_10_00}, chunk("PLTE", 10, 20, 30, 40, 50, 60, 70, 80, 90)),
			Pixels{3, 1, 255, []uint16{10, 20, 30, 40, 50, 60, 70, 80, 90}}},
		{"pixels not square", pngFile(1, 1, 8, 2, []byte{0, 9, 8, 7}, chunk("pHYs", 0, 0, 0, 11, 0, 0, 0, 12, 0)),
			Pixels{1, 1, 255, []uint16{9, 8, 7}}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := ReadPNG(t, tt.file)
			assert.Equal(t, &tt.want, got)
			assert.Equal(t, [3]uint16(tt.want.RGB[len(tt.want.RGB)-3:]), got.At(tt.want.W-1, tt.want.H-1))
		})
	}
}

func TestReadPNGRefuses(t *testing.T) {
	Need(t, "pngtopam")
	file := pngFile(2, 2, 8, 0, []byte{0, 1, 2, 0, 3, 4})
	assert.Contains(t, failed(t, func(t testing.TB) { ReadPNG(t, file[:50]) }), "FAIL oracle: pngtopam")
	assert.Contains(t, failed(t, func(t testing.TB) { ReadPNG(t, nil) }), "FAIL oracle: pngtopam")
	short := pngFile(2, 2, 8, 0, []byte{0, 1, 2, 0, 3})
	assert.Contains(t, failed(t, func(t testing.TB) { ReadPNG(t, short) }), "FAIL oracle: pngtopam", "a sample is missing")
}

func TestParseNetpbm(t *testing.T) {
	for _, tt := range []struct{ name, file, want string }{
		{"empty", "", "head"},
		{"no samples", "P5 2 1 255\n", "0 bytes of samples, want 2"},
		{"too many", "P5 2 1 255\nabc", "3 bytes of samples, want 2"},
		{"another kind", "P4 8 1 1\na", "not understood"},
		{"no size", "P6 0 1 255\n", "not understood"},
		{"no blank", "P5 1 1 255", "no blank"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := parseNetpbm([]byte(tt.file))
			assert.ErrorContains(t, err, tt.want)
		})
	}
}

func TestCheckPNG(t *testing.T) {
	Need(t, "pngcheck")
	file := pngFile(5, 3, 8, 0, make([]byte, 18),
		chunk("pHYs", 0, 0, 0, 11, 0, 0, 0, 12, 0), chunk("tEXt", []byte("Title\x00Bench A")...))
	got := CheckPNG(t, file)
	require.Len(t, got, 5)
	assert.Equal(t, Chunk{"IHDR", 12, 13, "5 x 3 image, 8-bit grayscale, non-interlaced"}, got[0])
	assert.Equal(t, Chunk{"pHYs", 37, 9, "11x12 pixels/unit (11:12)"}, got[1])
	assert.Equal(t, Chunk{"tEXt", 58, 13, "keyword: Title\nBench A"}, got[2])
	assert.Equal(t, "IDAT", got[3].Type)
	assert.Equal(t, Chunk{"IEND", len(file) - 8, 0, ""}, got[4])

	for name, bad := range map[string][]byte{
		"a changed bit":       bytes.Replace(file, []byte("Bench A"), []byte("Bench B"), 1),
		"cut":                 file[:len(file)-4],
		"nothing":             nil,
		"a palette too early": pngFile(1, 1, 8, 2, make([]byte, 4), chunk("PLTE", 1, 2)),
	} {
		t.Run(name, func(t *testing.T) {
			assert.Contains(t, failed(t, func(t testing.TB) { CheckPNG(t, bad) }), "FAIL oracle: pngcheck finds faults")
		})
	}
}
