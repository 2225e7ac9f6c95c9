package device

import (
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/testtable"
	"backporch/timing"
)

func rat(r timing.Ratio) *big.Rat { return big.NewRat(r.Num, r.Den) }

// TestBuiltins: each says what it is and where its figures are from, holds to
// the rules that a file is held to, and is found.
func TestBuiltins(t *testing.T) {
	seen := map[string]bool{}
	for i, p := range Builtin() {
		assert.Equal(t, Names()[i], p.Name)
		assert.False(t, seen[p.Name], p.Name)
		seen[p.Name] = true
		require.NoError(t, p.Check(), p.Name)
		assert.NotEmpty(t, p.Title)
		assert.Regexp(t, "calculated|BT.601|common practice", p.Source, p.Name)
		assert.Equal(t, p.Name, p.Slug())
		found, err := Find(strings.ToUpper(p.Name))
		require.NoError(t, err)
		assert.Equal(t, p, found)
		for _, r := range p.Rasters {
			require.NoError(t, probe(r), r.Name)
			got, err := p.Raster(r.Name)
			require.NoError(t, err)
			assert.Same(t, r, got)
		}
	}
	_, err := Find("pixel-265")
	assert.ErrorContains(t, err, `unknown device "pixel-265" (did you mean pixel-256?)`)
	_, err = Builtin()[0].Raster("576i")
	assert.EqualError(t, err, "device player-525 cannot show raster 576i; use 480i, 480i-dv, 240p, or leave the raster out")
	_, err = Builtin()[0].Player(colorimetry.ComponentRGB)
	assert.EqualError(t, err, "device player-525 has no RGB output; it has composite, component")
}

// TestClocksClose: a line is a whole number of master clocks and of pixels, by
// exact arithmetic on the published subcarriers: 315/88 MHz (SMPTE 170M-2004
// clause 11.1), 4 433 618.75 Hz (ITU-R BT.1700 Annex 1 Part B table 1).
func TestClocksClose(t *testing.T) {
	fsc := map[int]*big.Rat{525: big.NewRat(315_000_000, 88), 625: big.NewRat(443_361_875, 100)}
	fH := map[int]*big.Rat{525: big.NewRat(2_250_000, 143), 625: big.NewRat(15_625, 1)}
	for _, p := range Builtin() {
		for _, r := range p.Rasters {
			lines := p.System.Lines()
			rate := new(big.Rat).Quo(fsc[lines], rat(r.Scan.Cycles))
			pixels := new(big.Rat).Quo(rat(r.Clock), rate)
			assert.True(t, pixels.IsInt() || p.Clocks == nil && lines == 625 && !r.Scan.Interlaced(), "%s: %s pixels", r.Name, pixels)
			if p.Clocks == nil {
				continue
			}
			master := new(big.Rat).Quo(rat(p.Clocks.Master), rate)
			require.True(t, master.IsInt(), "%s: %s master clocks", r.Name, master)
			assert.Equal(t, p.Clocks.Lines[0], master.Num().Int64())
			// The nearest whole number: half a pixel of the standard line at most.
			standard := new(big.Rat).Quo(rat(r.Clock), fH[lines])
			off, _ := new(big.Rat).Sub(standard, pixels).Float64()
			assert.InDelta(t, 0, off, 0.5, r.Name)
		}
	}
	cycles := func(name string) timing.Ratio {
		p, err := Find(name)
		require.NoError(t, err)
		return p.Rasters[0].Scan.Cycles
	}
	assert.Equal(t, timing.R(682, 3), cycles("pixel-256"))            // 341 / (3/2)
	assert.Equal(t, timing.R(3416, 15), cycles("pixel-320-wide"))     // 427 / (15/8) = 227 11/15
	assert.Equal(t, timing.R(455, 2), cycles("pixel-640"))            // 910 / 4
	assert.Equal(t, timing.R(1135, 4), cycles("pixel-352-625"))       // 454 / (8/5) = 283.75
	assert.Equal(t, timing.R(1705, 6), cycles("pixel-256-625"))       // 341 / (6/5) = 284 1/6
	assert.Equal(t, timing.R(455, 2), cycles("pixel-320-square"))     // 390 fH
	assert.Equal(t, timing.R(709_379, 2500), cycles("pixel-384-625")) // 472 fH
}

