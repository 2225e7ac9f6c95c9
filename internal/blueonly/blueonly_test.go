package blueonly_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"backporch/internal/blueonly"
	"backporch/internal/testtable"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// decode is blue and red of the 75 % bars behind a decoder with errors, from U
// and V as they are sent, independent of the package: U = .492111 (B-Y), V =
// .877283 (R-Y) (SMPTE 170M-2004 A.3), turned and scaled.
func decode(r, g, b, gain, degrees float64) (red, blue float64) {
	y := 0.299*r + 0.587*g + 0.114*b
	u, v := 0.492111*(b-y), 0.877283*(r-y)
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return y + gain*(u*sin+v*cos)/0.877283, y + gain*(u*cos-v*sin)/0.492111
}

func light(signal, gamma float64) float64 { return math.Pow(math.Max(signal, 0), gamma) }

func reading(gain, degrees, gamma float64) blueonly.Reading {
	bar := func(r, g, b float64) float64 {
		_, blue := decode(0.75*r, 0.75*g, 0.75*b, gain, degrees)
		return 37 * light(blue, gamma)
	}
	return blueonly.Reading{Gray: bar(1, 1, 1), Cyan: bar(0, 1, 1), Magenta: bar(1, 0, 1), Blue: bar(0, 0, 1)}
}

// TestTableOfBars gives the signals of bars_blue_only.csv (tag: calc), which are
// rounded to 0.01 %, as light: 0.005 % of a bar of 75 % is at most 0.006 % of
// gain over .886 and 0.003 degrees over 4.007 % a degree, doubled for both bars.
func TestTableOfBars(t *testing.T) {
	rows := testtable.Table(t, "bars_blue_only.csv")
	require.Len(t, rows, 49)
	for _, row := range rows {
		name := row.Text(t, "gain") + " at " + row.Text(t, "phi_deg")
		of := func(column string) float64 { return light(row.Float(t, column)/100, 2.4) }
		r, err := blueonly.Solve(blueonly.Reading{Gray: of("grey"), Cyan: of("cyan"), Magenta: of("magenta"), Blue: of("blue")}, 2.4)
		require.NoError(t, err, name)
		assert.InDelta(t, row.Float(t, "gain"), r.Gain, 0.0002, name)
		assert.InDelta(t, row.Float(t, "phi_deg"), r.Phase, 0.006, name)
		assert.Less(t, r.Off, 0.02, name)
		assert.True(t, r.GainKnown && r.PhaseKnown)
	}
}

// TestTableOfLight takes the light itself out of blue_only_75bars.csv (tag:
// calc; six places). No blue of the four bars is below black there; red of the
// red gun is read where the phase is right, as on a component input.
func TestTableOfLight(t *testing.T) {
	type key struct{ gain, phase string }
	blue, red := map[key]map[string]float64{}, map[key]map[string]float64{}
	for _, row := range testtable.Table(t, "blue_only_75bars.csv") {
		k := key{row.Text(t, "chroma_gain"), row.Text(t, "phase_deg")}
		if blue[k] == nil {
			blue[k], red[k] = map[string]float64{}, map[string]float64{}
		}
		blue[k][row.Text(t, "bar")] = row.Float(t, "B_light_2.4")
		red[k][row.Text(t, "bar")] = row.Float(t, "R_light_2.4")
	}
	require.Len(t, blue, 10)
	for k, b := range blue {
		var gain, phase float64
		_, err := fmt.Sscan(k.gain+" "+k.phase, &gain, &phase)
		require.NoError(t, err)
		r, err := blueonly.Solve(blueonly.Reading{Gray: b["gray"], Cyan: b["cyan"], Magenta: b["magenta"], Blue: b["blue"]}, 2.4)
		require.NoError(t, err)
		assert.InDelta(t, gain, r.Gain, 1e-5, k)
		assert.InDelta(t, phase, r.Phase, 1e-3, k)
		if phase != 0 {
			continue
		}
		c, err := blueonly.Chain{Gamma: 2.4, Component: true}.Solve(blueonly.Reading{Gray: b["gray"], Cyan: b["cyan"], Magenta: b["magenta"], Blue: b["blue"]})
		require.NoError(t, err)
		assert.InDelta(t, gain, c.Gain, 1e-5, k)
		assert.False(t, c.PhaseKnown)
		p, err := blueonly.Chain{Gamma: 2.4, Component: true}.SolveRed(blueonly.RedReading{Gray: red[k]["gray"], Yellow: red[k]["yellow"], Magenta: red[k]["magenta"], Red: red[k]["red"]})
		require.NoError(t, err)
		assert.InDelta(t, gain, p.Gain, 1e-5, k)
	}
}

func TestRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for range 3000 {
		gain, phase, gamma := 0.7+0.6*rng.Float64(), 50*rng.Float64()-25, 2+rng.Float64()
		in := reading(gain, phase, gamma)
		stray := 0.2 * rng.Float64()
		in = blueonly.Reading{Gray: in.Gray + stray, Cyan: in.Cyan + stray, Magenta: in.Magenta + stray, Blue: in.Blue + stray, Black: stray}
		r, err := blueonly.Solve(in, gamma)
		require.NoError(t, err)
		require.InDelta(t, gain, r.Gain, 1e-6)
		require.InDelta(t, phase, r.Phase, 1e-4)
		require.Less(t, r.Off, 1e-3)
	}
}

// TestSensitivities holds the tables of cross-talk (calc, from SMPTE 170M-2004
// A.3): what one per cent of gain and one degree do to the outer pair (.886 %,
// .355 %) and to the inner one (.288 %, 4.007 %), in per cent of the gray bar's
// signal; from them the bounds of "equal", 0.9 % and 0.2 degrees.
func TestSensitivities(t *testing.T) {
	from := func(outer, inner float64) *blueonly.Result { // per cent of the gray bar
		r, err := blueonly.Solve(blueonly.Reading{Gray: 1, Blue: light(1+outer/100, 2.4),
			Cyan: light(1+(0.299+(inner-(0.299-0.587))*2.181/4.007)/100, 2.4), Magenta: light(1+(0.587-(inner-(0.299-0.587))*1.826/4.007)/100, 2.4)}, 2.4)
		require.NoError(t, err)
		return r
	}
	one := from(0.886, 0.299-0.587) // gain of 1 % alone
	assert.InDelta(t, 1.01, one.Gain, 2e-5)
	assert.InDelta(t, 0, one.Phase, 2e-3)
	both := from(0.886+0.355, 0.299-0.587+4.007) // and one degree
	assert.InDelta(t, 1.01, both.Gain, 4e-4)
	assert.InDelta(t, 1, both.Phase, 0.02)

	eye, err := blueonly.Chain{Gamma: 2.4}.Judge(blueonly.Eye{BlueThanGray: blueonly.Equal, CyanThanMagenta: blueonly.Equal})
	require.NoError(t, err)
	assert.InDelta(t, 0.009, eye.GainSigma, 0.0006)
	assert.InDelta(t, 0.2, eye.PhaseSigma, 0.015)
	assert.InDelta(t, 0.02/2.4/0.886, eye.GainSigma, 1e-5)
	assert.InDelta(t, 2/2.4/4.007, eye.PhaseSigma, 1e-4)
}

// TestNoiseIsWhatItSays repeats noisy readings and compares their spread with
// the standard error that each result states.
func TestNoiseIsWhatItSays(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	in := reading(1.05, 4, 2.4)
	var gain, phase, n float64
	var sg, sp float64
	for range 4000 {
		f := func(v float64) float64 { return v * (1 + 0.005*rng.NormFloat64()) }
		r, err := blueonly.Solve(blueonly.Reading{Gray: f(in.Gray), Cyan: f(in.Cyan), Magenta: f(in.Magenta), Blue: f(in.Blue)}, 2.4)
		require.NoError(t, err)
		gain, phase, n = gain+(r.Gain-1.05)*(r.Gain-1.05), phase+(r.Phase-4)*(r.Phase-4), n+1
		sg, sp = r.GainSigma, r.PhaseSigma
	}
	assert.InEpsilon(t, math.Sqrt(gain/n), sg, 0.06)
	assert.InEpsilon(t, math.Sqrt(phase/n), sp, 0.06)
}

func TestABarBelowBlackIsLeftOut(t *testing.T) {
	in := reading(1.2, -70, 2.4) // cyan below black
	require.Zero(t, in.Cyan)
	r, err := blueonly.Solve(in, 2.4)
	require.NoError(t, err)
	assert.InDelta(t, 1.2, r.Gain, 1e-9)
	assert.InDelta(t, -70, r.Phase, 1e-6)
	assert.Contains(t, r.Words[0], "The cyan bar gives no light")
}

