package device

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/timing"
)

const bench = `name = "bench-a"
system = 525
clock = "6 fsc"
divider = 4
line = 1364
lines = 262
width = 256
rows = 240
bits = [5, 5, 5]
colors = 256
outputs = ["composite-j", "yc-j", "rgb-714"]
formats = ["png"]
`

// TestTOML: a file that says what a built-in device does makes the same raster.
func TestTOML(t *testing.T) {
	p, err := ParseTOML([]byte(bench), "bench-a.toml")
	require.NoError(t, err)
	want, err := Find("pixel-256")
	require.NoError(t, err)
	got := *p.Rasters[0]
	got.Name, got.Note = want.Rasters[0].Name, want.Rasters[0].Note
	assert.Equal(t, *want.Rasters[0], got)
	assert.Same(t, timing.Scan262c227_33, got.Scan, "a known scan is the known one")
	assert.Equal(t, want.Color, p.Color)
	assert.Equal(t, want.Coding, p.Coding)
	assert.Equal(t, want.Outputs, p.Outputs, "Y/C has the levels of composite")
	assert.Equal(t, "bench-a", p.Rasters[0].Name)
}

// memory is how the bench keeps pictures; the table of tiles is open at its end.
const memory = `[framebuffer]
bits = 8
first_pixel = "high"
palette = "-bbbbbgggggrrrrr"
byte_order = "big"
align = 4
[tiles]
bits = 4
map = "vhpppttttttttttt"
palette = "-bbbbb ggggg_rrrrr"
shared = true
palettes = 8
`

// replaced is the bench with one line changed, or with lines added at its end.
func replaced(old, with string) string {
	if old == "" {
		return bench + with + "\n"
	}
	if !strings.Contains(bench, old) {
		panic(old)
	}
	return strings.Replace(bench, old, with, 1)
}

