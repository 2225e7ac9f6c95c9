package device

import (
	"errors"
	"fmt"
	"sort"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/timing"
)

// A keyError is a fault of a profile, and the key of a file that it is about.
type keyError struct {
	key string
	err error
}

func (e *keyError) Error() string { return e.key + ": " + e.err.Error() }
func (e *keyError) Unwrap() error { return e.err }

func fault(key, format string, args ...any) error {
	return &keyError{key, fmt.Errorf(format, args...)}
}

// withKey makes err a fault of that key, unless it knows its own.
func withKey(key string, err error) error {
	var k *keyError
	if errors.As(err, &k) {
		return err
	}
	return &keyError{key, err}
}

// Check finds where a profile contradicts itself, and does the arithmetic.
func (p *Profile) Check() error {
	switch {
	case p.Slug() == "" || strings.ContainsAny(p.Name, `/\`):
		return fault("name", "%q makes no file name; use letters from a to z, digits and hyphens", p.Name)
	case p.System == nil || len(p.Rasters) == 0:
		return fault("rasters", "the device has no raster; give rasters, or clock, line, lines, width and rows")
	case len(p.Outputs) == 0:
		return fault("outputs", "the device has no output; name at least one")
	case len(p.Formats) == 0:
		return fault("formats", "the device reads no files; name at least one format")
	}
	for _, r := range p.Rasters {
		if k := timing.Lookup(r.Name); k != nil && k != r {
			return fault("name", "%s is the name of a standard raster, and this one is another; choose another name", r.Name)
		}
		if r.Scan.System != p.System {
			return fault("rasters", "raster %s is of %s, and the device of %s", r.Name, r.Scan.System.Name, p.System.Name)
		}
	}
	for _, f := range p.Outputs {
		if f.Lines != 0 && f.Lines != p.System.Lines() {
			return fault("outputs", "%s (%s) belongs to %d lines, the device has %d", f.Name, f.Title, f.Lines, p.System.Lines())
		}
	}
	if p.NameLength < 0 || p.NameLength > 0 && p.NameLength < 5 {
		return fault("name_length", "%d characters leave no room for a name, a point and an extension", p.NameLength)
	}
	if err := p.checkColor(); err != nil {
		return err
	}
	for _, name := range p.Formats {
		if name == FormatFramebuffer && p.Framebuffer == nil || name == FormatTiles && p.Tiles == nil {
			return fault("formats", "%s, and the profile does not say how it is laid out; add a [%s] table, or leave it out", name, name)
		}
	}
	if err := p.checkFramebuffer(); err != nil {
		return err
	}
	return p.checkTiles()
}

// mostInks is how many colors a fixed palette can have: each pixel is compared
// with all of them.
const mostInks = 4096

func (p *Profile) checkColor() error {
	c := &p.Color
	bits := c.Bits != [3]int{}
	if bits && len(c.Fixed) > 0 {
		return fault("palette", "a device has either bits for each channel or a palette of fixed colors")
	}
	if len(c.Fixed) == 1 {
		return fault("palette", "one fixed color makes no picture; name 2 or more")
	}
	if len(c.Fixed) > mostInks {
		return fault("palette", "%d fixed colors; %d is the most", len(c.Fixed), mostInks)
	}
	for i, n := range c.Bits {
		if bits && (n < 1 || n > 8) {
			return fault("bits", "%d bits of %s; each channel has 1 to 8", n, channelNames[i])
		}
		if err := c.checkLevels(i); err != nil {
			return err
		}
	}
	if c.AtOnce < 0 || c.AtOnce == 1 {
		return fault("colors", "%d colors at once make no picture; use 2 or more, or leave it out", c.AtOnce)
	}
	if all := c.Colors(); c.AtOnce > 0 && all == 0 {
		return fault("colors", "%d colors at once, and the device plays video, which has no palette", c.AtOnce)
	} else if c.AtOnce > all {
		if bits {
			return fault("colors", "%d colors at once, and %d:%d:%d bits make 2^%d = %d", c.AtOnce, c.Bits[0], c.Bits[1], c.Bits[2], c.Bits[0]+c.Bits[1]+c.Bits[2], all)
		}
		return fault("colors", "%d colors at once, and the palette has %d", c.AtOnce, all)
	}
	if p.Pixels() && p.Coding != colorimetry.RGB8 {
		return fault("range", "pixels of counted colors are made from full-range pictures, not from %s", p.Coding.Name)
	}
	return nil
}

var channelNames = [3]string{"red", "green", "blue"}

// checkLevels holds a table of levels to the bits of its channel.
func (c *Color) checkLevels(channel int) error {
	t := c.Levels[channel]
	switch {
	case t == nil:
		return nil
	case len(c.Fixed) > 0 || c.Bits[channel] == 0:
		return fault("levels", "levels of codes belong to a device with bits for each channel")
	case len(t) != 1<<c.Bits[channel]:
		return fault("levels", "%d levels of %s, and %d bits make 2^%d = %d codes", len(t), channelNames[channel], c.Bits[channel], c.Bits[channel], 1<<c.Bits[channel])
	case !sort.Float64sAreSorted(t):
		return fault("levels", "the levels of %s do not rise with the code", channelNames[channel])
	case !(t[0] >= -0.5 && t[len(t)-1] <= 1.5):
		return fault("levels", "levels of %s from %g to %g %%; they lie within -50 and 150 %% of white", channelNames[channel], 100*t[0], 100*t[len(t)-1])
	}
	return nil
}

// indexed returns how many colors a picture can need as indexes: as many as are
// possible at once.
func (c *Color) indexed() int {
	if c.AtOnce > 0 {
		return c.AtOnce
	}
	return c.Colors()
}

func (p *Profile) checkFramebuffer() error {
	f := p.Framebuffer
	if f == nil {
		return nil
	}
	if !p.Pixels() {
		return fault("framebuffer", "the device plays video, which has no pixels in memory")
	}
	if f.Align < 0 || f.Align > 4096 {
		return fault("framebuffer.align", "rows begin at multiples of %d bytes; use 1 to 4096", f.Align)
	}
	switch f.Bits {
	case 0:
		return p.checkWord("framebuffer.pixel", f.Color)
	case 1, 2, 4, 8:
	default:
		return fault("framebuffer.bits", "%d bits of an index; use 1, 2, 4 or 8", f.Bits)
	}
	if n := p.Color.indexed(); n > 1<<f.Bits {
		return fault("framebuffer.bits", "an index of %d bits tells 2^%d = %d colors apart, and the device has %d at once; say colors = %d, or use more bits", f.Bits, f.Bits, 1<<f.Bits, n, 1<<f.Bits)
	}
	return p.checkPaletteWord("framebuffer.palette", f.Palette)
}

// checkPaletteWord holds the word of a palette entry to the colors of the
// device; one of fixed colors has none.
func (p *Profile) checkPaletteWord(key string, w *pixfmt.ColorWord) error {
	if len(p.Color.Fixed) > 0 {
		if w != nil {
			return fault(key, "the colors of the device are fixed; it has no words for them")
		}
		return nil
	}
	if w == nil {
		return fault(key, `how a color stands in the palette is missing, as in "rrrrrggggggbbbbb"`)
	}
	return p.checkWord(key, *w)
}

// checkWord holds the fields of a word to the bits of the channels.
func (p *Profile) checkWord(key string, w pixfmt.ColorWord) error {
	if len(p.Color.Fixed) > 0 {
		return fault(key, "the colors of the device are fixed: its memory holds indexes; say framebuffer.bits")
	}
	if w.Bytes == 0 {
		return fault(key, `how a pixel stands in memory is missing, as in "rrrrrggggggbbbbb"; or say framebuffer.bits`)
	}
	for i, f := range w.Fields {
		if f.Bits != p.Color.Bits[i] {
			return fault(key, "%q has %d bits of %s, and the device %d", SpellColorWord(w), f.Bits, channelNames[i], p.Color.Bits[i])
		}
	}
	return nil
}

func (p *Profile) checkTiles() error {
	t := p.Tiles
	if t == nil {
		return nil
	}
	switch {
	case !p.Pixels():
		return fault("tiles", "the device plays video, which has no pixels in memory")
	case t.Bits != 2 && t.Bits != 4 && t.Bits != 8:
		return fault("tiles.bits", "%d bits of a pixel; use 2, 4 or 8", t.Bits)
	case t.Packed && t.Bits != 4:
		return fault("tiles.packed", "pixels of %d bits one after the other; only those of 4 are", t.Bits)
	case t.Packed && t.Interleave != 0:
		return fault("tiles.planes", "pixels one after the other have no bit planes; leave it out, or packed")
	case t.Interleave < 0 || t.Interleave > 0 && t.Bits%t.Interleave != 0:
		return fault("tiles.planes", "%d of %d bit planes take turns; use a number that divides them", t.Interleave, t.Bits)
	case t.Map.Tile.Bits == 0:
		return fault("tiles.map", `how a tile map is made is missing, as in "vhpppttttttttttt"`)
	case t.Tiles < 1 || t.Tiles > 1<<t.Map.Tile.Bits:
		return fault("tiles.count", "%d tiles; %q has %d bits of t for 2^%d = %d", t.Tiles, SpellMapWord(t.Map), t.Map.Tile.Bits, t.Map.Tile.Bits, 1<<t.Map.Tile.Bits)
	case t.Palettes < 1 || t.Palettes > 1<<t.Map.Palette.Bits:
		return fault("tiles.palettes", "%d palettes; %q has %d bits of p for 2^%d = %d", t.Palettes, SpellMapWord(t.Map), t.Map.Palette.Bits, t.Map.Palette.Bits, 1<<t.Map.Palette.Bits)
	}
	room := t.Palettes << t.Bits
	if t.Shared {
		room -= t.Palettes - 1
	}
	if n := p.Color.AtOnce; n > room {
		return fault("tiles.palettes", "%d palettes of %d colors have room for %d, and the device shows %d at once", t.Palettes, 1<<t.Bits, room, n)
	}
	return p.checkPaletteWord("tiles.palette", t.Palette)
}

// checkRaster works a raster of the profile's own clocks out, and finds figures
// that do not fit.
func (c *Clocks) checkRaster(name string, s *timing.System, v Picture) (r *timing.Raster, err error) {
	err = exactly(func() error {
		r, err = c.Raster(name, s, v)
		return err
	})
	if err == nil {
		err = probe(r)
	}
	if err != nil {
		return nil, err
	}
	return r, nil
}
