package devicedata

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"backporch/internal/pixfmt"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// picture is 20 x 12 pixels of 6 colors, of which 5 are in use.
func picture() *pixfmt.Indexed {
	x := &pixfmt.Indexed{Palette: [][3]uint8{{0, 0, 0}, {255, 255, 255}, {255, 0, 0}, {0, 73, 0}, {36, 109, 182}, {0, 0, 255}}}
	for j := range 12 {
		row := make([]uint16, 20)
		for i := range row {
			row[i] = uint16((i*i + j) % 5)
		}
		x.Rows, x.Lines = append(x.Rows, row), append(x.Lines, int32(j))
	}
	return x
}

func rgb333() *pixfmt.ColorWord {
	return &pixfmt.ColorWord{Bytes: 2, Fields: [3]pixfmt.BitField{{Shift: 6, Bits: 3}, {Shift: 3, Bits: 3}, {Shift: 0, Bits: 3}}}
}

func tileSet() *pixfmt.TileSet {
	return &pixfmt.TileSet{Bits: 4, Interleave: 2, Palette: rgb333(), Tiles: 512, Palettes: 4, Shared: true, Map: pixfmt.MapWord{
		Bytes: 2, BigEndian: true, Tile: pixfmt.BitField{Shift: 0, Bits: 10}, Palette: pixfmt.BitField{Shift: 10, Bits: 3},
		FlipX: pixfmt.BitField{Shift: 14, Bits: 1}, FlipY: pixfmt.BitField{Shift: 15, Bits: 1}}}
}

func about() About {
	return About{Base: "bars-full", Pattern: "bars-full set=75/0/75/0", Raster: "pixel-256", Device: "pixel-256"}
}

// kinds are sets of every kind.
func kinds(t *testing.T, a About) map[string]*Set {
	t.Helper()
	all := map[string]*Set{}
	add := func(name string, s *Set, err error) {
		require.NoError(t, err, name)
		all[name] = s
	}
	for _, bits := range []int{4, 8} {
		s, err := Framebuffer(picture(), &pixfmt.Framebuffer{Bits: bits, HighFirst: true, Palette: rgb333(), Align: 16}, a)
		add(fmt.Sprintf("framebuffer of %d bits", bits), s, err)
	}
	s, err := Framebuffer(picture(), &pixfmt.Framebuffer{Color: *rgb333()}, a)
	add("framebuffer of colors", s, err)
	s, err = Framebuffer(picture(), &pixfmt.Framebuffer{Bits: 8}, a)
	add("framebuffer of fixed colors", s, err)
	s, err = Tiles(picture(), tileSet(), a)
	add("tiles", s, err)
	fixed := tileSet()
	fixed.Palette, fixed.Palettes = nil, 1
	s, err = Tiles(picture(), fixed, a)
	add("tiles of fixed colors", s, err)
	many := tileSet()
	many.Bits, many.Interleave, many.Palettes, many.Shared, many.Map.Palette.Bits, many.Palette = 4, 0, 8, false, 3, nil
	x := picture()
	x.Palette = append(x.Palette, make([][3]uint8, 20)...)
	s, err = Tiles(x, many, a)
	add("tiles with palettes of fixed colors", s, err)
	return all
}

// source reads the numbers and the bytes of a .h or an .inc file.
func source(t *testing.T, text []byte, number, begin, bytesOf *regexp.Regexp) (numbers map[string]int, data map[string][]byte) {
	t.Helper()
	numbers, data = map[string]int{}, map[string][]byte{}
	name := ""
	for line := range strings.Lines(string(text)) {
		line = strings.TrimRight(line, "\n")
		if m := number.FindStringSubmatch(line); m != nil {
			n, err := strconv.Atoi(m[2])
			require.NoError(t, err)
			numbers[m[1]] = n
		} else if m := begin.FindStringSubmatch(line); m != nil {
			name = m[1]
		} else if m := bytesOf.FindStringSubmatch(line); m != nil {
			for f := range strings.SplitSeq(strings.TrimSuffix(m[1], ","), ",") {
				v, err := strconv.ParseUint(f, 10, 8)
				require.NoError(t, err, line)
				data[name] = append(data[name], byte(v))
			}
		}
	}
	return numbers, data
}

