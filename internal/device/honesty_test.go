package device

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/testtable"
	"backporch/pattern"
)

// TestBestBars: the level k/(2^n-1) nearest to 75 %, by arithmetic.
func TestBestBars(t *testing.T) {
	for spec, want := range map[string]float64{
		"pixel-320":          5. / 7,
		"pixel-320 bits=222": 2. / 3,
		"pixel-320 bits=111": 1,
		"pixel-320 bits=444": 11. / 15,
		"pixel-320 bits=555": 23. / 31,
		"pixel-320-625":      5. / 7,
	} {
		p, err := Parse(spec)
		require.NoError(t, err)
		b := p.BestBars(p.Outputs[0])
		assert.InDelta(t, want, b.Amplitude, 1e-12, spec)
		assert.InDelta(t, 0, b.score(), 1e-6, "equal channels make an exact set: %s", spec)
		require.Len(t, b.Bars, 8)
		assert.True(t, b.Verdict().OK)
		assert.Equal(t, [3]uint8{uint8(math.Round(255 * want)), 0, 0}, b.Bars[5].RGB, spec)
	}
	// 5:6:5: 23/31 of red and blue beside 47/63 of green; worked out by hand, luma
	// 0.299 x 23/31 + 0.587 x 47/63 + 0.114 x 23/31.
	p, err := Parse("pixel-320 bits=565")
	require.NoError(t, err)
	b := p.BestBars(p.Outputs[0])
	assert.InDelta(t, 0.413*23/31+0.587*47/63, b.Amplitude, 1e-12)
	assert.Positive(t, b.Worst.Hue)
	assert.True(t, b.Verdict().OK)
	assert.LessOrEqual(t, b.score(), 1.0)

	// 3:3:2: no level of blue lies near one of the others but full.
	p, err = Parse("pixel-320 bits=332")
	require.NoError(t, err)
	b = p.BestBars(p.Outputs[0])
	assert.InDelta(t, 1, b.Amplitude, 1e-12)
	assert.Contains(t, b.Verdict().Words, "which some sets clip")
}

// TestBarReadings: bars of 5/7 read 5/7 / 0.75 of those of 75 % that SMPTE
// 170M-2004 prints in table A.3, above the setup of 7.5 IRE.
func TestBarReadings(t *testing.T) {
	p, err := Parse("pixel-320 setup=7.5")
	require.NoError(t, err)
	b := p.BestBars(p.Outputs[0])
	k := 5. / 7 / 0.75
	rows := testtable.Table(t, "smpte170m_75_bars.csv")
	require.Len(t, rows, len(b.Bars))
	for i, row := range rows {
		bar := b.Bars[i]
		require.Equal(t, strings.ToLower(row.Text(t, "bar")), bar.Name)
		assert.InDelta(t, 7.5+(row.Float(t, "luma_IRE")-7.5)*k, float64(bar.Level.Luma.IRE()), 0.0001, bar.Name)
		assert.InDelta(t, row.Float(t, "chroma_pp_IRE")*k, float64(bar.Level.Chroma.IRE()), 0.0001, bar.Name)
		if !bar.Neutral {
			assert.InDelta(t, row.Float(t, "phase_deg"), bar.Level.Degrees, 0.0001, bar.Name)
		}
	}
}

func report(t *testing.T, spec, pt string, plan colorimetry.Plan) *Report {
	t.Helper()
	p, err := Parse(spec)
	require.NoError(t, err)
	s, v, f := laid(t, p, pt)
	if !p.Pixels() {
		r, err := p.Honesty(s, v, plan, nil)
		require.NoError(t, err)
		return r
	}
	for c := range f.Planes {
		for _, row := range f.Planes[c].Rows {
			plan.MapRow(colorimetry.Component(c), row)
		}
	}
	x, _, err := p.QuantizeScene(f, Options{Patches: s.Patches, Plan: plan})
	require.NoError(t, err)
	r, err := p.Honesty(s, v, plan, x)
	require.NoError(t, err)
	_, err = p.Honesty(s, v, plan, nil)
	require.ErrorContains(t, err, "there is none", "a picture is needed")
	return r
}