// TestDotClocks: active time and pixel shape of the table of clocks (calculated
// from SMPTE 170M-2004 and ITU-R BT.1700), for every built-in device whose
// clock and width stand there.
func TestDotClocks(t *testing.T) {
	met := map[string]bool{}
	for _, row := range testtable.Table(t, "dotclocks.csv") {
		key := row.Text(t, "system") + " " + row.Text(t, "clock_expr") + " " + row.Text(t, "active_px")
		for _, p := range Builtin() {
			for _, r := range p.Rasters {
				if row.Int(t, "system") != p.System.Lines() || row.Int(t, "active_px") != r.Width {
					continue
				}
				if mhz := row.Float(t, "clock_MHz"); r.Clock.Float64()/1e6 > mhz+1e-6 || r.Clock.Float64()/1e6 < mhz-1e-6 {
					continue
				}
				met[key] = true
				assert.InDelta(t, row.Float(t, "active_us"), float64(r.Width)/r.Clock.Float64()*1e6, 0.00005, r.Name)
				shape := "PAR_noninterlaced"
				if r.Scan.Interlaced() {
					shape = "PAR_interlaced"
				}
				assert.InDelta(t, row.Float(t, shape), r.PixelShape().Float64(), 5.1e-7, r.Name)
				standard := r.Clock.Div(lineRate(p.System)).Float64()
				assert.InDelta(t, row.Float(t, "clocks_per_line"), standard, 0.00005, r.Name)
			}
		}
	}
	for _, key := range []string{"525 3/2 fsc 256", "525 15/8 fsc 320", "525 2 fsc 320", "525 2 fsc 352", "525 4 fsc 640", "525 13.5 MHz 720",
		"525 135/22 MHz (390 fH) 320", "525 135/11 MHz (780 fH) 640", "625 6/5 fsc 256", "625 3/2 fsc 320", "625 8/5 fsc 320",
		"625 13.5 MHz 720", "625 7.375 MHz (472 fH) 384", "625 14.75 MHz (944 fH) 768"} {
		assert.True(t, met[key], key)
	}
}

// TestRates: line and field rates of the table (calculated from SMPTE 170M-2004
// and ITU-R BT.1700) where a device has its cycles and lines.
func TestRates(t *testing.T) {
	met := 0
	for _, row := range testtable.Table(t, "lowline_rates.csv") {
		cycles, lines := row.Text(t, "subcarrier_cycles_per_line"), row.Int(t, "lines_per_field")
		for _, p := range Builtin() {
			r := p.Rasters[0]
			same := Mixed(r.Scan.Cycles) == cycles || r.Scan.Cycles.Cmp(timing.R(455, 2)) == 0 && cycles == "227.5" ||
				r.Scan.Cycles.Cmp(timing.R(709_379, 2500)) == 0 && cycles == "283.7516"
			if !same || r.Scan.Lines != lines || p.Clocks == nil {
				continue
			}
			met++
			assert.InDelta(t, row.Float(t, "fH_Hz"), r.Scan.LineRate().Float64(), 0.0001, p.Name)
			assert.InDelta(t, row.Float(t, "field_Hz"), r.Scan.FieldRate().Float64(), 0.00001, p.Name)
			assert.InDelta(t, row.Float(t, "line_us"), r.Scan.LinePeriod().Float64(), 0.00001, p.Name)
		}
	}
	assert.GreaterOrEqual(t, met, 8)
}

// TestCentered: the pixels lie in the middle of the analog picture to half a
// master clock.
func TestCentered(t *testing.T) {
	for _, p := range Builtin() {
		if p.Clocks == nil {
			continue
		}
		for _, r := range p.Rasters {
			left, right := r.Window()
			off := left.Add(right).Sub(timing.Int(int64(r.Width - 1))).Div(timing.Int(2)).Mul(timing.Int(p.Clocks.Divider))
			assert.LessOrEqual(t, off.Cmp(timing.R(1, 2)), 0, r.Name)
			assert.GreaterOrEqual(t, off.Cmp(timing.R(-1, 2)), 0, r.Name)
		}
	}
}