// The header and the assembler source have the bytes of the memory images and
// the same numbers, and agree on the names.
func TestSourcesAgree(t *testing.T) {
	for _, short := range []bool{false, true} {
		a := about()
		if short {
			a.Base, a.Short = "BARSFULL", true
		}
		for name, s := range kinds(t, a) {
			t.Run(fmt.Sprintf("%s, short names %v", name, short), func(t *testing.T) {
				n := len(s.Files)
				numbers, data := source(t, s.Files[n-2].Data, regexp.MustCompile(`^#define (\w+) (\d+)$`),
					regexp.MustCompile(`^static const unsigned char (\w+)\[\w+\] = {$`), regexp.MustCompile(`^\t([\d,]+)$`))
				again, bytesOf := source(t, s.Files[n-1].Data, regexp.MustCompile(`^(\w+) = (\d+)$`),
					regexp.MustCompile(`^(\w+):$`), regexp.MustCompile(`^\t\.byte ([\d,]+)$`))
				assert.Equal(t, numbers, again)
				assert.Equal(t, data, bytesOf)
				require.Len(t, data, n-2)
				found := 0
				for id, b := range data {
					assert.Equal(t, len(b), numbers[strings.ToUpper(id)+"_SIZE"])
					for _, f := range s.Files[:n-2] {
						if bytes.Equal(f.Data, b) {
							found++
							assert.Contains(t, string(s.Files[n-1].Data), fmt.Sprintf("%s:\n; .incbin \"%s\"\n", id, f.Name))
							break
						}
					}
				}
				assert.Equal(t, n-2, found)
				for _, f := range s.Files {
					if short {
						assert.Regexp(t, `^[A-Z0-9]{1,8}\.[A-Z0-9]{1,3}$`, f.Name)
					}
					if f.Name == s.Files[n-2].Name || f.Name == s.Files[n-1].Name {
						assert.NotRegexp(t, `[^\n\t -~]|[ \t]\n|\\`, string(f.Data), f.Name)
					}
				}
			})
		}
	}
}

// The names of the files of each kind.
func TestNames(t *testing.T) {
	for name, want := range map[string]string{
		"framebuffer of 4 bits":               "bars-full.bin bars-full-palette.bin bars-full.h bars-full.inc",
		"framebuffer of colors":               "bars-full.bin bars-full.h bars-full.inc",
		"framebuffer of fixed colors":         "bars-full.bin bars-full.h bars-full.inc",
		"tiles":                               "bars-full-tiles.bin bars-full-map.bin bars-full-palette.bin bars-full.h bars-full.inc",
		"tiles of fixed colors":               "bars-full-tiles.bin bars-full-map.bin bars-full.h bars-full.inc",
		"tiles with palettes of fixed colors": "bars-full-tiles.bin bars-full-map.bin bars-full-palette.bin bars-full.h bars-full.inc",
	} {
		assert.Equal(t, want, strings.Join(kinds(t, about())[name].Names(), " "), name)
	}
	a := about()
	a.Base, a.Short = "BARSFULL", true
	assert.Equal(t, "BARSFULL.TIL BARSFULL.MAP BARSFULL.PAL BARSFULL.H BARSFULL.INC", strings.Join(kinds(t, a)["tiles"].Names(), " "))
	assert.Equal(t, "BARSFULL.BIN BARSFULL.PAL BARSFULL.H BARSFULL.INC", strings.Join(kinds(t, a)["framebuffer of 8 bits"].Names(), " "))
}

// The picture from the bytes of the files and the numbers of the header.
func TestRebuild(t *testing.T) {
	x := picture()
	set := kinds(t, about())
	color := func(palette []byte, i int) (c [3]uint8) {
		w := int(palette[2*i]) + 256*int(palette[2*i+1])
		for k, v := range []int{w / 64, w / 8 % 8, w % 8} {
			c[k] = []uint8{0, 36, 73, 109, 146, 182, 219, 255}[v] // three bits of a channel
		}
		return c
	}
	define := regexp.MustCompile(`(?m)^#define BARS_FULL_(\w+) (\d+)$`)
	numbers := func(s *Set) map[string]int {
		n := map[string]int{}
		for _, m := range define.FindAllStringSubmatch(string(s.Files[len(s.Files)-2].Data), -1) {
			n[m[1]], _ = strconv.Atoi(m[2])
		}
		return n
	}

	fb := set["framebuffer of 4 bits"]
	n := numbers(fb)
	require.Equal(t, [6]int{20, 12, 16, 4, 6, 192}, [6]int{n["WIDTH"], n["HEIGHT"], n["ROW_BYTES"], n["PIXEL_BITS"], n["COLORS"], n["PIXELS_SIZE"]})
	for j := range n["HEIGHT"] {
		for i := range n["WIDTH"] {
			b := fb.Files[0].Data[j*n["ROW_BYTES"]+i/2]
			v := []byte{b >> 4, b & 15}[i%2]
			require.Equal(t, x.Palette[x.Rows[j][i]], color(fb.Files[1].Data, int(v)), "line %d, pixel %d", j, i)
		}
	}

	ts := set["tiles"]
	n = numbers(ts)
	require.Equal(t, [6]int{20, 12, 3, 2, 32, 16}, [6]int{n["WIDTH"], n["HEIGHT"], n["MAP_WIDTH"], n["MAP_HEIGHT"], n["TILE_BYTES"], n["PALETTE_COLORS"]})
	require.Equal(t, []string{fmt.Sprintf("%d tiles of 512, 1 palette of 4.", n["TILES"]), "Filled up with color 0 of the picture: 4 columns at the right, 4 lines at the bottom."}, ts.Notes)
	for j := range 16 {
		for i := range 24 {
			at := 2 * (j/8*n["MAP_WIDTH"] + i/8)
			w := 256*int(ts.Files[1].Data[at]) + int(ts.Files[1].Data[at+1])
			c, r := i%8, j%8
			if w>>14&1 == 1 {
				c = 7 - c
			}
			if w>>15 == 1 {
				r = 7 - r
			}
			tile := ts.Files[0].Data[w%1024*32:][:32]
			v := 0
			for k, at := range []int{2 * r, 2*r + 1, 16 + 2*r, 16 + 2*r + 1} {
				v += int(tile[at]) >> (7 - c) & 1 << k
			}
			want := x.Palette[0]
			if j < 12 && i < 20 {
				want = x.Palette[x.Rows[j][i]]
			}
			require.Equal(t, want, color(ts.Files[2].Data, w>>10&7*16+v), "line %d, pixel %d", j, i)
		}
	}
}

