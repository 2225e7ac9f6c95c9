package device

import (
	"slices"

	"backporch/internal/pixfmt"
)

// A Key is one that a profile file can have. The reader, the template and the
// printed documentation all follow this table.
type Key struct {
	Name     string // with its table: "framebuffer.bits"
	Type     string // of the value, with its unit
	Meaning  string
	Default  string // "" where it is required, or nothing
	Example  string // a value as it stands in a file
	Required bool
	Template bool // stands in the template as it is, the others as comments

	set func(d *draft, v any) error
}

const (
	typeText  = "text"
	typeWhole = "whole number"
	typeBool  = "true or false"
	typeTexts = "list of texts"
)

// Keys returns the table, in the order of the template: those of tables last.
func Keys() []Key { return slices.Clone(keys) }

var keys = []Key{
	{Name: "name", Type: typeText, Required: true, Template: true, Example: `"bench-a"`,
		Meaning: "the name in messages and file names", set: setText(func(d *draft) *string { return &d.p.Name })},
	{Name: "title", Type: typeText, Template: true, Example: `"source on Bench A, 320 pixels"`,
		Meaning: "one line that says what it is", Default: "made of the figures", set: setText(func(d *draft) *string { return &d.p.Title })},
	{Name: "source", Type: typeText, Example: `"measured on the bench"`,
		Meaning: "where the figures are from", Default: `"the file"`, set: setText(func(d *draft) *string { return &d.p.Source })},
	{Name: "notes", Type: typeTexts, Example: `["warm it up for an hour"]`,
		Meaning: "sentences that go with every picture for it", Default: "none", set: setTexts(func(d *draft) *[]string { return &d.p.Notes })},
	{Name: "system", Type: "525 or 625", Required: true, Template: true, Example: "525",
		Meaning: "lines of the interlaced system that its levels and line rate belong to", set: setSystem},

	{Name: "rasters", Type: typeTexts, Example: `["480i", "240p"]`,
		Meaning: "standard rasters that it shows, by name, the usual one first; then none of the keys from clock to begins is needed",
		Default: "its own, made by the keys from clock to begins", set: setTexts(func(d *draft) *[]string { return &d.rasters })},
	{Name: "clock", Type: `text: a number or a fraction, and Hz, kHz, MHz, fsc (the subcarrier) or fH (the line rate)`, Template: true, Example: `"4 fsc"`,
		Meaning: "the master clock, exactly", Default: "rasters must be there", set: setText(func(d *draft) *string { return &d.clock })},
	{Name: "divider", Type: "whole number, master clocks", Template: true, Example: "2",
		Meaning: "master clocks in a pixel", Default: "1", set: setWhole(1, 1<<16, func(d *draft) *int { return &d.divider })},
	{Name: "line", Type: "whole number or list of them, master clocks", Template: true, Example: "910",
		Meaning: "the length of a line; several take turns, line by line, from the top of each frame on", Default: "rasters must be there", set: setLine},
	{Name: "lines", Type: "whole number, lines", Template: true, Example: "262",
		Meaning: "lines in a frame: of one field, or of both when interlaced", Default: "rasters must be there", set: setWhole(1, 2000, func(d *draft) *int { return &d.v.Lines })},
	{Name: "interlaced", Type: typeBool, Example: "true",
		Meaning: "two fields make a frame", Default: "false", set: setBool(func(d *draft) *bool { return &d.interlaced })},
	{Name: "width", Type: "whole number, pixels", Template: true, Example: "320",
		Meaning: "visible pixels of a row", Default: "rasters must be there", set: setWhole(1, 8192, func(d *draft) *int { return &d.v.Width })},
	{Name: "rows", Type: "whole number, rows", Template: true, Example: "240",
		Meaning: "visible rows of the picture, those of both fields when interlaced", Default: "rasters must be there", set: setWhole(1, 2000, func(d *draft) *int { return &d.v.Rows })},
	{Name: "first_line", Type: "whole number, analog line", Template: true, Example: "22",
		Meaning: "the line of field 1 that shows the first row", Default: "22 on 525 lines, 23 on 625", set: setWhole(1, 2000, func(d *draft) *int { return &d.v.First })},
	{Name: "begins", Type: "number, pixels after 0H, or text with the unit us or pixels", Example: `"11.3 us"`,
		Meaning: "the left edge of the first pixel", Default: "so that the pixels lie in the middle of the analog picture", set: setBegins},

	{Name: "bits", Type: "whole number, or list of those of red, green and blue; 1 to 8", Template: true, Example: "[3, 3, 3]",
		Meaning: "bits of each channel of a color; none for a device that plays video or has a fixed palette", Default: "none", set: setBits},
	{Name: "levels", Type: "list of numbers, or list of three such lists; per cent of white", Example: "[0, 12, 27, 41, 58, 72, 87, 100]",
		Meaning: "what each code of a channel gives where the steps are not equal", Default: "equal steps", set: setLevels},
	{Name: "palette", Type: `list of colors "#rrggbb"`, Example: `["#000000", "#ffffff", "#bf0000"]`,
		Meaning: "the fixed colors by index, as R'G'B'", Default: "none", set: setPalette},
	{Name: "palette_wire", Type: "list of lists: luma %, chroma % peak to peak, degrees from +(B'-Y')", Example: "[[0, 0, 0], [100, 0, 0], [50, 40, 103.5]]",
		Meaning: "the fixed colors by index, as they stand on a composite wire, in per cent of white above black", Default: "none", set: setPaletteWire},
	{Name: "colors", Type: "whole number, colors", Template: true, Example: "64",
		Meaning: "how many colors a picture can have at once", Default: "all that the bits make", set: setWhole(2, 1<<24, func(d *draft) *int { return &d.p.Color.AtOnce })},
	{Name: "range", Type: `"full" or "limited"`, Example: `"limited"`,
		Meaning: "what its files hold: full-range R'G'B' pictures, or video with black at 16 and white at 235", Default: `"full" with bits or a palette, else "limited"`,
		set: setChoice(func(d *draft) *string { return &d.rng }, "full", "limited")},
	{Name: "sub_black", Type: typeBool, Example: "false",
		Meaning: "codes below black and above white of video reach the output", Default: "true for limited range", set: setBool(func(d *draft) *bool { return &d.subBlack })},
	{Name: "matrix", Type: `"601" or "709"`, Example: `"709"`,
		Meaning: "by which it makes Y'CbCr of R'G'B' pictures", Default: `"601"`, set: setChoice(func(d *draft) *string { return &d.matrix }, "601", "709")},
	{Name: "scales", Type: typeBool, Example: "false",
		Meaning: "it resizes pictures that are not of its own size", Default: "false", set: setBool(func(d *draft) *bool { return &d.p.Scales })},

	{Name: "outputs", Type: typeTexts, Required: true, Template: true, Example: `["composite-j", "rgb-714"]`,
		Meaning: "levels of plain codes on its outputs, the usual one first: names of wires, or composite, yc, component, rgb", set: setTexts(func(d *draft) *[]string { return &d.outputs })},
	{Name: "setup", Type: "number, IRE: 7.5 or 0", Example: "0",
		Meaning: "what its encoder adds; needed where outputs say composite or yc on 525 lines", Default: "that of the outputs", set: setSetup},
	{Name: "formats", Type: typeTexts, Template: true, Example: `["png", "bmp"]`,
		Meaning: "files that it reads, the usual one first", Default: `["png", "bmp"], or ["y4m", "png"] for limited range`, set: setTexts(func(d *draft) *[]string { return &d.p.Formats })},
	{Name: "short_names", Type: typeBool, Example: "true",
		Meaning: "file names have at most 8 characters and an extension of 3", Default: "false", set: setBool(func(d *draft) *bool { return &d.p.ShortNames })},
	{Name: "name_length", Type: "whole number, characters", Example: "31",
		Meaning: "most characters of a file name with its extension", Default: "no limit", set: setWhole(5, 4096, func(d *draft) *int { return &d.p.NameLength })},

	{Name: "framebuffer.bits", Type: "1, 2, 4 or 8", Example: "8",
		Meaning: "bits of an index into the palette", Default: "none: memory holds colors", set: setWhole(1, 8, func(d *draft) *int { return &d.framebuffer().Bits })},
	{Name: "framebuffer.first_pixel", Type: `"high" or "low"`, Example: `"high"`,
		Meaning: "which bits of a byte the leftmost of several pixels has", Default: `"low"`, set: setFirst(func(d *draft) *bool { return &d.framebuffer().HighFirst })},
	{Name: "framebuffer.pixel", Type: "text, a letter for each bit from the highest down: r g b -", Example: `"rrrrrggggggbbbbb"`,
		Meaning: "how a color stands in memory where there are no indexes", set: setPixel},
	{Name: "framebuffer.palette", Type: "text, a letter for each bit: r g b -", Example: `"-------rrrgggbbb"`,
		Meaning: "how a color stands in the palette of an indexed picture", set: setPaletteWord(func(d *draft) **pixfmt.ColorWord { return &d.fbPalette })},
	{Name: "framebuffer.byte_order", Type: `"little" or "big"`, Example: `"big"`,
		Meaning: "which byte of a word comes first", Default: `"little"`, set: setOrder(func(d *draft) *bool { d.framebuffer(); return &d.fbBig })},
	{Name: "framebuffer.align", Type: "whole number, bytes", Example: "4",
		Meaning: "rows begin at multiples of so many bytes", Default: "1", set: setWhole(1, 4096, func(d *draft) *int { return &d.framebuffer().Align })},

	{Name: "tiles.bits", Type: "2, 4 or 8", Example: "4",
		Meaning: "bits of a pixel of a tile of 8 by 8", set: setWhole(1, 8, func(d *draft) *int { return &d.tiles().Bits })},
	{Name: "tiles.packed", Type: typeBool, Example: "true",
		Meaning: "pixels of 4 bits one after the other; else bit planes", Default: "false", set: setBool(func(d *draft) *bool { return &d.tiles().Packed })},
	{Name: "tiles.first_pixel", Type: `"high" or "low"`, Example: `"high"`,
		Meaning: "which half of a byte of packed pixels the left one has", Default: `"low"`, set: setFirst(func(d *draft) *bool { return &d.tiles().HighFirst })},
	{Name: "tiles.planes", Type: "1, 2, 4 or 8, bit planes", Example: "2",
		Meaning: "bit planes of a tile that take turns row by row; the others follow in groups of as many", Default: "all", set: setWhole(1, 8, func(d *draft) *int { return &d.tiles().Interleave })},
	{Name: "tiles.map", Type: "text, a letter for each bit: t (tile) p (palette) h (mirrored across) v (upside down) -", Example: `"vhpppttttttttttt"`,
		Meaning: "a word of the tile map", set: setMap},
	{Name: "tiles.palette", Type: "text, a letter for each bit: r g b -", Example: `"-------rrrgggbbb"`,
		Meaning: "how a color stands in a palette", set: setPaletteWord(func(d *draft) **pixfmt.ColorWord { return &d.tilePalette })},
	{Name: "tiles.byte_order", Type: `"little" or "big"`, Example: `"big"`,
		Meaning: "which byte of a word comes first", Default: `"little"`, set: setOrder(func(d *draft) *bool { d.tiles(); return &d.tilesBig })},
	{Name: "tiles.count", Type: "whole number, tiles", Example: "1024",
		Meaning: "how many different tiles there is room for", Default: "all that the map can name", set: setWhole(1, 1<<16, func(d *draft) *int { return &d.tiles().Tiles })},
	{Name: "tiles.palettes", Type: "whole number, palettes", Example: "8",
		Meaning: "how many palettes there are", Default: "all that the map can name", set: setWhole(1, 1<<16, func(d *draft) *int { return &d.tiles().Palettes })},
	{Name: "tiles.shared", Type: typeBool, Example: "true",
		Meaning: "color 0 is the same in all palettes", Default: "false", set: setBool(func(d *draft) *bool { return &d.tiles().Shared })},
}
