package trace

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/composite"
)

// A termination that is missing or doubled, and a scope set for another probe or
// unit, are named; what is left is judged without them.
func TestScales(t *testing.T) {
	for _, tt := range []struct {
		gain  float64
		names []string
		fit   bool
	}{
		{1, nil, true},
		{1.03, nil, false}, // a source that is 3 % high is that, and nothing else
		{2, []string{"not terminated"}, false},
		{2.08, []string{"not terminated"}, false},
		{2.0 / 3, []string{"terminated twice"}, false},
		{10, []string{"probe"}, true},
		{0.1, []string{"probe"}, true},
		{20, []string{"not terminated", "probe"}, false},
		{2.0 / 30, []string{"terminated twice", "probe"}, false},
		{1000, []string{"unit"}, true},
		{0.001, []string{"unit"}, true},
		{1.5, nil, false},
		{0.8, nil, false},
	} {
		t.Run(fmt.Sprint(tt.gain), func(t *testing.T) {
			d := ntscBars(t)
			k := take{mhz: 50, before: 3, gain: tt.gain, offset: -40}
			r, err := Measure(k.scope(-3, 2*d.period+1, d.at), Conditions{}, targetOf(t, ntsc75, "480i", "composite-m", ""))
			require.NoError(t, err)
			var names []string
			for _, f := range r.Faults {
				names = append(names, f.Name)
			}
			assert.Equal(t, tt.names, names)
			assert.Equal(t, tt.fit, r.Fit(), show(r))
			if tt.fit {
				printed(t, r, exactMV, exactDegrees)
			}
			// Setup is told at any scale that is named.
			if len(names) > 0 {
				assert.Equal(t, "7.5", r.Setup.Word)
				assert.Contains(t, r.Faults[0].Text, "sync x")
			}
		})
	}
}

// Levels that are off, but not all alike, are no termination.
func TestNoTermination(t *testing.T) {
	d := ntscBars(t)
	for i := range d.luma {
		d.luma[i] *= 2
		d.pp[i] *= 2
	}
	k := take{mhz: 50, before: 3}
	r, err := Measure(k.scope(-3, 2*d.period+1, d.at), Conditions{}, targetOf(t, ntsc75, "480i", "composite-m", ""))
	require.NoError(t, err)
	assert.Empty(t, r.Faults)
	assert.Contains(t, fmt.Sprint(r.Notes), "not all alike (sync x 1, burst x 1, white x 2)")
	assert.False(t, r.Fit())
}

func TestInverted(t *testing.T) {
	d := ntscBars(t)
	k := take{mhz: 50, before: 3, gain: -1, offset: 250}
	r, err := Measure(k.scope(-3, 2*d.period+1, d.at), Conditions{}, targetOf(t, ntsc75, "480i", "composite-m", ""))
	require.NoError(t, err)
	require.Len(t, r.Faults, 1)
	assert.Equal(t, "inverted", r.Faults[0].Name)
	assert.False(t, r.Fit())
	assert.InDelta(t, 250, r.Blanking, exactMV)
	printed(t, r, exactMV, exactDegrees)
}

// Black says which setup the source has, whatever was asked for: the wire of
// the two that fits is kept.
func TestSetup(t *testing.T) {
	both := []Target{targetOf(t, "bars-full set=75/0/75/0", "480i", "composite-m", ""), targetOf(t, "bars-full set=75/0/75/0", "480i", "composite-j", "")}
	for _, tt := range []struct {
		wire string
		word string
	}{{"composite-m", "7.5"}, {"composite-j", "0"}} {
		k := take{spec: "bars-full set=75/0/75/0", raster: "480i", wire: tt.wire, options: composite.Standard, first: 60, lines: 1, before: 2, after: 2, mhz: 62.5, noise: 5}
		r, err := Measure(k.record(t), Conditions{}, both...)
		require.NoError(t, err)
		assert.Equal(t, tt.word, r.Setup.Word)
		assert.Equal(t, tt.wire, r.Target.Wire.Name)
		assert.True(t, r.Fit(), show(r))
		// Against the other alone it is out, and says why.
		other := both[0]
		if tt.wire == "composite-m" {
			other = both[1]
		}
		r, err = Measure(k.record(t), Conditions{}, other)
		require.NoError(t, err)
		assert.False(t, r.Fit())
		assert.Equal(t, tt.word, r.Setup.Word)
		assert.Contains(t, r.Out(), "black "+map[string]string{"7.5": "high", "0": "low"}[tt.word])
	}
	// Half way is neither, and so is far away.
	for black, word := range map[float64]string{3.75: "between", -5: "outside", 15: "outside", 6.8: "7.5", 0.9: "0"} {
		d := ntscBars(t)
		d.luma[7] = black / 0.14
		k := take{mhz: 50, before: 3}
		r, err := Measure(k.scope(-3, 2*d.period+1, d.at), Conditions{}, both...)
		require.NoError(t, err)
		assert.Equal(t, word, r.Setup.Word, black)
		assert.InDelta(t, black/0.14, r.Setup.MV, exactMV)
	}
}

// Without a burst there is no phase, and the rest is read all the same.
func TestNoBurst(t *testing.T) {
	d := ntscBars(t)
	d.burst = 0
	k := take{mhz: 50, before: 3, noise: 3}
	r, err := Measure(k.scope(-3, 2*d.period+1, d.at), Conditions{}, targetOf(t, ntsc75, "480i", "composite-m", ""))
	require.NoError(t, err)
	assert.Zero(t, fact(t, r, "burst p-p").Got)
	assert.Contains(t, r.Out(), "burst p-p low")
	assert.Contains(t, fmt.Sprint(r.Notes), "There is no burst")
	assert.InDelta(t, 549.107, r.Patches[0].Got, noisyMV)
	assert.False(t, r.Patches[1].Colored)
}