// A C compiler takes the header, twice, and finds the same bytes in it.
func TestCompiles(t *testing.T) {
	cc, err := exec.LookPath("cc")
	if err != nil {
		t.Skip("no C compiler (cc) to try the header with")
	}
	for name, s := range kinds(t, about()) {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			n := len(s.Files)
			require.NoError(t, os.WriteFile(filepath.Join(dir, "bars-full.h"), s.Files[n-2].Data, 0o666))
			main := "#include \"bars-full.h\"\n#include \"bars-full.h\"\n#include <stdio.h>\nint main(void) {\n"
			var want []byte
			for _, f := range s.Files[:n-2] {
				id := "bars_full_pixels"
				if _, part, ok := strings.Cut(strings.TrimSuffix(f.Name, ".bin"), "bars-full-"); ok {
					id = "bars_full_" + part
				}
				main += fmt.Sprintf("\tfwrite(%s, 1, sizeof %s, stdout);\n", id, id)
				want = append(want, f.Data...)
			}
			main += "\treturn BARS_FULL_WIDTH != 20 || BARS_FULL_HEIGHT != 12;\n}\n"
			require.NoError(t, os.WriteFile(filepath.Join(dir, "main.c"), []byte(main), 0o666))
			out, err := exec.CommandContext(t.Context(), cc, "-std=c89", "-pedantic", "-Wall", "-Wextra", "-Werror", "-o", filepath.Join(dir, "main"), filepath.Join(dir, "main.c")).CombinedOutput()
			require.NoError(t, err, "%s", out)
			got, err := exec.CommandContext(t.Context(), filepath.Join(dir, "main")).Output()
			require.NoError(t, err)
			assert.True(t, bytes.Equal(want, got))
		})
	}
}

// An assembler takes the source, comments aside, whose sign differs from one to
// the next, and makes the same bytes of it.
func TestAssembles(t *testing.T) {
	as, err := exec.LookPath("as")
	if err != nil {
		t.Skip("no assembler (as) to try the source with")
	}
	objcopy, err := exec.LookPath("objcopy")
	if err != nil {
		t.Skip("no objcopy to see what the assembler made")
	}
	for name, s := range kinds(t, about()) {
		t.Run(name, func(t *testing.T) {
			n := len(s.Files)
			var code, want []byte
			for line := range bytes.Lines(s.Files[n-1].Data) {
				if line[0] != ';' {
					code = append(code, line...)
				}
			}
			for _, f := range s.Files[:n-2] {
				want = append(want, f.Data...)
			}
			dir := t.TempDir()
			object, image := filepath.Join(dir, "data.o"), filepath.Join(dir, "data.bin")
			cmd := exec.CommandContext(t.Context(), as, "-o", object)
			cmd.Stdin = bytes.NewReader(append([]byte(".data\n"), code...))
			out, err := cmd.CombinedOutput()
			require.NoError(t, err, "%s", out)
			out, err = exec.CommandContext(t.Context(), objcopy, "-O", "binary", "-j", ".data", object, image).CombinedOutput()
			require.NoError(t, err, "%s", out)
			got, err := os.ReadFile(image)
			require.NoError(t, err)
			assert.True(t, bytes.Equal(want, got))
		})
	}
}

