package device

import (
	"fmt"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/timing"
)

// A unit is what a clock is a multiple of.
type unit struct {
	name string
	of   func(*timing.System) timing.Ratio // Hz
}

var (
	unitFsc = unit{"fsc", func(s *timing.System) timing.Ratio { return s.Subcarrier }}
	unitFH  = unit{"fH", lineRate}
)

// interlaced is the interlaced scan of a system.
func interlaced(s *timing.System) *timing.Scan {
	if s == timing.System625 {
		return timing.Scan625i
	}
	return timing.Scan525i
}

// lineRate is that of the interlaced scan.
func lineRate(s *timing.System) timing.Ratio { return interlaced(s).LineRate() }

// pixelRow is a row of the table of devices with visible pixels.
type pixelRow struct {
	name       string
	width      int
	master     int64 // in units
	unit       unit
	divider    int64
	line       int64 // pixels
	bits       [3]int
	atOnce     int
	interlaced bool // can show both fields, too
	why        string
}

// The pixels of a line are the whole number nearest to what the clock gives in
// a line of the standard, calculated; the clocks are multiples of the
// subcarrier and of the line rate in use for such devices, and how many colors
// go with them, common practice.
var pixels525 = []pixelRow{
	{"pixel-256", 256, 6, unitFsc, 4, 341, [3]int{5, 5, 5}, 256, false, "341.25 in 227 1/2 cycles"},
	{"pixel-320", 320, 4, unitFsc, 2, 455, [3]int{3, 3, 3}, 64, false, "455 in 227 1/2 cycles, exact"},
	{"pixel-320-wide", 320, 15, unitFsc, 8, 427, [3]int{3, 3, 3}, 64, false, "426.5625 in 227 1/2 cycles"},
	{"pixel-320-square", 320, 780, unitFH, 2, 390, [3]int{4, 4, 4}, 16, false, "390, exact"},
	{"pixel-352", 352, 4, unitFsc, 2, 455, [3]int{5, 6, 5}, 256, false, "455 in 227 1/2 cycles, exact"},
	{"pixel-384", 384, 4, unitFsc, 2, 455, [3]int{5, 5, 5}, 32768, false, "455 in 227 1/2 cycles, exact"},
	{"pixel-512", 512, 6, unitFsc, 2, 682, [3]int{5, 5, 5}, 256, false, "682.5 in 227 1/2 cycles"},
	{"pixel-640", 640, 4, unitFsc, 1, 910, [3]int{8, 8, 8}, 256, true, "910 in 227 1/2 cycles, exact"},
	{"pixel-640-square", 640, 780, unitFH, 1, 780, [3]int{5, 6, 5}, 0, true, "780, exact"},
}

var pixels625 = []pixelRow{
	{"pixel-256-625", 256, 6, unitFsc, 5, 341, [3]int{5, 5, 5}, 256, false, "340.5019 in 64 us"},
	{"pixel-320-625", 320, 6, unitFsc, 4, 426, [3]int{3, 3, 3}, 64, false, "425.6274 in 64 us"},
	{"pixel-320-625-narrow", 320, 8, unitFsc, 5, 454, [3]int{4, 4, 4}, 16, false, "454.0026 in 64 us"},
	{"pixel-352-625", 352, 8, unitFsc, 5, 454, [3]int{5, 6, 5}, 256, false, "454.0026 in 64 us"},
	{"pixel-384-625", 384, 944, unitFH, 2, 472, [3]int{5, 5, 5}, 32768, false, "472, exact"},
	{"pixel-512-625", 512, 12, unitFsc, 5, 681, [3]int{5, 5, 5}, 256, false, "681.0038 in 64 us"},
	{"pixel-640-625", 640, 6, unitFsc, 2, 851, [3]int{8, 8, 8}, 256, false, "851.2548 in 64 us"},
	{"pixel-768-625", 768, 944, unitFH, 1, 944, [3]int{5, 6, 5}, 0, true, "944, exact"},
}

// pixelMakers are the devices with visible pixels, those with fixed palettes
// last.
func pixelMakers() (list []maker) {
	for _, t := range []struct {
		system *timing.System
		rows   []pixelRow
	}{{timing.System525, pixels525}, {timing.System625, pixels625}} {
		for _, row := range t.rows {
			list = append(list, maker{row.name, func() *Profile { return row.profile(t.system) }})
		}
	}
	for _, f := range []struct {
		name   string
		system *timing.System
		row    pixelRow
		colors func(*colorimetry.Family) []Ink
		how    string
	}{
		{"palette-16", timing.System525, pixels525[0], palette16, ruleOf16},
		{"palette-128", timing.System525, pixels525[1], palette128, ruleOf128},
		{"palette-16-625", timing.System625, pixels625[0], palette16, ruleOf16},
		{"palette-128-625", timing.System625, pixels625[2], palette128, ruleOf128},
	} {
		list = append(list, maker{f.name, func() *Profile {
			row := f.row
			row.name = f.name
			p := row.profile(f.system)
			p.Color = Color{Fixed: f.colors(p.Outputs[0])}
			p.Outputs = p.Outputs[:1] // it makes its colors as phases of the subcarrier
			p.Title = p.pixelTitle()
			p.Source += "; colors: own rule"
			p.Notes = append(p.Notes, "Colors: "+f.how)
			p.remember()
			return p
		}})
	}
	return list
}

