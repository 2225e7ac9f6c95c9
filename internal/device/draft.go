package device

import (
	"fmt"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/internal/typo"
	"backporch/timing"
)

// A draft is what a file says, before it is put together.
type draft struct {
	p   Profile
	has map[string]bool // keys that the file has

	rasters    []string
	clock      string
	divider    int
	line       []int64
	v          Picture
	interlaced bool
	begins     *timing.Ratio
	beginsUS   bool

	inks     []Ink
	wireInks [][3]float64 // luma, chroma, degrees
	rng      string
	subBlack bool
	matrix   string

	outputs []string
	setup   float64 // IRE; below 0: not said

	fbPalette, tilePalette *pixfmt.ColorWord // before their byte order is known
	fbBig, tilesBig        bool
}

func newDraft() *draft {
	return &draft{has: make(map[string]bool), divider: 1, setup: -1}
}

func (d *draft) framebuffer() *pixfmt.Framebuffer {
	if d.p.Framebuffer == nil {
		d.p.Framebuffer = &pixfmt.Framebuffer{}
	}
	return d.p.Framebuffer
}

func (d *draft) tiles() *pixfmt.TileSet {
	if d.p.Tiles == nil {
		d.p.Tiles = &pixfmt.TileSet{}
	}
	return d.p.Tiles
}

// profile puts the draft together, and finds where it contradicts itself.
func (d *draft) profile() (*Profile, error) {
	p := &d.p
	for _, step := range []func() error{d.findOutputs, d.findColor, d.findRasters, d.findMemory, d.findRest} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	if err := p.Check(); err != nil {
		return nil, err
	}
	if len(p.Title) == 0 {
		p.Title = fmt.Sprintf("%d by %d, %s", p.Rasters[0].Width, p.Rasters[0].Height(), p.Color.title())
	}
	if p.Clocks != nil {
		p.outside()
	}
	return p, nil
}

func (d *draft) findOutputs() error {
	if d.setup > 0 {
		if err := checkSetup(d.p.System, d.setup); err != nil {
			return &keyError{"setup", err}
		}
	}
	for _, name := range d.outputs {
		f, err := outputFamily(name, d.p.System, d.setup)
		if err != nil {
			return &keyError{"outputs", err}
		}
		if !slices.Contains(d.p.Outputs, f) { // composite and Y/C have the same levels
			d.p.Outputs = append(d.p.Outputs, f)
		}
	}
	return nil
}

func (d *draft) findColor() error {
	p := &d.p
	if len(d.inks) > 0 && len(d.wireInks) > 0 {
		return fault("palette_wire", "palette says which colors there are already; leave one of the two out")
	}
	p.Color.Fixed = d.inks
	if len(d.wireInks) > 0 {
		wire := d.compositeWire()
		for _, n := range d.wireInks {
			p.Color.Fixed = append(p.Color.Fixed, InkOf(wire, n[0], n[1], n[2]))
		}
	}
	p.Coding = colorimetry.YCbCr8
	if d.rng == "full" || d.rng == "" && p.Pixels() {
		p.Coding = colorimetry.RGB8
	}
	p.SubBlack = p.Coding == colorimetry.YCbCr8
	if d.has["sub_black"] {
		if d.subBlack && !p.SubBlack {
			return fault("sub_black", "full range has no codes below black")
		}
		p.SubBlack = d.subBlack
	}
	if d.matrix == "709" {
		if p.Pixels() {
			return fault("matrix", "a device with pixels of its own makes no Y'CbCr of them; leave it out")
		}
		p.Matrix = Matrix709
	}
	return nil
}

// compositeWire is the wire whose phases a palette is given in: the composite
// output, or that of the system.
func (d *draft) compositeWire() *colorimetry.Family {
	for _, f := range d.p.Outputs {
		if f.Interface == colorimetry.Composite {
			return f
		}
	}
	if d.p.System == timing.System625 {
		return colorimetry.PAL
	}
	return colorimetry.CompositeJ
}

// ownKeys make a raster.
var ownKeys = []string{"clock", "divider", "line", "lines", "interlaced", "width", "rows", "first_line", "begins"}

func (d *draft) findRasters() error {
	if len(d.rasters) == 0 {
		return d.ownRaster()
	}
	for _, k := range ownKeys {
		if d.has[k] {
			return fault(k, "rasters names standard ones, which have their own; leave one of the two out")
		}
	}
	var names []string
	for _, r := range timing.Rasters() {
		if r.Scan.System == d.p.System {
			names = append(names, r.Name)
		}
	}
	for _, name := range d.rasters {
		r := timing.Lookup(name)
		if r == nil || r.Scan.System != d.p.System {
			return fault("rasters", "unknown raster %q of %s%s; use %s", name, d.p.System.Name, typo.Suggest(name, names), strings.Join(names, ", "))
		}
		if slices.Contains(d.p.Rasters, r) {
			return fault("rasters", "raster %s twice", r.Name)
		}
		d.p.Rasters = append(d.p.Rasters, r)
	}
	return nil
}