// What a picture is called cannot end a comment or join its lines.
func TestComments(t *testing.T) {
	a := About{Base: "01 Bars.é", Pattern: "bars-full ident=\"Bench A */ int x; /* \\\"\n#error", Raster: "pixel-256",
		Lines: []string{"Absent: " + strings.Repeat("a level below black, ", 8) + "and one above white."}}
	s, err := Framebuffer(picture(), &pixfmt.Framebuffer{Bits: 8}, a)
	require.NoError(t, err)
	require.Equal(t, []string{"01 Bars.é.bin", "01 Bars.é.h", "01 Bars.é.inc"}, s.Names())
	h, inc := string(s.Files[1].Data), string(s.Files[2].Data)
	assert.Contains(t, h, ` * Test picture: bars-full ident="Bench A * / int x; / * /"?#error`+"\n * Raster pixel-256.\n")
	assert.Equal(t, 1, strings.Count(h, "*/"))
	assert.Contains(t, h, "static const unsigned char picture_01_bars___pixels[PICTURE_01_BARS___PIXELS_SIZE] = {")
	assert.Contains(t, h, "\n * Absent: a level below black, a level below black, a level below black, a\n * level below black, ")
	for line := range strings.Lines(inc) {
		if line[0] == ';' {
			assert.LessOrEqual(t, len(line), 2+78+1)
		}
		if strings.Contains(line, "error") {
			assert.Equal(t, byte(';'), line[0])
		}
	}
}

func TestRefuses(t *testing.T) {
	x := picture()
	for _, tt := range []struct {
		a    About
		want string
	}{
		{About{}, `"" cannot be the name of files; use letters, digits and hyphens`},
		{About{Base: "a/b"}, `"a/b" cannot be the name of files`},
		{About{Base: `a"b`}, "cannot be the name of files"},
		{About{Base: "a\nb"}, `"a\nb" cannot be the name of files`},
		{About{Base: ".."}, `".." cannot be the name of files`},
		{About{Base: "crosshatch", Short: true}, `"crosshatch" is longer than the 8 characters of a file name on this device; give a shorter name`},
	} {
		_, err := Framebuffer(x, &pixfmt.Framebuffer{Bits: 8}, tt.a)
		assert.ErrorContains(t, err, tt.want)
		_, err = Tiles(x, tileSet(), tt.a)
		assert.ErrorContains(t, err, tt.want)
	}
	_, err := Framebuffer(x, &pixfmt.Framebuffer{Bits: 2}, about())
	assert.ErrorContains(t, err, "there is room for 4 colors")
	x.Palette[3] = [3]uint8{1, 2, 3}
	_, err = Framebuffer(x, &pixfmt.Framebuffer{Bits: 8, Palette: rgb333()}, about())
	assert.ErrorContains(t, err, "palette entry 3: ")
	_, err = Tiles(x, tileSet(), about())
	assert.ErrorContains(t, err, "palette entry 3: ")
	small := tileSet()
	small.Tiles = 2
	_, err = Tiles(picture(), small, about())
	var budget *pixfmt.BudgetError
	assert.ErrorAs(t, err, &budget)
}

// What a header says of the bytes, for every form.
func TestLayoutInWords(t *testing.T) {
	const planes = "; a byte is one row of one bit plane, its highest bit the leftmost pixel, and plane 0 has the lowest bits of the pixels' numbers"
	for _, tt := range []struct {
		s    pixfmt.TileSet
		want string
	}{
		{pixfmt.TileSet{Bits: 2}, "row 0 of planes 0 and 1, then row 1 of them, to row 7" + planes},
		{pixfmt.TileSet{Bits: 8}, "row 0 of planes 0 to 7, then row 1 of them, to row 7" + planes},
		{pixfmt.TileSet{Bits: 8, Interleave: 2}, "row 0 of planes 0 and 1, then row 1 of them, to row 7; then every next 2 planes likewise" + planes},
		{pixfmt.TileSet{Bits: 4, Interleave: 1}, "plane 0 row by row from the top, then plane 1, to plane 3" + planes},
		{pixfmt.TileSet{Bits: 4, Packed: true}, "row by row from the top, 4 bytes a row; a pixel is 4 bits, the number of its color; the leftmost of the 2 in a byte is in the low bits"},
		{pixfmt.TileSet{Bits: 8, Packed: true}, "row by row from the top, 8 bytes a row; a pixel is a byte, the number of its color"},
	} {
		assert.Equal(t, tt.want, tileRows(&tt.s))
	}
	assert.Equal(t, "a pixel is 1 bit, the number of its color; the leftmost of the 8 in a byte is in the high bits", indexes(1, true))
	w := rgb333()
	assert.Equal(t, "2 bytes, low byte first: red in bits 6 to 8, green in bits 3 to 5, blue in bits 0 to 2; all ones is full level", colorWord(w))
	assert.Equal(t, "1 byte: number of the tile in bits 0 to 6, mirrored left to right in bit 7", mapWord(&pixfmt.MapWord{Bytes: 1, Tile: pixfmt.BitField{Bits: 7}, FlipX: pixfmt.BitField{Shift: 7, Bits: 1}}))
}
