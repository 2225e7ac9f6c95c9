package modeline

import (
	"encoding/hex"
	"fmt"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/oracle"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// display is a usual one of some modes.
func display(i Input, modes ...*Mode) *Display {
	return &Display{Modes: modes, Input: i, Width: 400, Height: 300, Name: "Bench A"}
}

// TestDetailed holds the 18 bytes to rows that were put together by hand from
// the kernel's struct detailed_timing (drm_edid.h) and a public bit table, for a
// picture of 400 x 300 mm, and read back by edid-decode.
func TestDetailed(t *testing.T) {
	for _, tt := range []struct{ raster, want string }{
		{"480i-cea", "8c 0a a0 14 51 f0 16 00 26 7c 43 00 90 2c 11 00 00 98"},
		{"240p", "8c 0a a0 14 51 f0 16 00 26 7c 43 00 90 2c 11 00 00 18"},
		{"576i", "8c 0a a0 20 51 20 18 10 18 7e 23 00 90 2c 11 00 00 98"},
		{"288p", "8c 0a a0 20 51 20 18 10 18 7e 23 00 90 2c 11 00 00 18"},
	} {
		d := mode(t, tt.raster, 1440, CEA861).detailed(400, 300)
		assert.Equal(t, strings.ReplaceAll(tt.want, " ", ""), hex.EncodeToString(d[:]), tt.raster)
	}
	// Upper bits: 4095 pixels need all twelve.
	d := mode(t, "480i", 4095, CEA861).detailed(4000, 300)
	assert.Equal(t, byte(0xf), d[4]>>4)
	assert.Equal(t, byte(4000>>8), d[14]>>4)
}

// TestEDID looks at single bytes, by a public table of EDID 1.3 (secondary).
func TestEDID(t *testing.T) {
	m := mode(t, "480i", 720, CEA861)
	setup := display(Analog, m)
	setup.Setup = true
	for _, tt := range []struct {
		name  string
		d     *Display
		input byte
	}{
		{"analog, 0.700/0.300 V, separate syncs", display(Analog, m), 0x08},
		{"analog, 0.714/0.286 V, setup", setup, 0x38},
		{"digital", display(Digital, m), 0x80},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b, err := tt.d.EDID()
			require.NoError(t, err)
			sum := byte(0)
			for _, x := range b {
				sum += x
			}
			assert.Zero(t, sum, "the checksum")
			assert.Equal(t, []byte{0, 255, 255, 255, 255, 255, 255, 0}, b[:8])
			assert.Equal(t, tt.input, b[20])
			assert.Equal(t, []byte{1, 3}, b[18:20], "version")
			assert.Equal(t, []byte{40, 30}, b[21:23], "cm")
			assert.Equal(t, []byte{0, 0, 0}, b[35:38], "no mode of 31 kHz or more is offered")
			assert.Equal(t, strings.Repeat("01", 16), hex.EncodeToString(b[38:54]), "nor a standard timing")
			assert.Zero(t, b[126], "extensions")
			again, err := tt.d.EDID()
			require.NoError(t, err)
			assert.Equal(t, b, again)
		})
	}
}

func TestEDIDRefuses(t *testing.T) {
	ntsc, pal := mode(t, "480i", 720, CEA861), mode(t, "576i", 720, CEA861)
	for _, tt := range []struct {
		want  string
		spoil func(d *Display)
	}{
		{`name "": an EDID takes 1 to 13 characters without blanks at the ends`, func(d *Display) { d.Name = "" }},
		{`name "Bench A in the back": an EDID takes 1 to 13 characters`, func(d *Display) { d.Name = "Bench A in the back" }},
		{`name " Bench A": an EDID takes`, func(d *Display) { d.Name = " Bench A" }},
		{`name "Bench\tA": '\t' is no printable ASCII character`, func(d *Display) { d.Name = "Bench\tA" }},
		{`a digital input has no setup`, func(d *Display) { d.Input, d.Setup = Digital, true }},
		{`7.5 IRE setup belongs to 525 lines, and 576i has 625`, func(d *Display) { d.Modes, d.Setup = []*Mode{pal}, true }},
		{`width 320: readers of an EDID take its pixel clock of 6.01 MHz, below 10 MHz, for invalid data; use 540 pixels or more`,
			func(d *Display) { d.Modes = []*Mode{ntsc, mode(t, "240p", 320, CEA861)} }},
		{`also 480i-cea: its mode is that of 480i; name another raster, or none`,
			func(d *Display) { d.Modes = []*Mode{ntsc, mode(t, "480i-cea", 720, CEA861)} }},
		{`a picture of 10 x 300 mm: each is within 100 to 2550 mm`, func(d *Display) { d.Width = 10 }},
	} {
		d := display(Analog, ntsc)
		tt.spoil(d)
		_, err := d.EDID()
		require.Error(t, err)
		assert.Contains(t, err.Error(), tt.want)
	}
	assert.Panics(t, func() { _, _ = display(Analog).EDID() })
	assert.Panics(t, func() { _, _ = display(Analog, ntsc, pal, ntsc).EDID() })
}