// TestComputers: n samples where BT.601 has one, on the same stretch of the
// line: 9.0370 us after 0H begins the first sample of 525 lines (122 - 1/2 of
// 13.5 MHz; BT.601-5 table 2), 9.7778 that of 625 (132 - 1/2).
func TestComputers(t *testing.T) {
	for _, p := range Builtin() {
		if !strings.HasPrefix(p.Name, "computer-") {
			continue
		}
		for _, r := range p.Rasters {
			want := timing.R(243, 27) // 121.5 / 13.5
			if p.System == timing.System625 {
				want = timing.R(263, 27)
			}
			assert.Equal(t, want, r.TimeOf(timing.R(-1, 2)), r.Name)
			assert.Equal(t, timing.R(1440, 27), timing.Int(int64(r.Width)).Mul(timing.Int(1_000_000)).Div(r.Clock), r.Name)
		}
	}
}

func TestParse(t *testing.T) {
	p, err := Parse("pixel-320 colors=16 bits=444  setup=7.5")
	require.NoError(t, err)
	assert.Equal(t, "pixel-320 bits=444 colors=16 setup=7.5", p.Name)
	assert.Equal(t, "pixel-320-bits-444-colors-16-setup-7-5", p.Slug())
	assert.Equal(t, [3]int{4, 4, 4}, p.Color.Bits)
	assert.Equal(t, 16, p.Color.AtOnce)
	assert.Equal(t, families("composite-m", "rgb-714"), p.Outputs)
	assert.Equal(t, 4, p.Framebuffer.Bits)
	assert.Contains(t, p.Title, "changed: bits=444 colors=16 setup=7.5")
	again, err := Parse(p.Name)
	require.NoError(t, err)
	assert.Equal(t, p, again)

	// Every form of color with every number of them.
	for _, bits := range []string{"333", "444", "555", "565", "888"} {
		for _, colors := range []string{"16", "32", "64", "128", "256", "512"} {
			p, err := Parse("pixel-512 bits=" + bits + " colors=" + colors)
			require.NoError(t, err)
			require.NoError(t, p.Check())
		}
	}
	p, err = Parse("pixel-384 bits=888 colors=32768")
	require.NoError(t, err)
	assert.Equal(t, 32768, p.Color.AtOnce)
	p, err = Parse("player-525 matrix=709 sub-black=false output=component-n10")
	require.NoError(t, err)
	assert.Equal(t, Matrix709, p.Matrix)
	assert.False(t, p.SubBlack)
	assert.Equal(t, "component-n10", p.Outputs[0].Name)
	p, err = Parse("computer-720-525 output=composite-j setup=7.5")
	require.Nil(t, p)
	require.ErrorContains(t, err, "the device has no output composite-j; it has rgb-700, rgb-714, composite-m")
	p, err = Parse("computer-720-525 setup=7.5 output=composite")
	require.NoError(t, err)
	assert.Equal(t, families("composite-m", "rgb-700", "rgb-714"), p.Outputs)
	p, err = Parse("pixel-256 rows=224")
	require.NoError(t, err)
	assert.Equal(t, 224, p.Rasters[0].Height())
	assert.Equal(t, 30, p.Rasters[0].Lines[0].Number)
	shown := p.Rasters[0].Span(0).Y + p.Rasters[0].Span(223).Y
	assert.InDelta(t, 0, shown, p.Rasters[0].Span(0).DY*1.001, "in the middle to half a line")

	for spec, want := range map[string]string{
		"":                          "no device named",
		"pixel-321":                 `unknown device "pixel-321" (did you mean pixel-320?)`,
		"pixel-320 bit=333":         `device pixel-320 has no "bit" to change (did you mean bits?); it has bits, colors, setup, rows, output`,
		"pixel-320 bits":            "device pixel-320: bits needs a value: three digits",
		"pixel-320 bits=3":          `device pixel-320: bits: "3" is not three digits`,
		"pixel-320 bits=999":        "is not three digits from 1 to 8",
		"pixel-320 colors=1024":     "device pixel-320: colors: 1024 colors at once, and 3:3:3 bits make 2^9 = 512",
		"pixel-320 colors=one":      `colors: "one" is not a whole number`,
		"pixel-320 setup=5":         "setup: a setup of 5 IRE; it is 0 or 7.5",
		"pixel-256-625 setup=7.5":   "a setup of 7.5 IRE on 625 lines, which have none",
		"pixel-320 rows=300":        "rows: the first row on line",
		"pixel-320 bits=333 bits=3": "bits twice",
		"palette-16 bits=333":       "device palette-16 (256 pixels at 3/2 fsc (5.369 MHz), 16 fixed colors) has no bits to change; it has colors, setup, rows, output",
		"player-525 colors=4":       "has no colors to change",
		"player-525 matrix=2020":    "is neither 601 nor 709",
		"player-525 output=rgb-700": "the device has no output rgb-700; it has composite-m, component-betacam, component-n10",
	} {
		p, err := Parse(spec)
		assert.Nil(t, p, spec)
		assert.ErrorContains(t, err, want, spec)
	}
}