// What cannot be measured is refused with the reason and a way out.
func TestRefused(t *testing.T) {
	d := ntscBars(t)
	ntsc := targetOf(t, ntsc75, "480i", "composite-m", "")
	pal := targetOf(t, "bars-full set=75/0/75/0", "576i", "pal", "")
	for _, tt := range []struct {
		name   string
		mhz    float64
		to     float64
		from   float64
		at     func(float64) float64
		target Target
		first  int
		want   string
	}{
		{"no sync", 50, 130, -3, func(float64) float64 { return 100 }, ntsc, 0, "no line sync is found"},
		{"another signal", 50, 130, -3, func(us float64) float64 { return 300 * float64(int(us)%10) }, ntsc, 0, "no line sync is found"},
		{"too slow", 12, 130, -3, d.at, ntsc, 0, "12 million samples a second, and a subcarrier needs at least 14.3"},
		{"too slow for component", 12, 130, -3, d.at, targetOf(t, ntsc75, "480i", "component-n10", "Y"), 0, "component-n10 needs at least 13.5"},
		{"too short", 50, 30, 0.5, d.at, ntsc, 0, "The record lasts 29.5 us and a line 63.6"},
		{"begins behind sync", 50, 60, 2, d.at, ntsc, 0, "no line sync is found"},
		{"ends in the porch", 50, 8, -3, d.at, ntsc, 0, "no whole line in the record"},
		{"lines of 625", 50, 200, -3, palBars(t).at, ntsc, 0, "a line lasts 64.00 us, which is one of 625/50, and the raster has 63.56; name the one that plays, such as --raster 576i"},
		{"lines of 525", 50, 200, -3, d.at, pal, 0, "which is one of 525/60"},
		{"burst of 625", 50, 62, -3, palBars(t).at, ntsc, 0, "the burst is that of 625/50 (4.434 MHz)"},
		{"burst of 525", 50, 62, -3, d.at, pal, 0, "the burst is that of 525/60 (3.580 MHz)"},
		{"no such line", 50, 130, -3, d.at, ntsc, 600, "--line 600: 525i has lines 1 to 525"},
		{"no sync on a channel", 50, 130, -3, d.at, targetOf(t, ntsc75, "480i", "component-n10", "PB"), 0, "PB of component-n10 carries no sync"},
		{"no such signal", 50, 130, -3, d.at, Target{Wire: ntsc.Wire, Signal: "Y", View: ntsc.View}, 0, `composite-m has no signal "Y"; it has CVBS`},
		{"a line that shows nothing", 50, 130, -3, d.at, ntsc, 5, "no line of the record shows a picture"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			k := take{mhz: tt.mhz}
			_, err := Measure(k.scope(tt.from, tt.to, tt.at), Conditions{Line: tt.first}, tt.target)
			require.ErrorContains(t, err, tt.want)
		})
	}
}

// Another picture than the pattern's is said to be one, and sync and burst are
// judged all the same.
func TestOtherPicture(t *testing.T) {
	d := ntscBars(t)
	k := take{mhz: 50, before: 3}
	r, err := Measure(k.scope(-3, 2*d.period+1, d.at), Conditions{}, targetOf(t, "bars-full set=75/7.5/75/7.5 ", "480i", "composite-m", ""))
	require.NoError(t, err)
	require.Empty(t, r.Faults)
	r, err = Measure(k.scope(-3, 2*d.period+1, d.at), Conditions{}, targetOf(t, "flat", "480i", "composite-m", ""))
	require.NoError(t, err)
	require.Len(t, r.Faults, 1, show(r))
	assert.Equal(t, "other picture", r.Faults[0].Name)
	assert.Contains(t, r.Faults[0].Text, "no row of the pattern")
	assert.False(t, r.Fit())
	assert.Empty(t, r.Patches)
	assert.InDelta(t, 285.714, fact(t, r, "burst p-p").Got, exactMV)
}

// A cable that is known to end nowhere is no fault, and one that ends in 75 ohm
// after all is.
func TestExpectedTermination(t *testing.T) {
	d := ntscBars(t)
	target := targetOf(t, ntsc75, "480i", "composite-m", "")
	for _, tt := range []struct {
		gain     float64
		expected Termination
		fault    string
		scale    float64
	}{
		{2, Open, "", 2},
		{1, Open, "terminated", 1},
		{2.0 / 3, Open, "terminated twice", 2.0 / 3},
		{2.0 / 3, Twice, "", 2.0 / 3},
		{20, Open, "probe", 20},
		{2.3, Open, "", 2}, // a source that is too high, as it is
	} {
		k := take{mhz: 50, before: 3, gain: tt.gain}
		r, err := Measure(k.scope(-3, 2*d.period+1, d.at), Conditions{Termination: tt.expected}, target)
		require.NoError(t, err)
		assert.InDelta(t, tt.scale, r.Scale, 1e-9)
		if tt.fault == "" {
			assert.Empty(t, r.Faults)
			assert.Equal(t, tt.gain != 2.3, r.Fit())
			continue
		}
		require.Len(t, r.Faults, 1)
		assert.Equal(t, tt.fault, r.Faults[0].Name)
	}
	for _, name := range TerminationNames() {
		got, err := ParseTermination(name)
		require.NoError(t, err)
		assert.Equal(t, name, got.String())
	}
	_, err := ParseTermination("50")
	require.ErrorContains(t, err, `unknown termination "50"; use 75, none, double`)
	assert.Equal(t, "Termination(7)", Termination(7).String())
}