func TestParseSize(t *testing.T) {
	for _, tt := range []struct {
		text string
		w, h int
	}{
		{"400x300", 400, 300}, {" 704X396 ", 704, 396},
		// 3:4:5, so 50 cm are 40 by 30; 20 inches are 508 mm.
		{"50cm", 400, 300}, {"500mm", 400, 300}, {"20in", 406, 305}, {"13.5IN", 274, 206},
	} {
		w, h, err := ParseSize(tt.text)
		require.NoError(t, err, tt.text)
		assert.Equal(t, [2]int{tt.w, tt.h}, [2]int{w, h}, tt.text)
	}
	for _, bad := range []string{"", "20", "x", "400x", "x300", "400x300x2", "in", "-3cm", "NaNin", "Infcm", "0x0", "4000x3000", "1in", "12cm", "1e9mm"} {
		_, _, err := ParseSize(bad)
		assert.Error(t, err, bad)
	}
}

// TestEDIDDecode has every raster at many widths judged by edid-decode, which
// must neither fail nor warn, and find the mode that was meant.
func TestEDIDDecode(t *testing.T) {
	oracle.Need(t, "edid-decode")
	widths := []int{720, 1440, 2880, 640, 768, 960, 1920, 540, MaxWidth}
	if testing.Short() {
		widths = []int{720, 2880, 768}
	}
	for _, r := range timing.Rasters() {
		t.Run(r.Name, func(t *testing.T) {
			t.Parallel()
			for i, width := range widths {
				for _, input := range []Input{Analog, Digital} {
					for p := range numPlacings {
						d := display(input, mode(t, r.Name, width, p), mode(t, Sister(r).Name, width, p))
						d.Setup = input == Analog && r.Scan.System == timing.System525 && i%2 == 0
						if i%3 == 1 {
							d.Modes = d.Modes[:1]
						}
						compareDecoded(t, d)
					}
				}
			}
		})
	}
}

// warnings are those that edid-decode gives: it finds each mode of 1440 or 2880
// pixels that has nearly the timing of a format of CEA-861. They cannot be
// avoided where sync or rows are meant to stand elsewhere, or another clock is.
func warnings(d *Display) (list []string) {
	for i, m := range d.Modes {
		if near := similar[fmt.Sprintf("%s %d %s", m.Raster.Name, m.H.Active, m.Placing)]; near != 0 {
			list = append(list, fmt.Sprintf("Detailed Timing Descriptor #%d: DTD is similar but not identical to VIC %d.", i+1, near))
		}
	}
	return list
}

// similar are those formats, for 4:3 screens.
var similar = map[string]int{
	"480i 1440 bt601": 6, "480i-dv 1440 bt601": 6, "480i-cea 1440 bt601": 6, "240p 1440 bt601": 8, "576i-dv 1440 bt601": 21,
	"480i 2880 bt601": 10, "480i-dv 2880 bt601": 10, "480i-cea 2880 bt601": 10, "240p 2880 bt601": 12, "576i-dv 2880 bt601": 25,
}