func TestWords(t *testing.T) {
	for _, tt := range []struct {
		name      string
		c         blueonly.Chain
		r         blueonly.Reading
		want, not []string
	}{
		{"right", blueonly.Chain{Gamma: 2.4}, reading(1, 0, 2.4), []string{"Chroma gain is right", "Phase is right"}, []string{"setup", "625"}},
		{"high", blueonly.Chain{Gamma: 2.4}, reading(1.05, 5, 2.4), []string{"5.0 % too high: turn color (chroma gain) down", "+5.0 degrees", "darkens cyan", "Gain first"}, []string{"setup switch"}},
		{"low", blueonly.Chain{Gamma: 2.4}, reading(0.88, -5, 2.4), []string{"12.0 % too low: turn color (chroma gain) up", "-5.0 degrees", "darkens magenta"}, []string{"setup switch"}},
		{"setup more", blueonly.Chain{Gamma: 2.4}, reading(1.0811, 0, 2.4), []string{"set to 7.5 while the source adds none"}, nil},
		{"setup less", blueonly.Chain{Gamma: 2.4}, reading(0.925, 0, 2.4), []string{"set to 0 while the source adds 7.5"}, nil},
		{"setup just not", blueonly.Chain{Gamma: 2.4}, reading(0.925*1.016, 0, 2.4), nil, []string{"setup switch"}},
		// 700 against 525 mV at 75 % bars: a broadcast equipment manual's table.
		{"family more", blueonly.Chain{Gamma: 2.4, Component: true}, reading(1.333, 0, 2.4), []string{"level family leaves that is set for N10 while the source sends Betacam"}, []string{"setup switch"}},
		{"family less", blueonly.Chain{Gamma: 2.4, Component: true, Lines: 625}, reading(0.75, 0, 2.4), []string{"set for Betacam levels while the source sends N10"}, []string{"setup switch"}},
		{"no family on composite", blueonly.Chain{Gamma: 2.4}, reading(0.75, 0, 2.4), nil, []string{"level family"}},
		{"625", blueonly.Chain{Gamma: 2.4, Lines: 625}, reading(0.925, 0, 2.4), []string{"delay line", "A phase error of 22 degrees"}, []string{"setup"}},
		{"component", blueonly.Chain{Gamma: 2.4, Component: true}, reading(0.95, 0, 2.4), []string{"Gain of Pb is 5.0 % too low", "blue alone does not show Pr"}, []string{"Phase", "delay line"}},
		{"gamma", blueonly.Chain{Gamma: 1.6}, reading(1.2, 10, 2.8), []string{"differ by", "gamma is not 1.6"}, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, err := tt.c.Solve(tt.r)
			require.NoError(t, err)
			all := fmt.Sprint(r.Words)
			for _, w := range tt.want {
				assert.Contains(t, all, w)
			}
			for _, w := range tt.not {
				assert.NotContains(t, all, w)
			}
		})
	}
}

func TestRed(t *testing.T) {
	c := blueonly.Chain{Gamma: 2.4, Component: true}
	for _, tt := range []struct {
		gain float64
		want string
	}{{1, "Gain of Pr is right"}, {1.1, "10.0 % too high"}, {0.9, "10.0 % too low"}, {1.0811, "set to 7.5"}} {
		// R' = Y + g (R-Y) by hand for bars of 100 %: yellow Y .886, magenta .413, red .299.
		of := func(y float64) float64 { return light(y+tt.gain*(1-y), 2.4) }
		r, err := c.SolveRed(blueonly.RedReading{Gray: 1, Yellow: of(0.886), Magenta: of(0.413), Red: of(0.299)})
		require.NoError(t, err)
		assert.InDelta(t, tt.gain, r.Gain, 1e-9)
		assert.Contains(t, fmt.Sprint(r.Words), tt.want)
	}
	_, err := blueonly.Chain{Gamma: 2.4}.SolveRed(blueonly.RedReading{Gray: 1})
	require.ErrorContains(t, err, "on composite and Y/C read the blue gun")
	_, err = c.SolveRed(blueonly.RedReading{Gray: 1})
	require.ErrorContains(t, err, "no bar but the gray one gives light")
}

