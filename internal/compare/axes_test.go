package compare_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/compare"
	"backporch/internal/composite"
)

func run(t *testing.T, q compare.Request) *compare.Result {
	t.Helper()
	res, err := compare.Run(q)
	require.NoError(t, err)
	return res
}

// TestKnobs: gain and phase of the set do to every bar what they say.
func TestKnobs(t *testing.T) {
	phase := run(t, request(t, "bars-full", "480i", compare.Phase))
	require.Len(t, phase.Outcomes, 5)
	for i, want := range []float64{-10, -5, 0, 5, 10} {
		for _, b := range phase.Outcomes[i].Bars {
			assert.InDelta(t, want, b.Hue, 0.05, "%s %s", phase.Outcomes[i].Name, b.Name)
			assert.InDelta(t, 0, b.Chroma, 0.1, "%s %s", phase.Outcomes[i].Name, b.Name)
		}
	}
	gain := run(t, request(t, "bars-full", "480i", compare.Gain))
	for i, want := range []float64{-20, -10, 0, 10, 20} {
		for _, b := range gain.Outcomes[i].Bars {
			assert.InDelta(t, want, b.Chroma, 0.1, "%s %s", gain.Outcomes[i].Name, b.Name)
			assert.InDelta(t, 0, b.Hue, 0.05, "%s %s", gain.Outcomes[i].Name, b.Name)
		}
	}
}

// TestHalfATurn: at 180 degrees of phase every bar is turned by half a turn, to
// which there are two ways; their mean is not between them.
func TestHalfATurn(t *testing.T) {
	for _, raster := range []string{"480i", "576i"} {
		q := request(t, "bars-full", raster, compare.Phase)
		q.Values = []float64{180}
		for _, o := range run(t, q).Outcomes {
			assert.InDelta(t, 180, o.Hue(), 0.1, "%s: %s", raster, o.Name)
			for _, b := range o.Bars {
				assert.InDelta(t, 180, b.Hue, 0.1, "%s: %s, %s", raster, o.Name, b.Name)
			}
		}
	}
}

// TestDelayLine: on PAL a phase error of p turns the hue by p to either side
// from line to line; the mean of two lines has none, and cos p of the color
// (from the definition of the signal, ITU-R BT.470-6 table 2).
func TestDelayLine(t *testing.T) {
	q := request(t, "bars-full", "576i", compare.Phase)
	q.Values = []float64{20, -7}
	res := run(t, q)
	require.Len(t, res.Outcomes, 4)
	assert.Equal(t, 2, res.Columns)
	for i, p := range []float64{20, 20, 7, 7} {
		o := &res.Outcomes[i]
		assert.InDelta(t, 0, o.Hue(), 0.1, o.Name)
		assert.InDelta(t, 100*(math.Cos(p*math.Pi/180)-1), o.Chroma(), 0.1, o.Name)
		swing := p
		if i%2 != 0 { // with the delay line
			swing = 0
		}
		assert.InDelta(t, swing, o.Alternation(), 0.1, o.Name)
	}
	assert.Equal(t, "color -6.0 %, hue ±20.0° from line to line", res.Verdict(&res.Outcomes[0]))
	assert.Equal(t, "color -6.0 %", res.Verdict(&res.Outcomes[1]))
	assert.Contains(t, strings.Join(res.Notes(), " "), "Without a delay line the hue swings")

	q.Gun = compare.BlueOnly
	res = run(t, q)
	assert.False(t, res.Sensitivity.ReadsPhase())
	assert.Contains(t, strings.Join(res.Notes(), " "), "No pair reads phase on this wire")
}

// TestBurst: automatic color control takes the burst for the measure of color;
// without a burst there is no color at all.
func TestBurst(t *testing.T) {
	q := request(t, "bars-full", "480i", compare.Burst)
	q.Values = []float64{0, 50, 100, 150}
	res := run(t, q)
	require.Len(t, res.Outcomes, 8)
	for i, want := range []float64{-100, -100, 0, 100, 0, 0, 0, -100. / 3} {
		assert.InDelta(t, want, res.Outcomes[i].Chroma(), 0.1, res.Outcomes[i].Name)
	}
	assert.True(t, math.IsNaN(res.Outcomes[0].Hue()))
	assert.Equal(t, "color -100.0 %", res.Verdict(&res.Outcomes[0]))
	assert.Equal(t, "color +100.0 %", res.Verdict(&res.Outcomes[3]))
}

// TestColorTemperature: what red and blue light equal drive gives, against D65
// at equal green. The shares of luminance .2124 .7011 .0866 (D65) and .1768
// .7072 .1160 (9300 K) of SMPTE C phosphors follow from SMPTE RP 177 (calc).
func TestColorTemperature(t *testing.T) {
	res := run(t, request(t, "window", "480i", compare.ColorTemperature))
	require.Len(t, res.Outcomes, 3)
	o := &res.Outcomes[2]
	x, y := o.Set.WhiteXY()
	assert.InDelta(t, 0.2831, x, 5e-5)
	assert.InDelta(t, 0.2971, y, 5e-5)
	assert.InDelta(t, 100, o.White.Nits, 0.02, "the luminance of white stays")
	red := .1768 / .7072 / (.2124 / .7011)
	blue := .1160 / .7072 / (.0866 / .7011)
	p := o.Set.Against(res.Set.White)
	assert.InDelta(t, red, p[0], 1e-3)
	assert.InDelta(t, 1, p[1], 1e-12)
	assert.InDelta(t, blue, p[2], 2e-3)
	assert.Contains(t, res.Verdict(o), "blue light +32.")
	assert.Contains(t, res.Caution(), "lethal voltages")
}