// compareDecoded compares what edid-decode reads with what was meant.
func compareDecoded(t *testing.T, d *Display) {
	t.Helper()
	b, err := d.EDID()
	require.NoError(t, err)
	read := oracle.CheckEDID(t, b[:])
	text, timings := read.Text, read.Timings
	assert.Equal(t, warnings(d), read.Warnings)
	require.Len(t, timings, len(d.Modes))
	for i, m := range d.Modes {
		got := timings[i]
		assert.Equal(t, [2]int{m.H.Active, m.Raster.Height()}, [2]int{got.Width, got.Rows}, m.Line())
		assert.Equal(t, m.H, Axis{got.Width, got.HFront, got.HSync, got.HBack}, m.Line())
		assert.Equal(t, m.V, Axis{got.Rows / m.Raster.Scan.Fields, got.VFront, got.VSync, got.VBack}, m.Line())
		assert.Equal(t, m.Interlaced(), got.Interlaced)
		assert.False(t, got.HPositive || got.VPositive)
		assert.InDelta(t, m.FieldRate().Float64(), got.Field, 5e-7, m.Line())
		assert.InDelta(t, m.LineRate().Float64()/1e3, got.Line, 5e-4, m.Line())
		assert.InDelta(t, m.Hz().Float64()/1e6, got.Clock, 5e-7, m.Line())
		assert.Equal(t, [2]int{d.Width, d.Height}, [2]int{got.SizeH, got.SizeV})
		halves := ""
		if m.Interlaced() {
			halves = "Vfront +0.5 Odd Field, Vback +0.5 Even Field"
		}
		assert.Equal(t, halves, got.Halves)
	}
	has := func(want string) { assert.Contains(t, text, want) }
	has("Manufacturer: CRT\n")
	has("Display Product Name: '" + d.Name + "'")
	has("First detailed timing is the preferred timing")
	has("Established Timings I & II: none")
	has("Standard Timings: none")
	has("Gamma: 2.40")
	switch {
	case d.Input == Digital:
		has("Digital display")
	case d.Setup:
		has("Signal Level Standard: 0.714 : 0.286 : 1.000 V p-p")
		has("Blank-to-black setup/pedestal")
	default:
		has("Signal Level Standard: 0.700 : 0.300 : 1.000 V p-p")
		has("Blank level equals black level")
	}
	rates := "59-61 Hz V, 15-16 kHz H"
	red, green, blue := colorimetry.XY{X: .630, Y: .340}, colorimetry.XY{X: .310, Y: .595}, colorimetry.XY{X: .155, Y: .070} // SMPTE 170M clause 4.1
	if d.Modes[0].Raster.Scan.System == timing.System625 {
		rates = "49-51 Hz V, 15-16 kHz H"
		red, green, blue = colorimetry.XY{X: .64, Y: .33}, colorimetry.XY{X: .29, Y: .60}, colorimetry.XY{X: .15, Y: .06} // EBU Tech 3213-E
	}
	has(rates)
	for name, want := range map[string]colorimetry.XY{"Red  ": red, "Green": green, "Blue ": blue, "White": {X: .3127, Y: .3290}} {
		_, rest, ok := strings.Cut(text, "    "+name+": ")
		require.True(t, ok, text)
		var x, y float64
		_, err := fmt.Sscanf(rest, "%f, %f", &x, &y)
		require.NoError(t, err)
		assert.InDelta(t, want.X, x, .5/1024+5e-5, name) // ten bits, printed to four places
		assert.InDelta(t, want.Y, y, .5/1024+5e-5, name)
	}
}

// TestEDIDTwoSystems has a mode of each system: the range limits hold both.
func TestEDIDTwoSystems(t *testing.T) {
	d := display(Analog, mode(t, "480i-cea", 720, CEA861), mode(t, "576i", 720, CEA861))
	b, err := d.EDID()
	require.NoError(t, err)
	read := oracle.CheckEDID(t, b[:])
	assert.Empty(t, read.Warnings)
	assert.Contains(t, read.Text, "49-61 Hz V, 15-16 kHz H, max dotclock 20 MHz")
}

// TestEDIDSizes tries sizes whose centimeters are rounded.
func TestEDIDSizes(t *testing.T) {
	for _, size := range [][2]int{{100, 100}, {406, 305}, {274, 206}, {704, 396}, {1995, 1494}, {2550, 2550}} {
		d := display(Analog, mode(t, "480i-cea", 720, CEA861))
		d.Width, d.Height, d.Name = size[0], size[1], "thirteen char"
		b, err := d.EDID()
		require.NoError(t, err)
		read := oracle.CheckEDID(t, b[:])
		assert.Empty(t, read.Warnings)
		assert.Equal(t, size, [2]int{read.Timings[0].SizeH, read.Timings[0].SizeV})
	}
}
