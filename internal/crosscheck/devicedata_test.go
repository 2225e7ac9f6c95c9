package crosscheck

import (
	"errors"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"backporch/internal/device"
	"backporch/internal/encode/devicedata"
	"backporch/internal/pixfmt"
	"backporch/pattern"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// defines reads the numbers of the C header of a set, without the set's name.
func defines(t *testing.T, d *devicedata.Set) map[string]int {
	t.Helper()
	n := map[string]int{}
	for _, m := range regexp.MustCompile(`(?m)^#define BENCH_(\w+) (\d+)$`).FindAllStringSubmatch(string(d.Files[len(d.Files)-2].Data), -1) {
		v, err := strconv.Atoi(m[2])
		require.NoError(t, err)
		n[m[1]] = v
	}
	return n
}

// lettered reads the bits of a word that a letter stands for in its spelling,
// the highest bit first. The byte that comes first is the high one where
// bigEndian says so.
func lettered(word []byte, spelling string, letter rune, bigEndian bool) (v int) {
	for i, r := range spelling {
		if r != letter {
			continue
		}
		at := i / 8
		if !bigEndian {
			at = len(word) - 1 - at
		}
		v = 2*v + int(word[at])>>(7-i%8)&1
	}
	return v
}

// colored reads a color word, each channel 255*v/(2^n-1) rounded.
func colored(word []byte, w pixfmt.ColorWord) (c [3]uint8) {
	spelling := device.SpellColorWord(w)
	for i, letter := range "rgb" {
		n := strings.Count(spelling, string(letter))
		c[i] = uint8(math.Round(255 * float64(lettered(word, spelling, letter, w.BigEndian)) / (math.Pow(2, float64(n)) - 1)))
	}
	return c
}

// TestDeviceFramebuffers rebuilds the picture for every device that declares
// how it keeps one, from the bytes of the files and the numbers of the header.
func TestDeviceFramebuffers(t *testing.T) {
	tried := 0
	for _, d := range pixelDevices() {
		f := d.Framebuffer
		if f == nil {
			continue
		}
		tried++
		for _, spec := range deviceProbes {
			x, err := forDevice(t, d, spec, "png").Indexed(0)
			require.NoError(t, err)
			set, err := devicedata.Framebuffer(x, f, devicedata.About{Base: "bench", Pattern: spec, Raster: d.Rasters[0].Name, Device: d.Name})
			require.NoError(t, err, "%s for %s", spec, d.Name)
			n := defines(t, set)
			require.Equal(t, [2]int{d.Rasters[0].Width, d.Rasters[0].Height()}, [2]int{n["WIDTH"], n["HEIGHT"]})
			memory := set.Files[0].Data
			require.Len(t, memory, n["HEIGHT"]*n["ROW_BYTES"])
			for j, row := range x.Lines {
				for i, k := range x.Rows[row] {
					line := memory[j*n["ROW_BYTES"]:]
					if f.Bits == 0 {
						if got := colored(line[i*n["PIXEL_BYTES"]:][:n["PIXEL_BYTES"]], f.Color); got != x.Palette[k] {
							t.Fatalf("%s for %s: pixel %d of line %d is %v, want %v", spec, d.Name, i, j, got, x.Palette[k])
						}
						continue
					}
					v := int(line[i*n["PIXEL_BITS"]/8])
					if n["PIXEL_BITS"] == 4 {
						v = v >> []int{4, 0}[i%2] & 15 // the left one in the high half
					}
					if v != int(k) {
						t.Fatalf("%s for %s: pixel %d of line %d is color %d, want %d", spec, d.Name, i, j, v, k)
					}
				}
			}
			if f.Palette != nil {
				for k, c := range x.Palette {
					require.Equal(t, c, colored(set.Files[1].Data[k*f.Palette.Bytes:][:f.Palette.Bytes], *f.Palette), "%s for %s: color %d", spec, d.Name, k)
				}
			}
		}
	}
	require.NotZero(t, tried)
}

// tileBench is a device that makes its picture of tiles.
const tileBench = `name = "bench-a"
system = 525
clock = "6 fsc"
divider = 4
line = 1364
lines = 262
width = 252
rows = 236
bits = [5, 5, 5]
colors = 121
outputs = ["composite-j"]
formats = ["tiles", "png"]
[tiles]
bits = 4
planes = 2
map = "vhpppttttttttttt"
palette = "-bbbbbgggggrrrrr"
palettes = 8
shared = true
byte_order = "big"
`

// TestDeviceTiles rebuilds pictures of the whole catalogue from tiles, map and
// palettes, on a device whose size is no multiple of 8. What the device has no
// room for is refused with a way out that is one: of 16 colors at once, as many
// as a palette has, every picture fits.
func TestDeviceTiles(t *testing.T) {
	fits := tileCatalogue(t, tileBench)
	for _, name := range []string{"bars-full", "crosshatch", "staircase", "flat", "dots", "one-to-one"} {
		assert.Contains(t, fits, name)
	}
	assert.NotContains(t, fits, "circles", "their edges have 19 grays in one tile")
	assert.Len(t, tileCatalogue(t, strings.ReplaceAll(tileBench, "colors = 121", "colors = 16")), len(pattern.All()))
}

// tileCatalogue does it for a device, and returns what is said of the pictures
// that fit.
func tileCatalogue(t *testing.T, profile string) map[string]string {
	t.Helper()
	d, err := device.ParseTOML([]byte(profile), "bench-a.toml")
	require.NoError(t, err)
	fits := map[string]string{}
	for _, e := range pattern.All() {
		x, err := forDevice(t, d, e.Name, "png").Indexed(0)
		require.NoError(t, err)
		set, err := devicedata.Tiles(x, d.Tiles, devicedata.About{Base: "bench", Pattern: e.Name, Raster: d.Rasters[0].Name, Device: d.Name})
		if err != nil {
			var budget *pixfmt.BudgetError
			require.True(t, errors.As(err, &budget), "%s: %v", e.Name, err)
			assert.Contains(t, err.Error(), "give the device no more than 16 colors at once")
			continue
		}
		fits[e.Name] = set.Notes[0]
		n := defines(t, set)
		require.Equal(t, [4]int{252, 236, 32, 30}, [4]int{n["WIDTH"], n["HEIGHT"], n["MAP_WIDTH"], n["MAP_HEIGHT"]})
		tiles, cells, palettes := set.Files[0].Data, set.Files[1].Data, set.Files[2].Data
		for j := range 240 {
			for i := range 256 {
				word := cells[2*(j/8*n["MAP_WIDTH"]+i/8):][:2]
				field := func(letter rune) int { return lettered(word, "vhpppttttttttttt", letter, true) }
				row, column := j%8, i%8
				if field('v') == 1 {
					row = 7 - row
				}
				if field('h') == 1 {
					column = 7 - column
				}
				v := 0
				for k, at := range []int{2 * row, 2*row + 1, 16 + 2*row, 17 + 2*row} { // planes 0 and 1 in turn, then 2 and 3
					v += int(tiles[field('t')*32+at]) >> (7 - column) & 1 << k
				}
				got := colored(palettes[2*(field('p')*16+v):][:2], *d.Tiles.Palette)
				want := x.Palette[0]
				if j < 236 && i < 252 {
					want = x.Palette[x.Rows[x.Lines[j]][i]]
				}
				if got != want {
					t.Fatalf("%s: pixel %d of line %d is %v, want %v", e.Name, i, j, got, want)
				}
			}
		}
	}
	return fits
}