func TestRefusals(t *testing.T) {
	ok := reading(1, 0, 2.4)
	for _, tt := range []struct {
		name string
		c    blueonly.Chain
		r    blueonly.Reading
		want string
	}{
		{"gamma", blueonly.Chain{}, ok, "a gamma of 0 is none of a picture tube"},
		{"lines", blueonly.Chain{Gamma: 2.4, Lines: 405}, ok, "405 lines"},
		{"noise", blueonly.Chain{Gamma: 2.4, Noise: 2}, ok, "noise of 2"},
		{"negative", blueonly.Chain{Gamma: 2.4}, blueonly.Reading{Gray: 1, Cyan: -1}, "the light of the cyan bar is -1"},
		{"no number", blueonly.Chain{Gamma: 2.4}, blueonly.Reading{Gray: math.NaN()}, "the light of the gray bar is NaN"},
		{"black", blueonly.Chain{Gamma: 2.4}, blueonly.Reading{Gray: 1, Black: -1}, "the light of black is -1"},
		{"no gray", blueonly.Chain{Gamma: 2.4}, blueonly.Reading{Cyan: 1, Blue: 1}, "the gray bar (0) gives no more light than black (0)"},
		{"one bar", blueonly.Chain{Gamma: 2.4}, blueonly.Reading{Gray: 1, Cyan: 1}, "too few bars give light"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := tt.c.Solve(tt.r)
			require.ErrorContains(t, err, tt.want)
		})
	}
}

func TestByEye(t *testing.T) {
	c := blueonly.Chain{Gamma: 2.4}
	// The words must turn the error the way the physics does: a set with that
	// error, looked at, is told to go back.
	for _, tt := range []struct {
		gain, phase float64
		want        []string
	}{
		{1.1, 0, []string{"Turn color (chroma gain) down"}},
		{0.9, 0, []string{"Turn color (chroma gain) up"}},
		{1, 5, []string{"the way that darkens cyan"}},
		{1, -5, []string{"the way that darkens magenta"}},
	} {
		in := reading(tt.gain, tt.phase, 2.4)
		look := func(a, b float64) blueonly.Look {
			switch {
			case a > b*1.02:
				return blueonly.Brighter
			case a < b/1.02:
				return blueonly.Darker
			}
			return blueonly.Equal
		}
		var e blueonly.Eye
		require.NoError(t, e.See("blue", "gray", look(in.Blue, in.Gray)))
		require.NoError(t, e.See("magenta", "cyan", look(in.Magenta, in.Cyan)))
		r, err := c.Judge(e)
		require.NoError(t, err)
		for _, w := range tt.want {
			assert.Contains(t, fmt.Sprint(r.Words), w)
		}
		assert.Contains(t, fmt.Sprint(r.Words), "Gain first")
	}
	e := blueonly.Eye{BlueThanGray: blueonly.Darker, CyanThanMagenta: blueonly.Equal}
	r, err := c.Judge(e)
	require.NoError(t, err)
	assert.False(t, r.GainKnown || r.PhaseKnown)
	assert.Contains(t, fmt.Sprint(r.Words), "judge again after it")
	p, err := blueonly.Chain{Gamma: 2.4, Component: true}.Judge(blueonly.Eye{BlueThanGray: blueonly.Brighter})
	require.NoError(t, err)
	assert.Contains(t, fmt.Sprint(p.Words), "the gain of Pb down")
	assert.Contains(t, fmt.Sprint(p.Words), "look at the red gun alone")
	l, err := blueonly.Chain{Gamma: 2.4, Lines: 625}.Judge(blueonly.Eye{CyanThanMagenta: blueonly.Equal})
	require.NoError(t, err)
	assert.Contains(t, fmt.Sprint(l.Words), "delay line")
	assert.Contains(t, fmt.Sprint(l.Words), "gain is not known")
	_, err = c.Judge(blueonly.Eye{})
	require.ErrorContains(t, err, "no pair was judged")
	require.ErrorContains(t, e.See("green", "red", blueonly.Equal), "green beside red says nothing")
	require.NoError(t, e.See("gray", "blue", blueonly.Darker))
	assert.Equal(t, blueonly.Brighter, e.BlueThanGray)
	require.NoError(t, e.See("cyan", "magenta", blueonly.Equal))
	got, err := blueonly.ParseLook(" Brighter")
	require.NoError(t, err)
	assert.Equal(t, blueonly.Brighter, got)
	_, err = blueonly.ParseLook("lighter")
	require.EqualError(t, err, `"lighter" is no look of a bar; use darker, equal, brighter`)
}

func ExampleSolve() {
	// Bench A: blue reads 9.6 cd/m2 beside gray of 8.9, cyan 9.7, magenta 9.0.
	r, err := blueonly.Solve(blueonly.Reading{Gray: 8.9, Cyan: 9.7, Magenta: 9.0, Blue: 9.6}, 2.4)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("gain %.3f, phase %+.1f degrees\n", r.Gain, r.Phase)
	fmt.Println(r.Words[0])
	// Output:
	// gain 1.036, phase +1.0 degrees
	// Chroma gain is 3.6 % too high: turn color (chroma gain) down until blue is no brighter than gray.
}