// ownRaster makes the raster of the device's own clock.
func (d *draft) ownRaster() error {
	for _, k := range []string{"clock", "line", "lines", "width", "rows"} {
		if !d.has[k] {
			return fault(k, "is missing: a device has either rasters, or clock, line, lines, width and rows")
		}
	}
	hz, err := d.master()
	if err != nil {
		return &keyError{"clock", err}
	}
	c := &Clocks{Master: hz, Divider: int64(d.divider), Lines: d.line, Text: strings.Join(strings.Fields(d.clock), " ")}
	v := d.v
	v.Fields = 1
	if d.interlaced {
		v.Fields = 2
		if v.Rows%2 != 0 {
			return fault("rows", "%d rows in two fields; use an even number", v.Rows)
		}
		v.Rows /= 2
	}
	if v.First == 0 {
		v.First = 22
		if d.p.System == timing.System625 {
			v.First = 23
		}
	}
	if err := exactly(func() error { v.Begins = c.Centered(d.p.System, v.Width); return nil }); err != nil {
		return &keyError{"clock", err}
	}
	if d.begins != nil {
		v.Begins = *d.begins
		if d.beginsUS {
			if err := exactly(func() error {
				v.Begins = v.Begins.Mul(c.Pixel()).Div(timing.Int(1_000_000))
				return nil
			}); err != nil {
				return &keyError{"begins", err}
			}
		}
	}
	r, err := c.checkRaster(d.p.Name, d.p.System, v)
	if err != nil {
		return withKey("clock", err)
	}
	d.p.Clocks, d.p.Rasters = c, []*timing.Raster{r}
	return nil
}

// master returns the master clock, Hz. A decimal number that is the rounding of a
// simple multiple of fsc or fH is taken as that.
func (d *draft) master() (timing.Ratio, error) {
	hz, err := ParseClock(d.clock, d.p.System)
	if err != nil {
		return hz, err
	}
	near := nearClock(hz, d.p.System)
	if near == "" {
		return hz, nil
	}
	exact, err := ParseClock(near, d.p.System)
	if err != nil {
		return hz, err
	}
	if !rounded(d.clock, exact, d.p.System) {
		d.p.Notes = append(d.p.Notes, fmt.Sprintf("The clock %s is all but %s; write that if it is meant.", d.clock, near))
		return hz, nil
	}
	d.p.Notes = append(d.p.Notes, fmt.Sprintf("The clock %s is taken as %s, of which it is the rounding.", d.clock, near))
	d.clock = near
	return exact, nil
}

// findMemory gives the words their byte order, and the tiles their counts.
func (d *draft) findMemory() error {
	if f := d.p.Framebuffer; f != nil {
		f.Color.BigEndian = d.fbBig && f.Color.Bytes > 0
		if f.Color.Bytes > 0 && f.Bits > 0 {
			return fault("framebuffer.pixel", "memory holds either indexes of %d bits or colors; leave one of the two out", f.Bits)
		}
		if f.Bits == 0 {
			if d.fbPalette != nil {
				return fault("framebuffer.palette", "memory holds colors and has no palette; say framebuffer.bits if it holds indexes")
			}
			if f.HighFirst {
				return fault("framebuffer.first_pixel", "memory holds whole words; say framebuffer.bits if it holds indexes")
			}
		}
	}
	if d.fbPalette != nil {
		w := *d.fbPalette
		w.BigEndian = d.fbBig
		d.framebuffer().Palette = &w
	}
	if d.tilePalette != nil {
		w := *d.tilePalette
		w.BigEndian = d.tilesBig
		d.tiles().Palette = &w
	}
	if t := d.p.Tiles; t != nil {
		t.Map.BigEndian = d.tilesBig
		if t.Tiles == 0 {
			t.Tiles = 1 << t.Map.Tile.Bits
		}
		if t.Palettes == 0 {
			t.Palettes = 1 << t.Map.Palette.Bits
		}
	}
	return nil
}

func (d *draft) findRest() error {
	p := &d.p
	if p.Source == "" {
		p.Source = "the file"
	}
	if len(p.Formats) == 0 {
		p.Formats = []string{"png", "bmp"}
		if p.Coding == colorimetry.YCbCr8 {
			p.Formats = []string{"y4m", "png"}
		}
	}
	for i, name := range p.Formats {
		p.Formats[i] = strings.ToLower(name)
		if !slices.Contains(fileFormats, p.Formats[i]) {
			return fault("formats", "unknown format %q%s; use %s", name, typo.Suggest(name, fileFormats), strings.Join(fileFormats, ", "))
		}
		if p.Pixels() && !slices.Contains(pixelFormats, p.Formats[i]) {
			return fault("formats", "%s does not hold pixels of counted colors; use %s", name, strings.Join(pixelFormats, ", "))
		}
	}
	if !slices.ContainsFunc(p.Formats, func(name string) bool { return !IsData(name) }) {
		return fault("formats", "%s is data for programs, which a table of that name says; name a picture too, such as png, by which the device can be judged", strings.Join(p.Formats, ", "))
	}
	return nil
}

// Names in formats that are not of pictures but of data for programs.
const (
	FormatFramebuffer = "framebuffer"
	FormatTiles       = "tiles"
)

// IsData reports whether a format is not a picture but data for a program of
// the user's own.
func IsData(name string) bool { return name == FormatFramebuffer || name == FormatTiles }

// pixelFormats are those of fileFormats that a device with colors of its own can
// read: full-range R'G'B' of 8 bits, and data for programs.
var pixelFormats = []string{"png", "bmp", "bmp24", "rgb24", FormatFramebuffer, FormatTiles}

// fileFormats are the names of files that a device can read: those of pictures
// and streams, and of data for programs.
var fileFormats = []string{
	"png", "bmp", "bmp24", "y4m", "bt656", "uyvy", "yuyv", "v210", "i420", "i411", "i422", "i444", "nv12",
	"yuv420p10", "yuv422p10", "yuv444p10", "rgb24", "rgb565", "rgb555",
	FormatFramebuffer, FormatTiles,
}