func TestTOMLKeys(t *testing.T) {
	p, err := ParseTOML([]byte(`
name = "player"
title = "a player"
source = "measured"
notes = ["one", "two"]
system = "625"
rasters = ["576i", "288p"]
range = "limited"
sub_black = false
matrix = 709
scales = true
outputs = ["yc", "component", "rgb"]
name_length = 31
`), "x")
	require.NoError(t, err)
	assert.Equal(t, "a player", p.Title)
	assert.Equal(t, []string{"one", "two"}, p.Notes)
	assert.Equal(t, rasters("576i", "288p"), p.Rasters)
	assert.Equal(t, colorimetry.YCbCr8, p.Coding)
	assert.False(t, p.SubBlack)
	assert.Equal(t, Matrix709, p.Matrix)
	assert.True(t, p.Scales)
	assert.Equal(t, families("pal", "component-n10", "rgb-700"), p.Outputs)
	assert.Equal(t, []string{"y4m", "png"}, p.Formats)
	assert.Equal(t, 31, p.NameLength)
	assert.False(t, p.Pixels())

	p, err = ParseTOML([]byte(strings.Replace(bench, "divider = 4\nline = 1364", "divider = 4\nline = [1364, 1368]", 1)+`
begins = "11 us"
short_names = true
levels = [0, 2, 5, 8, 11, 14, 17, 21, 24, 28, 31, 35, 38, 42, 45, 49, 52, 56, 59, 63, 66, 70, 73, 77, 80, 84, 87, 91, 94, 97, 99, 100]
`+memory), "x")
	assert.Nil(t, p)
	// 8 palettes of 16 colors that share one: 8*15+1 = 121.
	assert.EqualError(t, err, "x:28: tiles.palettes: 8 palettes of 16 colors have room for 121, and the device shows 256 at once")
	_, err = ParseTOML([]byte(strings.Replace(bench, "colors = 256", "colors = 121", 1)+`
first_line = 30
begins = "11 us"
short_names = true
`+memory), "x")
	assert.ErrorContains(t, err, "240 rows from line 30 on end on line 269; a field has 262 lines")
	p, err = ParseTOML([]byte(strings.NewReplacer("colors = 256", "colors = 121", "rows = 240", "rows = 224", "line = 1364", "line = [1364, 1368]").Replace(bench)+`
first_line = 30
begins = "11 us"
short_names = true
`+memory+"planes = 2\n"), "x")
	require.NoError(t, err)
	r := p.Rasters[0]
	assert.Equal(t, timing.Line{Number: 30, Field: 1}, r.Lines[0])
	assert.Equal(t, 224, r.Height())
	// Lines of 1364 and 1368 clocks at 6 fsc in turn: 1366/6 = 227 2/3 cycles.
	assert.Equal(t, timing.R(683, 3), r.Scan.Cycles)
	assert.Equal(t, timing.Int(11), r.TimeOf(timing.R(-1, 2)), "the left edge of the first pixel")
	assert.True(t, p.ShortNames)
	word := pixfmt.ColorWord{Bytes: 2, BigEndian: true, Fields: [3]pixfmt.BitField{{Shift: 0, Bits: 5}, {Shift: 5, Bits: 5}, {Shift: 10, Bits: 5}}}
	assert.Equal(t, &pixfmt.Framebuffer{Bits: 8, HighFirst: true, Palette: &word, Align: 4}, p.Framebuffer)
	little := word
	little.BigEndian = false
	assert.Equal(t, &pixfmt.TileSet{Bits: 4, Interleave: 2, Tiles: 2048, Palettes: 8, Shared: true, Palette: &little, Map: pixfmt.MapWord{
		Bytes: 2, Tile: pixfmt.BitField{Shift: 0, Bits: 11}, Palette: pixfmt.BitField{Shift: 11, Bits: 3},
		FlipX: pixfmt.BitField{Shift: 14, Bits: 1}, FlipY: pixfmt.BitField{Shift: 15, Bits: 1}}}, p.Tiles)

	p, err = ParseTOML([]byte(strings.NewReplacer("bits = [5, 5, 5]", `palette_wire = [[0,0,0],[100,0,0],[50,40,123]]`, "colors = 256", "").Replace(bench)), "x")
	require.NoError(t, err)
	pp, degrees := colorimetry.CompositeJ.Phasor(p.Color.Fixed[2].Signal)
	assert.InDelta(t, 40, float64(pp.IRE()), 1e-9)
	assert.InDelta(t, 123, degrees, 1e-9)
	assert.InDelta(t, 50, float64(colorimetry.CompositeJ.Luma(p.Color.Fixed[2].Signal).IRE()), 1e-9)
	p, err = ParseTOML([]byte(strings.NewReplacer("bits = [5, 5, 5]", `palette = ["#000000", "#ffffff"]`, "colors = 256", "").Replace(bench)), "x")
	require.NoError(t, err)
	assert.Equal(t, [3]uint8{255, 255, 255}, p.Color.Fixed[1].RGB)
	assert.InDelta(t, 1, p.Color.Fixed[1].Signal.Y, 1e-12)
}