// TestPlays: what a decoder makes of a sample, by hand.
func TestPlays(t *testing.T) {
	p, err := Parse("player-525 matrix=709 sub-black=false")
	require.NoError(t, err)
	// Green of 75 % in an R'G'B' picture: code 191. By the matrix of BT.709 its
	// luma is 0.7152 x 191/255 instead of 0.587 x 191/255: codes 133 and 112.
	s := p.Plays(colorimetry.FromRGB(0, 0.75, 0), true)
	assert.InDelta(t, 133-16, 219*s.Y, 1e-9)
	plain, err := Find("player-525")
	require.NoError(t, err)
	s = plain.Plays(colorimetry.FromRGB(0, 0.75, 0), true)
	assert.InDelta(t, 112-16, 219*s.Y, 1e-9)
	// Video does not pass the matrix.
	s = p.Plays(colorimetry.FromRGB(0, 0.75, 0), false)
	assert.InDelta(t, 112-16, 219*s.Y, 1e-9)
	// Below black: -4 % is code 7.24, so 7; it is dropped, or not.
	assert.Zero(t, p.Plays(colorimetry.Gray(-0.04), false).Y)
	assert.InDelta(t, 7-16, 219*plain.Plays(colorimetry.Gray(-0.04), false).Y, 1e-9)
	assert.InDelta(t, 1, p.Plays(colorimetry.Gray(1.05), false).Y, 1e-12)
	assert.InDelta(t, 246-16, 219*plain.Plays(colorimetry.Gray(1.05), false).Y, 1e-9)
	assert.Equal(t, "709", p.Matrix.String())
	assert.Equal(t, "Matrix(7)", Matrix(7).String())
}

// TestWords: spelling a word and reading it are inverse.
func TestWords(t *testing.T) {
	for _, text := range []string{"rrrrrggggggbbbbb", "-bbbbbgggggrrrrr", "rrrgggbb", "----rrrrggggbbbb", "rrrrrrrrggggggggbbbbbbbb"} {
		w, err := readColorWord(text)
		require.NoError(t, err)
		assert.Equal(t, text, SpellColorWord(w))
	}
	m, err := readMapWord("vhpp pttt_tttttttt")
	require.NoError(t, err)
	assert.Equal(t, "vhpppttttttttttt", SpellMapWord(m))
	for _, text := range []string{"", "rgb", "rrrrrrrr", "xrrgggbb", "rrrgggbbrrrgggbbrrrgggbbrrrgggbbrrrgggbb"} {
		_, err := readColorWord(text)
		assert.Error(t, err, text)
	}
	for _, text := range []string{"pppppppp", "hhtttttt", "tttttttttttttttttttttttt"} {
		_, err := readMapWord(text)
		assert.Error(t, err, text)
	}
}
