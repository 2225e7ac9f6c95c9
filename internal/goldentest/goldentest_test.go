package goldentest

import (
	"image"
	"image/color"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// reading and writing are two views of one folder: a run without and a run
// with -update.
func stores(t *testing.T) (reading, writing store) {
	dir := t.TempDir()
	return store{dir, false}, store{dir, true}
}

func fileOf(t *testing.T, s store, name string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(s.dir, name))
	require.NoError(t, err)
	return string(b)
}

func TestBytes(t *testing.T) {
	r, w := stores(t)
	require.ErrorContains(t, r.bytes("sub/a.txt", []byte("x")), "run this test with -update")
	require.NoError(t, w.bytes("sub/a.txt", []byte("one\ntwo\n")))
	require.NoError(t, r.bytes("sub/a.txt", []byte("one\ntwo\n")))

	err := r.bytes("sub/a.txt", []byte("one\ntoo\n"))
	require.ErrorContains(t, err, `differs from byte 5 (line 2): got "oo\n", want "wo\n"`)
	assert.Equal(t, "one\ntoo\n", fileOf(t, r, "sub/a.txt.got"))
	assert.Equal(t, "one\ntwo\n", fileOf(t, r, "sub/a.txt"), "a comparing run changed the kept file")

	// One byte too many or too few is a difference too.
	assert.ErrorContains(t, r.bytes("sub/a.txt", []byte("one\ntwo\n.")), `byte 8 (line 3): got ".", want the end`)
	assert.ErrorContains(t, r.bytes("sub/a.txt", []byte("one\ntwo")), `byte 7 (line 2): got the end, want "\n"`)
}

// FIPS 180-4, the examples published with it: SHA-256 of "abc".
func TestHashOf(t *testing.T) {
	const abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
	assert.Equal(t, Hash(abc), HashOf([]byte("abc")))
	assert.Equal(t, Hash(abc), HashOf([]byte("a"), nil, []byte("bc")))
}

func TestSums(t *testing.T) {
	r, w := stores(t)
	h1, h2, h3 := HashOf([]byte("1")), HashOf([]byte("2")), HashOf([]byte("3"))
	all := map[string]Hash{"b/480i": h2, "a/576i": h1, "a key of words": h3}
	require.NoError(t, w.sums("s", all, true))
	assert.Equal(t, string(h3)+"  a key of words\n"+string(h1)+"  a/576i\n"+string(h2)+"  b/480i\n", fileOf(t, r, "s"))
	require.NoError(t, r.sums("s", all, true))

	for _, tt := range []struct {
		name  string
		got   map[string]Hash
		whole bool
		want  string // "" for agreement
	}{
		{"changed", map[string]Hash{"b/480i": h1, "a/576i": h1, "a key of words": h3}, true, "b/480i: changed"},
		{"missing", map[string]Hash{"b/480i": h2, "a/576i": h1}, true, "a key of words: in the file only"},
		{"new", map[string]Hash{"b/480i": h2, "a/576i": h1, "a key of words": h3, "c": h1}, true, "c: not in the file"},
		{"part", map[string]Hash{"b/480i": h2}, false, ""},
		{"part changed", map[string]Hash{"b/480i": h3}, false, "b/480i: changed"},
		{"part new", map[string]Hash{"c": h3}, false, "c: not in the file"},
		{"nothing", nil, false, "nothing to compare"},
		{"key of two lines", map[string]Hash{"a\nb": h1}, true, "not one line"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			err := r.sums("s", tt.got, tt.whole)
			if tt.want == "" {
				assert.NoError(t, err)
			} else {
				assert.ErrorContains(t, err, tt.want)
			}
		})
	}

	// An update of a part keeps the other lines; one of the whole drops them.
	require.NoError(t, w.sums("s", map[string]Hash{"c": h1, "b/480i": h3}, false))
	require.NoError(t, r.sums("s", map[string]Hash{"a/576i": h1, "a key of words": h3, "b/480i": h3, "c": h1}, true))
	require.NoError(t, w.sums("s", map[string]Hash{"c": h1}, true))
	assert.Equal(t, string(h1)+"  c\n", fileOf(t, r, "s"))

	require.NoError(t, w.sums("fresh", map[string]Hash{"c": h1}, false), "a part may start a file")
	require.NoError(t, r.sums("fresh", map[string]Hash{"c": h1}, true))
}

func TestParseSumsRefuses(t *testing.T) {
	h := string(HashOf(nil))
	for _, tt := range []struct{ name, text, want string }{
		{"short hash", "abc  key\n", "line 1"},
		{"no key", h + "  \n", "line 1"},
		{"one blank", h + " key\n", "line 1"},
		{"twice", h + "  key\n" + h + "  key\n", `line 2: key "key" twice`},
		{"very long line", strings.Repeat("x", 1<<17), "unreadable"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := parseSums([]byte(tt.text))
			assert.ErrorContains(t, err, tt.want)
		})
	}
}

func TestPNG(t *testing.T) {
	r, w := stores(t)
	m := image.NewGray(image.Rect(0, 0, 3, 2))
	m.SetGray(2, 1, color.Gray{Y: 200})
	require.ErrorContains(t, r.png("p.png", m), "run this test with -update")
	require.NoError(t, w.png("p.png", m))
	require.NoError(t, r.png("p.png", m))

	// The same pixels in another color model, elsewhere in the plane.
	same := image.NewNRGBA(image.Rect(5, 5, 8, 7))
	for y := range 2 {
		for x := range 3 {
			same.Set(5+x, 5+y, m.At(x, y))
		}
	}
	require.NoError(t, r.png("p.png", same))
	before := fileOf(t, r, "p.png")
	require.NoError(t, w.png("p.png", same))
	assert.Equal(t, before, fileOf(t, r, "p.png"), "an update wrote equal pixels anew")

	// One code of one channel of one pixel is a difference.
	same.Set(7, 6, color.NRGBA{200, 200, 201, 255})
	require.ErrorContains(t, r.png("p.png", same), "1 of 6 pixels differ, first at (2, 1): got [51400 51400 51657 65535], want [51400 51400 51400 65535]")
	assert.FileExists(t, filepath.Join(r.dir, "p.got.png"))

	assert.ErrorContains(t, r.png("p.png", image.NewGray(image.Rect(0, 0, 2, 3))), "size is 2 x 3, want 3 x 2")
	assert.ErrorContains(t, r.png("p.gif", m), "ends in .png")

	require.NoError(t, os.WriteFile(filepath.Join(r.dir, "bad.png"), []byte("no picture"), 0o644))
	assert.ErrorContains(t, r.png("bad.png", m), "golden/bad.png")
	require.NoError(t, w.png("bad.png", m), "an update repairs a broken file")
	require.NoError(t, r.png("bad.png", m))
}