// TestTOMLErrors: each names the line, the reason, and does the arithmetic. Worked
// out apart from the program: 6 fsc is 6 x 315/88 = 21.4773 MHz, of which 1448
// clocks last 67.420 us; a line of 525 is 1001/15.75 = 63.556 us.
func TestTOMLErrors(t *testing.T) {
	for _, tt := range []struct{ name, text, want string }{
		{"syntax", replaced("", "colors = = 3"), "x:13:"},
		{"twice", replaced("", "colors = 3"), "x:13:"},
		{"unknown, near", replaced("colors = 256", "colours = 256"), `x:10: unknown key "colours" (did you mean colors?)`},
		{"unknown, of a table", replaced("", "[framebuffer]\nbitts = 8"), `x:14: unknown key "framebuffer.bitts" (did you mean framebuffer.bits?)`},
		{"unknown, far", replaced("", "shared = true"), `x:13: unknown key "shared" (did you mean tiles.shared?)`},
		{"unknown table", replaced("", "[pallettes]\nx = 1"), `x:14: unknown key "pallettes.x"`},
		{"unknown, inline", replaced("", "tiles = { bit = 4 }"), `x:13: unknown key "tiles.bit" (did you mean tiles.bits?)`},
		{"unknown, array of tables", replaced("", "[[tiles]]\nbits = 4"), `x:13: unknown key "tiles"`},
		{"type", replaced("width = 256", `width = "256"`), `x:7: width: the text "256", where a whole number belongs`},
		{"type", replaced("width = 256", `width = 256.0`), `x:7: width: the number 256, where a whole number belongs`},
		{"type", replaced("", `interlaced = "yes"`), `x:13: interlaced: the text "yes", where true or false, without quotes, belongs`},
		{"type", replaced(`formats = ["png"]`, `formats = "png"`), `x:12: formats: the text "png", where a list of texts such as ["one", "two"] belongs`},
		{"type", replaced(`name = "bench-a"`, `name = 2026-01-01`), `x:1: name: a date or a time, where a text in quotes belongs`},
		{"missing", replaced(`name = "bench-a"`, ""), `x: missing: name (`},
		{"missing raster", replaced("width = 256\n", ""), `x: width: is missing: a device has either rasters, or clock, line, lines, width and rows`},
		{"fraction of a pixel", replaced("line = 1364", "line = 1365"), "x:5: line: a line of 1365 master clocks, 4 to a pixel, has 341 pixels and 1/4 of one; a line must have a whole number of pixels: 1364 clocks make 341, 1368 make 342"},
		{"beyond the line", replaced("", `begins = 100`), "x:7: width: the picture begins 100 pixels after 0H and is 256 wide, which makes 356; a line has 341 pixels"},
		{"beyond the field", replaced("rows = 240", "rows = 256"), "x:8: rows: 256 rows from line 22 on end on line 277; a field has 262 lines"},
		{"in the sync", replaced("", "first_line = 4"), "x:13: first_line: the first row on line 4; lines 1 to 9 of 525/60 hold the vertical sync"},
		{"line rate", replaced("line = 1364", "line = 1448"), "x:5: line: a line of 1448 master clocks at 21.4773 MHz lasts 67.420 us; one of 525/60 lasts 63.556 us, and a set follows 3 % at most"},
		{"field", replaced("lines = 262", "lines = 280"), "x:6: lines: 280 lines in a field of 525/60; a set locks to 255 to 269 of them"},
		{"interlace", replaced("", "interlaced = true"), "x:6: lines: 262 lines in an interlaced frame of 525/60; it has 525"},
		{"colors", replaced("colors = 256", "colors = 40000"), "x:10: colors: 40000 colors at once, and 5:5:5 bits make 2^15 = 32768"},
		{"colors of a palette", replaced("bits = [5, 5, 5]", `palette = ["#000000", "#ffffff"]`), "x:10: colors: 256 colors at once, and the palette has 2"},
		{"setup on 625", strings.NewReplacer("system = 525", "system = 625", "composite-j", "pal").Replace(bench) + "setup = 7.5", "x:13: setup: a setup of 7.5 IRE on 625 lines, which have none; use 0"},
		{"setup of an output", replaced("", "setup = 7.5"), "x:11: outputs: output composite-j has 0 IRE of setup, and setup says 7.5"},
		{"setup missing", replaced(`"composite-j", "yc-j"`, `"composite"`), `x:11: outputs: output "composite" on 525 lines: its setup is missing; say setup = 7.5 or 0, or write composite-m or composite-j`},
		{"output of the other system", replaced(`"composite-j"`, `"pal"`), "x:11: outputs: output pal (PAL composite) belongs to 625 lines, the device has 525"},
		{"output", replaced(`"composite-j"`, `"composite-k"`), `unknown output "composite-k" (did you mean composite-m?)`},
		{"index too short", replaced("", "[framebuffer]\nbits = 4\npalette = \"-rrrrrgggggbbbbb\""), "x:14: framebuffer.bits: an index of 4 bits tells 2^4 = 16 colors apart, and the device has 256 at once; say colors = 16, or use more bits"},
		{"word", replaced("", "[framebuffer]\nbits = 8\npalette = \"rrrrrggggggbbbbb\""), `x:15: framebuffer.palette: "rrrrrggggggbbbbb" has 6 bits of green, and the device 5`},
		{"word", replaced("", "[framebuffer]\npixel = \"rgb\""), `x:14: framebuffer.pixel: "rgb" has 3 bits; a word has 8, 16, 24 or 32, a letter for each`},
		{"word", replaced("", "[framebuffer]\npixel = \"rrrgggrrbbbbbbbb\""), `the bits of r are not side by side`},
		{"planes, packed", replaced("", "[tiles]\nbits = 4\npacked = true\nplanes = 2\nmap = \"vhpppttttttttttt\""), `x:16: tiles.planes: pixels one after the other have no bit planes; leave it out, or packed`},
		{"planes", replaced("", "[tiles]\nbits = 4\nplanes = 3\nmap = \"vhpppttttttttttt\""), `x:15: tiles.planes: 3 of 4 bit planes take turns; use a number that divides them`},
		{"tiles", replaced("", "[tiles]\nbits = 4\nmap = \"vhpppttttttttttt\"\ncount = 4096"), `x:16: tiles.count: 4096 tiles; "vhpppttttttttttt" has 11 bits of t for 2^11 = 2048`},
		{"levels", replaced("", "levels = [0, 100]"), "x:13: levels: 2 levels of red, and 5 bits make 2^5 = 32 codes"},
		{"limited", replaced("", `range = "limited"`), "x:13: range: pixels of counted colors are made from full-range pictures"},
		{"unit", replaced(`"6 fsc"`, `"21.477"`), `x:3: clock: "21.477" has no unit; write it as "315/88 MHz", "21477272.7 Hz", "6 fsc" or "1365 fH"`},
		{"unit", replaced(`"6 fsc"`, `"21.477 mhx"`), `unknown unit "mhx"`},
		{"number", replaced(`"6 fsc"`, `"1/0 MHz"`), `"1/0" is no number`},
		{"digits", replaced(`"6 fsc"`, `"21477272.727272727272 Hz"`), `x:3: clock: the figures have too many digits`},
		{"name", replaced("bench-a", "../a"), `x:1: name: "../a" makes no file name`},
		{"name", replaced("bench-a", "+++"), `x:1: name: "+++" makes no file name`},
		{"name of a raster", replaced("bench-a", "240p"), "x:1: name: 240p is the name of a standard raster"},
		{"standard and own", replaced("", `rasters = ["480i"]`), "x:3: clock: rasters names standard ones, which have their own; leave one of the two out"},
		{"raster", "name = \"a\"\nsystem = 525\noutputs = [\"rgb\"]\nrasters = [\"576i\"]", `x:4: rasters: unknown raster "576i" of 525/60`},
		{"format", replaced(`"png"`, `"pmg"`), `x:12: formats: unknown format "pmg" (did you mean png?)`},
		{"data alone", replaced(`"png"`, `"framebuffer"`), `x:12: formats: framebuffer is data for programs, which a table of that name says; name a picture too`},
		{"data without a layout", replaced(`"png"`, `"png", "tiles"`), `x:12: formats: tiles, and the profile does not say how it is laid out; add a [tiles] table, or leave it out`},
		{"format of video", replaced(`"png"`, `"y4m"`), `x:12: formats: y4m does not hold pixels of counted colors; use png, bmp, `},
		{"video of counted colors", "name = \"a\"\nsystem = 525\noutputs = [\"rgb\"]\nrasters = [\"480i\"]\ncolors = 16", "x:5: colors: 16 colors at once, and the device plays video, which has no palette"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p, err := ParseTOML([]byte(tt.text), "x")
			assert.Nil(t, p)
			require.Error(t, err)
			assert.Contains(t, err.Error(), tt.want)
			assert.NotContains(t, err.Error(), "\n")
			t.Log(err)
		})
	}
}