// profile builds a row. A row that contradicts itself is a mistake of the
// table, and panics.
func (row pixelRow) profile(s *timing.System) *Profile {
	c := &Clocks{
		Master: row.unit.of(s).Mul(timing.Int(row.master)), Divider: row.divider, Lines: []int64{row.line * row.divider},
		Text: fmt.Sprintf("%d %s", row.master, row.unit.name),
	}
	p := &Profile{
		Name: row.name, System: s, Clocks: c,
		Color:  Color{Bits: row.bits, AtOnce: row.atOnce},
		Coding: colorimetry.RGB8, Outputs: families("composite-j", "rgb-714"), Formats: []string{"png", "bmp", "bmp24"},
		Source: fmt.Sprintf("clock and colors: common practice; a line of %d pixels (%s): calculated", row.line, row.why),
	}
	rows, first := 240, 22
	if s == timing.System625 {
		rows, first = 288, 23
		p.Outputs = families("pal", "rgb-700")
	}
	v := Picture{Width: row.width, Rows: rows, First: first, Begins: c.Centered(s, row.width), Fields: 1, Lines: s.Lines() / 2}
	p.add(row.name, v)
	if row.interlaced {
		v.Fields, v.Lines = 2, s.Lines()
		p.add(row.name+"-i", v)
	}
	p.Title = p.pixelTitle()
	p.outside()
	p.remember()
	return p
}

// pixelTitle is the title of a device with pixels of its own.
func (p *Profile) pixelTitle() string {
	return fmt.Sprintf("%d pixels at %s, %s", p.Rasters[0].Width, p.Clocks.PixelText(), p.Color.title())
}

// add appends the raster of a picture.
func (p *Profile) add(name string, v Picture) {
	r, err := p.Clocks.Raster(name, p.System, v)
	if err != nil {
		panic("device: " + name + ": " + err.Error())
	}
	p.Rasters = append(p.Rasters, r)
}

// whole reports whether every channel has bits.
func (c *Color) whole() bool { return c.Bits[0] > 0 && c.Bits[1] > 0 && c.Bits[2] > 0 }

// wordOf is the usual word of a color: R' in the highest bits, B' in the lowest,
// little endian, as few whole bytes as 2, 3 or 4.
func wordOf(bits [3]int) pixfmt.ColorWord {
	w := pixfmt.ColorWord{Bytes: max(2, (bits[0]+bits[1]+bits[2]+7)/8)}
	w.Fields = [3]pixfmt.BitField{{Shift: bits[1] + bits[2], Bits: bits[0]}, {Shift: bits[2], Bits: bits[1]}, {Shift: 0, Bits: bits[2]}}
	return w
}

// PixelText writes the clock of pixels as a person does: "3/2 fsc (5.369 MHz)".
func (c *Clocks) PixelText() string {
	mhz := fmt.Sprintf("%.3f MHz", c.Pixel().Float64()/1e6)
	var n int64
	var unit string
	if k, err := fmt.Sscanf(c.Text, "%d %s", &n, &unit); err == nil && k == 2 && (unit == unitFsc.name || unit == unitFH.name) {
		return fmt.Sprintf("%s %s (%s)", timing.R(n, c.Divider), unit, mhz)
	}
	return mhz
}

// outside notes which part of the usual raster lies outside the analog picture.
func (p *Profile) outside() {
	r := p.Rasters[0]
	left, right := r.Window()
	share := timing.Int(int64(r.Width)).Div(r.Clock).Mul(timing.Int(100_000_000)).Div(p.System.Active()).Float64()
	first := left.Sub(timing.R(1, 2)).Ceil() + 1 // the first that is wholly within
	last := timing.Int(int64(r.Width)).Sub(right).Sub(timing.R(1, 2)).Ceil()
	switch {
	case first > 0 || last > 0:
		p.Notes = append(p.Notes, fmt.Sprintf("The pixels are %.1f %% as wide as the analog picture: %d at the left and %d at the right edge lie outside of it, wholly or in part.", share, max(0, first), max(0, last)))
	default:
		p.Notes = append(p.Notes, fmt.Sprintf("The pixels fill %.1f %% of the width of the analog picture; beside them there is black.", share))
	}
}