// TestHonestyOf3Bits: 75 % bars come out as 5/7: chroma 5/7 / 0.75 - 1 = -4.76 %,
// white 71.43 instead of 75 IRE, hue as it should be.
func TestHonestyOf3Bits(t *testing.T) {
	r := report(t, "pixel-320", "bars-full", colorimetry.Plan{})
	require.Len(t, r.Rows, 8)
	for _, row := range r.Rows {
		switch row.Patch.Name {
		case "black":
			assert.False(t, row.Beyond())
		case "white":
			assert.True(t, row.Neutral)
			assert.InDelta(t, 100*(5./7-0.75), row.Error.Luma, 1e-9)
			assert.InDelta(t, 1000/1.4*(5./7-0.75), row.Error.MV, 1e-9)
			assert.True(t, row.Error.BeyondLuma())
		default:
			assert.InDelta(t, 100*(5./7/0.75-1), row.Error.Chroma, 1e-9)
			assert.True(t, row.Error.BeyondChroma(false))
			assert.InDelta(t, 0, row.Error.Hue, 1e-9)
			assert.True(t, row.Beyond())
		}
	}
	assert.Equal(t, 7, r.Beyond())

	// Two levels of PLUGE that 3 bits cannot tell apart.
	r = report(t, "pixel-320", "pluge", colorimetry.Plan{})
	var notes []string
	for _, row := range r.Rows {
		notes = append(notes, row.Note)
	}
	assert.Contains(t, notes, "cannot be told from left black")
}

// TestHonestyOfDither: what is judged of a dithered patch is the level that its
// area has, not that of a pixel: 75 % of 3 bits is 5/7 in 3 of 4 pixels and 6/7
// in the others, but for what 17 thresholds cannot divide, 1/34 of a step.
func TestHonestyOfDither(t *testing.T) {
	p, err := Parse("pixel-320")
	require.NoError(t, err)
	s, v, f := laid(t, p, "bars-full")
	x, _, err := p.QuantizeScene(f, Options{Patches: s.Patches, Dither: true})
	require.NoError(t, err)
	r, err := p.Honesty(s, v, colorimetry.Plan{}, x)
	require.NoError(t, err)
	require.Len(t, r.Rows, 8)
	for _, row := range r.Rows {
		assert.InDelta(t, 0, row.Error.Luma, 100./7/34+0.1, row.Patch.Name)
		assert.False(t, row.Beyond(), row.Patch.Name)
	}
}

// TestHonestyOfPlayers: 8 bits are within the limits; pictures by the wrong
// matrix are not, and below black is lost where it is dropped.
func TestHonestyOfPlayers(t *testing.T) {
	for _, name := range []string{"player-525", "player-525-0", "player-625", "computer-720-525", "computer-720-625"} {
		r := report(t, name, "bars-full", colorimetry.Plan{})
		assert.Zero(t, r.Beyond(), name)
	}
	p, err := Parse("player-525 matrix=709")
	require.NoError(t, err)
	pt, err := pattern.Parse("bars-full")
	require.NoError(t, err)
	v := pattern.NewView(p.Rasters[0], colorimetry.RGB8, 0, pattern.Shaped)
	s, err := pt.Scene(v)
	require.NoError(t, err)
	r, err := p.Honesty(s, v, colorimetry.Plan{}, nil)
	require.NoError(t, err)
	for _, row := range r.Rows {
		if row.Patch.Name == "green" {
			// 0.7152 instead of 0.587 of 75 %, of 92.5 IRE: +8.89.
			assert.InDelta(t, 92.5*0.75*(0.7152-0.587), row.Error.Luma, 0.3)
			assert.True(t, row.Beyond())
		}
	}
	ok, bad := 0, 0
	for _, v := range p.Verdicts() {
		switch {
		case v.OK:
			ok++
			assert.False(t, v.Still)
		case v.Still:
			bad++
			assert.Contains(t, v.Words, "matrix of BT.709: chroma and phase cannot be set")
		}
	}
	assert.Equal(t, 3, ok)
	assert.Equal(t, 3, bad)

	r = report(t, "player-525 sub-black=false", "pluge", colorimetry.Plan{})
	for _, row := range r.Rows {
		if row.Patch.Name == "PLUGE below black" {
			assert.Greater(t, row.Error.Luma, 2.0)
			assert.True(t, row.Beyond())
		}
	}
}