// TestTemplate: it works as it stands, names every key once, and every example
// is of its key's type.
func TestTemplate(t *testing.T) {
	text := Template()
	p, err := ParseTOML([]byte(text), "template.toml")
	require.NoError(t, err)
	assert.True(t, p.Pixels())
	for _, k := range Keys() {
		last := k.Name[strings.LastIndex(k.Name, ".")+1:]
		assert.Contains(t, text, last+" = "+k.Example, k.Name)
		assert.NotEmpty(t, k.Meaning, k.Name)
		assert.NotEmpty(t, k.Type, k.Name)
		q, err := ParseTOML([]byte(k.Name+" = "+k.Example), "x")
		assert.Nil(t, q)
		// Alone it makes no device, and that is all that is wrong.
		assert.ErrorContains(t, err, "x: missing: ", k.Name)
	}
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "##") {
			assert.LessOrEqual(t, len(line), 79)
		}
	}
}

// TestParseClock by exact arithmetic: the subcarrier of 525 lines is 315/88 MHz
// (SMPTE 170M-2004 clause 11.1), 455/2 of its line rate.
func TestParseClock(t *testing.T) {
	for _, tt := range []struct {
		text string
		s    *timing.System
		want timing.Ratio
	}{
		{"315/88 MHz", timing.System525, timing.R(39_375_000, 11)},
		{"1 fsc", timing.System525, timing.R(39_375_000, 11)},
		{"227.5 fH", timing.System525, timing.R(39_375_000, 11)},
		{"455/2 fH", timing.System525, timing.R(39_375_000, 11)},
		{" 21477272.7  hz ", timing.System525, timing.R(214_772_727, 10)},
		{"864 fH", timing.System625, timing.Int(13_500_000)},
		{"13.5 MHz", timing.System625, timing.Int(13_500_000)},
		{"13500 kHz", timing.System625, timing.Int(13_500_000)},
		{"4 fsc", timing.System625, timing.Int(17_734_475)},
	} {
		got, err := ParseClock(tt.text, tt.s)
		require.NoError(t, err, tt.text)
		assert.Equal(t, tt.want, got, tt.text)
	}
}