// TestTVLines: an edge of 296.3 ns from end to end has 0.5903 of that from 10 to
// 90 % (raised cosine: calc), and the narrower the band the slower it gets.
func TestTVLines(t *testing.T) {
	for _, tt := range []struct{ wire, raster string }{{"composite-m", "480i"}, {"yc-m", "240p"}, {"component-n10", "480i"}, {"pal", "576i"}} {
		t.Run(tt.wire, func(t *testing.T) {
			q := request(t, "crosshatch", tt.raster, compare.TVLines)
			q.Wire, q.Choose = composite.Lookup(tt.wire), true
			q.Values = []float64{0, 400, 300, 200, 100}
			res := run(t, q)
			assert.InDelta(t, 0.5903*296.3, res.Outcomes[0].RiseTime, 1.5)
			for i := 1; i < len(res.Outcomes); i++ {
				assert.Greater(t, res.Outcomes[i].RiseTime, res.Outcomes[i-1].RiseTime)
			}
			// 10 to 90 % of a filter half down at f takes about 0.44/f (memory); 100 TV lines on
			// 52.7 us of picture 4 high and 3 wide are 1.27 MHz (52 us: 1.28).
			assert.InEpsilon(t, 0.44/1.27e-3, res.Outcomes[4].RiseTime, 0.15)
		})
	}
}

// TestTVLinesInWords: a verdict on flat parts does not praise fine detail, and a
// trace of light at black makes no ratio of eight digits.
func TestTVLinesInWords(t *testing.T) {
	q := request(t, "crosshatch", "480i", compare.TVLines)
	q.Values = []float64{200}
	res := run(t, q)
	assert.Equal(t, "flat parts as defined", res.Verdict(&res.Outcomes[0]))
	o := res.Outcomes[0]
	for _, tt := range []struct {
		black float64
		want  string
	}{{0, "no light at black"}, {1e-5, "over 100000 : 1"}, {0.1, "1000 : 1"}} {
		o.Black.Nits, o.White.Nits = tt.black, 100
		assert.Contains(t, res.Lines(&o), compare.Line{Label: "Contrast", Value: tt.want})
	}
}

// TestComb: a notch leaves the subcarrier of a step between colors, a comb does
// not: the comparison takes a comb for bandwidth where the scan has one.
func TestSeparationChosen(t *testing.T) {
	for _, tt := range []struct {
		raster string
		want   composite.Separation
	}{{"480i", composite.Comb2}, {"240p-228", composite.Notch}} {
		q := request(t, "crosshatch", tt.raster, compare.TVLines)
		q.Choose = true
		res := run(t, q)
		assert.Equal(t, tt.want, res.Outcomes[0].Set.Input.Separation, tt.raster)
		assert.Equal(t, tt.want, res.Set.Input.Separation, tt.raster)
	}
	q := request(t, "crosshatch", "240p-228", compare.Gain)
	q.Set.Input.Separation = composite.Comb2
	_, err := compare.Run(q)
	assert.ErrorContains(t, err, "use the notch")
}

func TestNoMeaning(t *testing.T) {
	tests := []struct {
		name, wire, raster string
		axis               compare.Axis
		values             []float64
		want               string
	}{
		{"setup at 625", "pal", "576i", compare.Setup, nil,
			"the axis setup has no meaning here: black is at blanking on every 625-line wire; use component, phase, gain, burst, color-temperature, tv-lines"},
		{"setup of component", "component-n10", "480i", compare.Setup, nil,
			"component-n10 is a component wire; its levels are compared with the axis component"},
		{"setup of RGB", "rgb-714", "480i", compare.Setup, nil,
			"the axis setup has no meaning here: the RGB wires have no switch for setup; use component, color-temperature, tv-lines"},
		{"phase without subcarrier", "component-n10", "480i", compare.Phase, nil,
			"the axis phase has no meaning here: component-n10 has no subcarrier; use component, gain, color-temperature, tv-lines"},
		{"gain of RGB", "rgb-700", "576i", compare.Gain, nil,
			"the axis gain has no meaning here: the RGB wires have no color differences to amplify; use component, color-temperature, tv-lines"},
		{"wire of the other system", "pal", "480i", compare.Gain, nil,
			"pal belongs to 625 lines"},
		{"values of no axis", "composite-m", "480i", compare.Setup, []float64{1},
			"the axis setup has fixed states and takes no values; leave them out, or use one of phase, gain, burst, color-temperature, tv-lines"},
		{"out of range", "composite-m", "480i", compare.ColorTemperature, []float64{3000},
			"3000 is out of range for color-temperature; use 4000 to 25000 K"},
		{"not a number", "composite-m", "480i", compare.Gain, []float64{math.NaN()},
			"NaN is out of range for gain; use 1 to 400 per cent"},
		{"twice", "composite-m", "480i", compare.Phase, []float64{5, 5},
			"5 stands twice among the values of phase; give each once"},
		{"too many", "composite-m", "480i", compare.Phase, make([]float64, 13),
			"13 values are more than a page has room for; use at most 12"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			q := request(t, "bars-full", tt.raster, tt.axis)
			q.Wire, q.Values = composite.Lookup(tt.wire), tt.values
			_, err := compare.Run(q)
			assert.ErrorContains(t, err, tt.want)
		})
	}
}

func TestParseAxis(t *testing.T) {
	for _, name := range compare.AxisNames() {
		a, err := compare.ParseAxis(name)
		require.NoError(t, err)
		assert.Equal(t, name, a.String())
		assert.NoError(t, a.CheckValues(a.Values()))
		assert.NotEmpty(t, a.Help())
	}
	_, err := compare.ParseAxis("hue")
	assert.EqualError(t, err, `unknown axis "hue"; use setup, component, phase, gain, burst, color-temperature, tv-lines`)
	assert.Equal(t, "Axis(99)", compare.Axis(99).String())
}