// TestHonestyThroughAPlan: setup in the file of a player that adds none is what
// the wire should have.
func TestHonestyThroughAPlan(t *testing.T) {
	r := report(t, "pixel-320 bits=888", "bars-full", colorimetry.Plan{Wire: colorimetry.CompositeM, Player: colorimetry.CompositeJ})
	assert.Equal(t, colorimetry.CompositeM, r.Wire)
	assert.Zero(t, r.Beyond())
}

// TestVerdicts: yes where the bars hold together, no on RGB and for palettes
// whose hues are not those of bars.
func TestVerdicts(t *testing.T) {
	for _, p := range Builtin() {
		for _, v := range p.Verdicts() {
			switch {
			case v.Wire.Interface == colorimetry.ComponentRGB:
				assert.False(t, v.OK)
				assert.Contains(t, v.Words, "RGB cables carry neither")
			case len(p.Color.Fixed) > 0:
				assert.False(t, v.OK, p.Name)
				assert.Contains(t, v.Words, "cannot be set")
			default:
				assert.True(t, v.OK, p.Name)
			}
		}
	}
}

// TestFixedBars: a palette that has the bars of 60 % finds them.
func TestFixedBars(t *testing.T) {
	p, err := Find("palette-16")
	require.NoError(t, err)
	p.Color.Fixed = nil
	for i := range 8 {
		p.Color.Fixed = append(p.Color.Fixed, InkOfRGB([3]uint8{uint8(153 * (i & 1)), uint8(153 * (i >> 1 & 1)), uint8(153 * (i >> 2 & 1))}))
	}
	b := p.BestBars(p.Outputs[0])
	assert.InDelta(t, 0.6, b.Amplitude, 0.0051)
	assert.True(t, b.Verdict().OK)
}

// TestErrorOf: angles are compared around the circle.
func TestErrorOf(t *testing.T) {
	f := colorimetry.CompositeJ
	a, b := InkOf(f, 50, 40, 359.5).Signal, InkOf(f, 51, 42, 0.25).Signal
	e, neutral := errorOf(f, a, b)
	assert.False(t, neutral)
	assert.InDelta(t, 1, e.Luma, 1e-9)
	assert.InDelta(t, 5, e.Chroma, 1e-9)
	assert.InDelta(t, 0.75, e.Hue, 1e-9)
	assert.False(t, e.BeyondLuma(), "the limit itself is within")
	assert.True(t, e.BeyondChroma(false))
	e, neutral = errorOf(colorimetry.PAL, colorimetry.Gray(0.5), InkOf(colorimetry.PAL, 50, 3, 90).Signal)
	assert.True(t, neutral)
	assert.InDelta(t, 3, e.Chroma, 1e-9)
	assert.Equal(t, "%", Unit(colorimetry.PAL))
	assert.Equal(t, "IRE", Unit(f))
}

// TestLimits: marked is what is beyond 1 IRE, 2 % or 1 degree (common practice),
// on either side, and not what is on the limit; color where there should be none
// counts as luma does.
func TestLimits(t *testing.T) {
	for _, sign := range []float64{-1, 1} {
		at, over := Error{Luma: sign * 1, Chroma: sign * 2, Hue: sign * 1}, Error{Luma: sign * 1.01, Chroma: sign * 2.01, Hue: sign * 1.01}
		assert.False(t, at.BeyondLuma() || at.BeyondChroma(false) || at.BeyondHue())
		assert.True(t, over.BeyondLuma())
		assert.True(t, over.BeyondChroma(false))
		assert.True(t, over.BeyondHue())
	}
	assert.False(t, Error{Chroma: 1}.BeyondChroma(true))
	assert.True(t, Error{Chroma: 1.01}.BeyondChroma(true))
}

// TestErrorOnRGB: what a gray of false color is on RGB cables, in the unit of a
// composite signal without setup made of the same R'G'B'.
func TestErrorOnRGB(t *testing.T) {
	e, neutral := errorOf(colorimetry.LookupFamily("rgb-714"), colorimetry.Gray(0.5), InkOf(colorimetry.CompositeJ, 50, 3, 90).Signal)
	assert.True(t, neutral)
	assert.InDelta(t, 3, e.Chroma, 1e-9)
}