// TestRoundedClocks: a decimal that is the rounding of a simple multiple is that
// multiple; others stay what they are, and are told when they come near.
func TestRoundedClocks(t *testing.T) {
	for text, note := range map[string]string{
		"6 fsc":         "",
		"21477272.7 Hz": "The clock 21477272.7 Hz is taken as 6 fsc, of which it is the rounding.",
		"21.477273 MHz": "The clock 21.477273 MHz is taken as 6 fsc, of which it is the rounding.",
		"21.47728 MHz":  "The clock 21.47728 MHz is all but 6 fsc; write that if it is meant.",
		"21.4773 MHz":   "The clock 21.4773 MHz is taken as 6 fsc, of which it is the rounding.",
		"21.5 MHz":      "",
		"21477272 Hz":   "The clock 21477272 Hz is all but 6 fsc; write that if it is meant.",
	} {
		p, err := ParseTOML([]byte(replaced(`"6 fsc"`, `"`+text+`"`)), "x")
		require.NoError(t, err, text)
		all := strings.Join(p.Notes, " ")
		if note == "" {
			assert.NotContains(t, all, "The clock", text)
			continue
		}
		assert.Contains(t, all, note, text)
		exact := p.Clocks.Master == timing.R(236_250_000, 11) // 6 x 39 375 000 / 11
		assert.Equal(t, strings.Contains(note, "taken"), exact, text)
	}
}

// FuzzParseTOML: refuse, or make a profile that holds to its own rules.
func FuzzParseTOML(f *testing.F) {
	f.Add([]byte(bench))
	f.Add([]byte(Template()))
	f.Add([]byte(strings.ReplaceAll(Template(), "\n# ", "\n")))
	f.Add([]byte("name = \"a\"\nsystem = 625\noutputs = [\"pal\"]\nrasters = [\"576i\"]"))
	f.Add([]byte(replaced(`"6 fsc"`, `"21477272.7 Hz"`)))
	f.Add([]byte(replaced("line = 1364", "line = [1364, 1368]")))
	f.Add([]byte(replaced("bits = [5, 5, 5]", `palette_wire = [[0,0,0],[100,0,0],[50,40,103.5]]`)))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := ParseTOML(data, "x")
		if err != nil {
			if p != nil {
				t.Fatal("an error and a profile")
			}
			return
		}
		if err := p.Check(); err != nil {
			t.Fatal(err)
		}
		for _, r := range p.Rasters {
			r.Scan.FieldRate()
			if r.Comb(0).N != r.Width {
				t.Fatal("width")
			}
		}
		if p.Pixels() {
			p.palette(p.Outputs[0]).nearest(colorimetry.Gray(0.5))
		}
	})
}

// A file that is no text at all is told where to begin.
func TestNoText(t *testing.T) {
	for _, data := range []string{"\x89PNG\r\n\x1a\n", "name = \"a\x00b\""} {
		_, err := ParseTOML([]byte(data), "x.toml")
		assert.EqualError(t, err, "x.toml is no text: a profile is a TOML file, such as `backporch show device --template` prints")
	}
}
