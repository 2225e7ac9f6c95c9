package deliver

import (
	"bytes"
	"encoding/binary"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCRC16(t *testing.T) {
	// ECMA-167, 3/7.2.6 gives this example: memory.
	assert.Equal(t, uint16(0x3299), crc16([]byte{0x70, 0x6a, 0x77}))
}

// smallImage is an image of files that are not looked into.
func smallImage() *discImage {
	return &discImage{Volume: "BENCH_A", Total: 512, Files: []discFile{
		{"VIDEO_TS.IFO", 288, 12288}, {"VIDEO_TS.BUP", 300, 12288}, {"VTS_01_0.IFO", 320, 5000}, {"VTS_01_1.VOB", 323, 4096}, {"VTS_01_0.BUP", 330, 5000},
	}}
}

// laid is the lists of an image without its files.
func laid(im *discImage) []byte {
	b := make([]byte, int(im.Total)*discSector)
	for _, side := range []map[uint32][]byte{im.iso(), im.udf()} {
		for at, s := range side {
			copy(b[int(at)*discSector:], s)
		}
	}
	return b
}

func TestImageSides(t *testing.T) {
	im := smallImage()
	b := laid(im)
	want := map[string]imageEntry{"AUDIO_TS/": {}, "VIDEO_TS/": {}}
	for _, f := range im.Files {
		want["VIDEO_TS/"+f.Name] = imageEntry{f.Sector, f.Size}
	}
	files, volume, err := readISO(bytes.NewReader(b))
	require.NoError(t, err)
	assert.Equal(t, want, files)
	assert.Equal(t, "BENCH_A", volume)
	files, volume, err = readUDF(bytes.NewReader(b))
	require.NoError(t, err)
	assert.Equal(t, want, files)
	assert.Equal(t, "BENCH_A", volume)
	iso, udf := im.iso(), im.udf()
	for at := range iso {
		assert.NotContains(t, udf, at, "a sector has one use")
	}
	for at, s := range udf {
		assert.Less(t, at, im.Total)
		assert.LessOrEqual(t, len(s), discSector)
	}
}

func TestImageDamaged(t *testing.T) {
	for name, c := range map[string]struct {
		sector, at int
		iso, udf   string
	}{
		"no volume":        {imageISO, 1, "no ISO 9660 volume", ""},
		"no bridge":        {imageBridge + 1, 2, "", "no UDF volume"},
		"anchor":           {imageAnchor, 20, "", "the sums of the UDF descriptor 2"},
		"partition":        {imageVolume + 2, 188, "", "the sums of the UDF descriptor 5"},
		"a file's entry":   {imagePart + udfFiles, 180, "", "the sums of the UDF descriptor 261"},
		"a folder's names": {imagePart + udfFolders + 5, 60, "", "the sums of the UDF descriptor 257"},
	} {
		t.Run(name, func(t *testing.T) {
			b := laid(smallImage())
			b[c.sector*discSector+c.at] ^= 0x55
			_, _, err := readISO(bytes.NewReader(b))
			expect(t, err, c.iso)
			_, _, err = readUDF(bytes.NewReader(b))
			expect(t, err, c.udf)
		})
	}
	for _, n := range []int{0, 100, 17 * discSector, 257 * discSector, 260 * discSector} {
		_, _, err := readUDF(bytes.NewReader(laid(smallImage())[:n]))
		assert.Error(t, err, "cut at %d", n)
	}
}

func expect(t *testing.T, err error, want string) {
	t.Helper()
	if want == "" {
		assert.NoError(t, err)
		return
	}
	assert.ErrorContains(t, err, want)
}

// TestImageMoved: a file that lies elsewhere than the disc's own pointers say is
// found, whatever the lists say.
func TestImageMoved(t *testing.T) {
	im := smallImage()
	b := laid(im)
	im.Files[2].Sector++
	p := &DiscProof{}
	require.NoError(t, im.check(t.Context(), p, bytes.NewReader(b), nil))
	names := p.Failed()
	assert.Contains(t, names, "image, ISO 9660")
	assert.Contains(t, names, "image, UDF")
	assert.Contains(t, names, "image, content")
}

func FuzzReadImage(f *testing.F) {
	b := laid(smallImage())
	f.Add(uint32(imageISO*discSector+156), uint32(0xffffffff))
	f.Add(uint32((imagePart+udfFolders)*discSector+172), uint32(7))
	f.Add(uint32((imagePart+udfFolders+1)*discSector+16), uint32(0xff))
	f.Fuzz(func(t *testing.T, at, value uint32) {
		b := bytes.Clone(b)
		binary.LittleEndian.PutUint32(b[int(at)%(len(b)-4):], value)
		_, _, _ = readISO(bytes.NewReader(b)) // must not panic or run on
		_, _, _ = readUDF(bytes.NewReader(b))
	})
}
