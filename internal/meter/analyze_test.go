package meter

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/testtable"
)

func number(t *testing.T, row testtable.Row, column string) float64 {
	t.Helper()
	v, err := figure(row[column], false)
	require.NoError(t, err, column)
	return v
}

func primariesOf(t *testing.T, name string) colorimetry.Primaries {
	t.Helper()
	p, err := colorimetry.ParsePrimaries(name)
	require.NoError(t, err)
	return p
}

func whiteOf(t *testing.T, name string) colorimetry.White {
	t.Helper()
	w, err := colorimetry.ParseWhite(name)
	require.NoError(t, err)
	return w
}

func smpteC(t *testing.T) Options {
	return Options{Target: colorimetry.D65, Primaries: primariesOf(t, "smpte-c")}
}

// grays are steps of one chromaticity.
func grays(c colorimetry.XY, light func(v float64) float64, levels ...float64) (s []Sample) {
	for _, v := range levels {
		s = append(s, Sample{Level: v, XYZ: c.At(light(v))})
	}
	return s
}

// TestBT1886: tables of ITU-R BT.1886 Annex 1 (calc) taken for readings give its
// gamma of 2.4 and their black back.
func TestBT1886(t *testing.T) {
	tables := make(map[string][]Sample)
	for _, row := range testtable.Table(t, "bt1886_check.csv") {
		key := row["LW"] + "/" + row["LB"]
		tables[key] = append(tables[key], Sample{Level: number(t, row, "V"), XYZ: colorimetry.D65.At(number(t, row, "L"))})
	}
	require.Len(t, tables, 5+1)
	for key, samples := range tables {
		s, err := Analyze(samples, smpteC(t))
		require.NoError(t, err, key)
		require.True(t, s.BT1886.OK, key)
		assert.InDelta(t, 2.4, s.BT1886.Gamma, 1e-6, key)
		assert.InDelta(t, 0, s.BT1886.RMS, 1e-6, key)
		assert.Equal(t, samples[1].XYZ.Y, s.Black, key)
		assert.Equal(t, 6, s.BT1886.N, key) // .1 .18 .25 .409 .5 .75
		if s.Black > 0 {
			assert.InDelta(t, samples[len(samples)-1].XYZ.Y/s.Black, s.Contrast, 1e-9, key)
			assert.Less(t, s.Gamma.Value, 2.4, "%s: a lifted black flattens the plain line", key)
			assert.Less(t, s.Gamma.Value, s.LessBlack.Value, key)
		} else {
			assert.Zero(t, s.Contrast, key)
			assert.InDelta(t, 2.4, s.Gamma.Value, 1e-9, key)
			assert.InDelta(t, 0, s.Gamma.Sigma, 1e-9, key)
			assert.Equal(t, 6, s.Gamma.N, key)
		}
	}
}

// The gamma to judge: by BT.1886 where black is known, with an error that is
// what readings scatter by; else the plain line.
func TestTone(t *testing.T) {
	tube, err := colorimetry.NewTube(80, .06, 2.4)
	require.NoError(t, err)
	levels := []float64{0, .1, .2, .3, .4, .5, .6, .7, .8, .9, 1}
	rng := rand.New(rand.NewPCG(3, 4))
	const sets, noise = 120, .01
	var sum, square, said float64
	for range sets {
		samples := grays(colorimetry.D65.XY, func(v float64) float64 {
			if v == 0 || v == 1 {
				return tube.Light(v)
			}
			return tube.Light(v) * (1 + noise*rng.NormFloat64())
		}, levels...)
		s, err := Analyze(samples, smpteC(t))
		require.NoError(t, err)
		g, by := s.Tone()
		assert.Equal(t, ByBT1886, by)
		assert.InDelta(t, 2.4, g.Value, .05)
		assert.InDelta(t, 2.0, s.Gamma.Value, .06)
		assert.Contains(t, s.Notes[0], "black is lifted, which flattens the plain line of gamma to")
		sum, square, said = sum+g.Value/sets, square+(g.Value-2.4)*(g.Value-2.4)/sets, said+g.Sigma/sets
	}
	assert.InDelta(t, 2.4, sum, .002)
	assert.InEpsilon(t, math.Sqrt(square), said, .15) // the error that is said is the one that is made

	s, err := Analyze(grays(colorimetry.D65.XY, tube.Light, levels[1:]...), smpteC(t))
	require.NoError(t, err)
	g, by := s.Tone()
	assert.Equal(t, ByLine, by, "black is not known")
	assert.Equal(t, s.Gamma, g)

	// Light of the room adds the same to every step of a tube without bias.
	for range sets {
		s, err = Analyze(grays(colorimetry.D65.XY, func(v float64) float64 {
			return (80*math.Pow(v, 2.4) + .2) * (1 + .004*rng.NormFloat64())
		}, levels...), smpteC(t))
		require.NoError(t, err)
		g, by = s.Tone()
		assert.Equal(t, ByLess, by)
		assert.InDelta(t, 2.4, g.Value, .03)
		assert.Contains(t, s.Notes[0], "that every step has alike")
	}
	// A black that gives next to no light: all three agree, and the line counts.
	s, err = Analyze(grays(colorimetry.D65.XY, func(v float64) float64 { return 80*math.Pow(v, 2.3) + 1e-6 }, levels...), smpteC(t))
	require.NoError(t, err)
	g, by = s.Tone()
	assert.InDelta(t, 2.3, g.Value, .01, by)
	// Three steps cannot tell: BT.1886.
	s, err = Analyze(grays(colorimetry.D65.XY, tube.Light, 0, .2, .5, .8, 1), smpteC(t))
	require.NoError(t, err)
	g, by = s.Tone()
	assert.Equal(t, ByBT1886, by)
	assert.InDelta(t, 2.4, g.Value, 1e-6)
}

// TestGammaByHand: three steps of which the line is computed by hand. Logs of
// the levels .1 .2 .4 are ln .4 less 2, 1, 0 times ln 2; light 1, 4, 32 is 0, 2,
// 5 times ln 2: slope (0*-1 + 2*0 + 5*1)/2 = 2.5, rest -1/6, 1/3, -1/6 of ln 2:
// sigma = sqrt((1/6)/1/2) = .2887.
func TestGammaByHand(t *testing.T) {
	g := fitGamma([]float64{.1, .2, .4}, []float64{1, 4, 32})
	assert.True(t, g.OK)
	assert.InDelta(t, 2.5, g.Value, 1e-12)
	assert.InDelta(t, math.Sqrt(1./12), g.Sigma, 1e-12)
	assert.Equal(t, 3, g.N)
	for name, g := range map[string]Gamma{
		"one step": fitGamma([]float64{.5}, []float64{1}), "no light": fitGamma([]float64{.2, .5}, []float64{0, 1}),
		"one level": fitGamma([]float64{.5, .5}, []float64{1, 2}), "none": fitGamma(nil, nil),
	} {
		assert.False(t, g.OK, name)
		assert.Zero(t, g.Value, name)
	}
	two := fitGamma([]float64{.2, .8}, []float64{1, 32})
	assert.True(t, two.OK)
	assert.InDelta(t, 2.5, two.Value, 1e-12)
	assert.Zero(t, two.Sigma)
}

// a set as it is made: L = k (d V + c)^gamma of each gun, cd/m2 of white.
type set struct {
	gain, lift [3]float64
	gamma      float64
	primaries  colorimetry.Primaries
	white      colorimetry.XY // of equal light
}

// light of one level, by columns of x/y, 1, z/y: written here anew.
func (s set) light(v float64) (c colorimetry.XYZ, guns [3]float64) {
	m := s.primaries.Matrix(s.white)
	for i := range guns {
		guns[i] = 80 * math.Pow(max(s.gain[i]*v+s.lift[i], 0), s.gamma)
		c.X += m[0][i] * guns[i]
		c.Y += m[1][i] * guns[i]
		c.Z += m[2][i] * guns[i]
	}
	return c, guns
}

// TestSetsAreGivenBack: known guns come back out of what a meter sees of them,
// for several primaries, targets and faults, in any order of steps.
func TestSetsAreGivenBack(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	levels := []float64{0, .05, .1, .2, .3, .4, .5, .6, .7, .8, .9, 1}
	for _, primaries := range []string{"smpte-c", "ebu", "p22", "ntsc-1953"} {
		for _, target := range []string{"D65", "D93", "9300K+27MPCD", "blackbody:7500-4"} {
			for range 5 {
				one := set{gamma: 2.2 + .6*rng.Float64(), primaries: primariesOf(t, primaries), white: whiteOf(t, target).XY}
				for i := range 3 {
					one.gain[i] = 1 + .1*(rng.Float64()-.5)
				}
				var samples []Sample
				for _, i := range rng.Perm(len(levels)) {
					c, _ := one.light(levels[i])
					samples = append(samples, Sample{Level: levels[i], XYZ: c})
				}
				o := Options{Target: whiteOf(t, target), Primaries: one.primaries}
				s, err := Analyze(samples, o)
				require.NoError(t, err)
				require.Len(t, s.Steps, len(levels))
				for i, x := range s.Steps {
					want, guns := one.light(levels[i])
					assert.Equal(t, levels[i], x.Level)
					near(t, want, x.XYZ, 1e-12)
					assert.InDeltaSlice(t, guns[:], x.Guns[:], 1e-9)
					assert.Equal(t, want.Y >= 1, x.Judged)
				}
				for _, g := range s.GunGamma {
					assert.InDelta(t, one.gamma, g.Value, 1e-9)
					assert.Equal(t, 9, g.N)
				}
				// All guns have one gamma and no lift, so every step has the color of white.
				assert.InDelta(t, one.gamma, s.Gamma.Value, 1e-9)
				assert.InDelta(t, 0, s.WorstTrack, 1e-6)
				assert.InDelta(t, one.gamma, s.BT1886.Gamma, 1e-6)

				// Measured fields do the same as named primaries, whatever their light.
				m := one.primaries.Matrix(one.white)
				fields := [3]colorimetry.XYZ{m.XYZ(17, 0, 0), m.XYZ(0, 40, 0), m.XYZ(0, 0, 90)}
				o = Options{Target: o.Target, Measured: &fields}
				again, err := Analyze(samples, o)
				require.NoError(t, err)
				assert.InDeltaSlice(t, s.Steps[5].Guns[:], again.Steps[5].Guns[:], 1e-9)
			}
		}
	}
}

// TestLightOfTheRoom: taken off, it leaves the guns as they are.
func TestLightOfTheRoom(t *testing.T) {
	one := set{gain: [3]float64{1, .96, 1.04}, gamma: 2.4, primaries: primariesOf(t, "ebu"), white: colorimetry.D65.XY}
	room := colorimetry.XY{X: .45, Y: .41}.At(.2)
	var samples []Sample
	for _, v := range []float64{.1, .3, .5, .7, .9, 1} {
		c, _ := one.light(v)
		samples = append(samples, Sample{Level: v, XYZ: colorimetry.XYZ{X: c.X + room.X, Y: c.Y + room.Y, Z: c.Z + room.Z}})
	}
	o := Options{Target: colorimetry.D65, Primaries: one.primaries, Unlit: room}
	s, err := Analyze(samples, o)
	require.NoError(t, err)
	for _, g := range s.GunGamma {
		assert.InDelta(t, 2.4, g.Value, 1e-9)
	}
	assert.Less(t, s.Gamma.Value, 2.35) // as an eye sees it
	assert.Greater(t, s.WorstTrack, .5)
	o.Unlit = colorimetry.XY{X: .45, Y: .41}.At(1)
	s, err = Analyze(samples, o)
	require.NoError(t, err)
	assert.Contains(t, s.Notes, "the step at 10 % gives less light than the unlit screen: the two were read in different light")
}

// TestOffTarget: du*v* of white as computed by other means from EBU Tech 3320 v3
// Annex B, at the measured white's luminance (calc).
func TestOffTarget(t *testing.T) {
	for _, tt := range []struct {
		name string
		c    colorimetry.XY
		want float64
	}{
		{"dx of .001", colorimetry.XY{X: .3137, Y: .3290}, .92}, {"dy of .001", colorimetry.XY{X: .3127, Y: .3300}, .85},
		{"white C", colorimetry.XY{X: .31006, Y: .31616}, 10.44}, {"D93", colorimetry.XY{X: .2831, Y: .2971}, 31.65},
		{"the trade's 9300 K", colorimetry.XY{X: .281, Y: .311}, 27.90},
	} {
		s, err := Analyze(grays(tt.c, func(v float64) float64 { return 80 * v * v }, .2, .5, 1), smpteC(t))
		require.NoError(t, err)
		assert.InDelta(t, tt.want, s.White.Off, .006, tt.name)
		assert.InDelta(t, tt.want, 1300*s.White.DUV, .006, tt.name)
		// All steps have the color of white: they track, and are off by their lightness.
		assert.InDelta(t, 0, s.WorstTrack, 1e-9, tt.name)
		lightness := 116*math.Cbrt(.25) - 16
		assert.InDelta(t, s.White.Off*lightness/100, s.Steps[1].Off, 1e-9, tt.name)
		assert.Equal(t, s.White.DUV, s.Steps[2].DUV, tt.name)
		assert.Positive(t, s.White.DE00, tt.name)
	}
}

// TestTracking: gray steps that drift by a known distance in u', v' from the
// set's own white, 13 times their lightness each (EBU Tech 3320 v3 annex B).
// Steps below 1 cd/m2 are not judged.
func TestTracking(t *testing.T) {
	own := colorimetry.XY{X: .300, Y: .320}
	at := own.UV1976()
	drift := func(d float64) colorimetry.XY { return colorimetry.UV{U: at.U + d, V: at.V}.XY1976() }
	samples := []Sample{
		{Level: 1, XYZ: own.At(80)}, {Level: .5, XYZ: drift(.001).At(20)}, {Level: .2, XYZ: drift(.002).At(5)}, {Level: .05, XYZ: drift(.05).At(.99)},
	}
	s, err := Analyze(samples, smpteC(t))
	require.NoError(t, err)
	lightness := func(y float64) float64 { return 116*math.Cbrt(y/80) - 16 }
	assert.InDelta(t, 13*.001*lightness(20), s.Steps[2].Track, 1e-9)
	assert.InDelta(t, 13*.002*lightness(5), s.Steps[1].Track, 1e-9)
	assert.Equal(t, s.Steps[1].Track, s.WorstTrack)
	assert.False(t, s.Steps[0].Judged)
	assert.Equal(t, 3, s.Judged)
	assert.Zero(t, s.White.Track)
	assert.True(t, s.White.HasCCT)
}

// TestSensitivities near the target: the light of one gun 1 % up moves x and y
// of white as published in a sheet of steps for SMPTE C and D65 (calc), and the
// guns tell it back.
func TestSensitivities(t *testing.T) {
	p := primariesOf(t, "smpte-c")
	for i, want := range []struct{ dx, dy, duv float64 }{{.00065, .00002, .00046}, {-.00001, .00103, .00067}, {-.00064, -.00105, .00066}} {
		guns := [3]float64{80, 80, 80}
		guns[i] *= 1.01
		c := p.Matrix(colorimetry.D65.XY).XYZ(guns[0], guns[1], guns[2])
		s, err := Analyze([]Sample{{Level: .5, XYZ: colorimetry.D65.At(20)}, {Level: 1, XYZ: c}}, smpteC(t))
		require.NoError(t, err)
		assert.InDelta(t, want.dx, s.White.XY.X-.3127, 6e-6)
		assert.InDelta(t, want.dy, s.White.XY.Y-.3290, 6e-6)
		assert.InDelta(t, want.duv, s.White.DUV, 6e-6)
		assert.InDeltaSlice(t, guns[:], s.White.Guns[:], 1e-9)
	}
}

// Readings of the same level are averaged, and their spread is told.
func TestRepeats(t *testing.T) {
	samples := grays(colorimetry.D65.XY, func(float64) float64 { return 0 }, .2, .2, .2, 1)
	for i, y := range []float64{4.9, 5.0, 5.1, 80} {
		samples[i].XYZ = colorimetry.D65.At(y)
	}
	s, err := Analyze(samples, smpteC(t))
	require.NoError(t, err)
	require.Len(t, s.Steps, 2)
	assert.Equal(t, 3, s.Steps[0].N)
	assert.InDelta(t, 5.0, s.Steps[0].XYZ.Y, 1e-12)
	assert.InDelta(t, 0.1, s.Steps[0].Sigma.Y, 1e-12)
	assert.Zero(t, s.Steps[1].Sigma)
	assert.Equal(t, 2, s.Repeated)
	assert.Equal(t, []string{
		"2 readings of levels that had been read before are averaged",
		"there is no step at 0 %, so black, contrast and the fit of BT.1886 are not known",
	}, s.Notes)
}

// What belongs to other measurements is left out, white and black are steps.
func TestOnlyGrays(t *testing.T) {
	samples := grays(colorimetry.D65.XY, func(v float64) float64 { return .1 + 80*v*v }, .5)
	for _, name := range []string{"red", "top-left", "yellow"} {
		samples = append(samples, Sample{Level: 1, Name: name, XYZ: colorimetry.XYZ{X: 9, Y: 9, Z: 1}})
	}
	samples = append(samples, Sample{Level: 1, Name: "white", XYZ: colorimetry.D65.At(80)}, Sample{Name: "black", XYZ: colorimetry.D65.At(.1)})
	s, err := Analyze(samples, smpteC(t))
	require.NoError(t, err)
	require.Len(t, s.Steps, 3)
	assert.InDelta(t, 800, s.Contrast, 1e-9)
	assert.Equal(t, 80., s.White.XYZ.Y)
}

// No step, of any light, makes a figure that is none.
func TestDarkSteps(t *testing.T) {
	for _, light := range []float64{0, 1e-9, .5} {
		samples := []Sample{{Level: 0}, {Level: .02, XYZ: colorimetry.D65.At(light)}, {Level: .5}, {Level: 1, XYZ: colorimetry.D65.At(.9)}}
		s, err := Analyze(samples, smpteC(t))
		require.NoError(t, err)
		for _, x := range append(s.Steps, s.White) {
			for _, v := range []float64{x.Off, x.DE00, x.DUV, x.Track, x.XY.X, x.UV.U, x.CCT.Kelvin, x.Guns[0]} {
				assert.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%+v", x)
			}
		}
		assert.False(t, s.Gamma.OK)
		assert.False(t, s.BT1886.OK)
		assert.Zero(t, s.Judged)
		assert.Contains(t, s.Notes, "no step gives 1 cd/m2, from which tracking is judged (EBU Tech 3320 v3 clause 5.5)")
	}
}

func TestAnalyzeErrors(t *testing.T) {
	two := grays(colorimetry.D65.XY, func(v float64) float64 { return 80 * v }, .5, 1)
	same := [3]colorimetry.XYZ{{X: 1, Y: 1, Z: 1}, {X: 1, Y: 1, Z: 1}, {X: 1, Y: 1, Z: 1}}
	dark := [3]colorimetry.XYZ{{X: 1, Y: 1, Z: 1}}
	m := primariesOf(t, "ebu").Matrix(colorimetry.D65.XY)
	swapped := [3]colorimetry.XYZ{m.XYZ(0, 1, 0), m.XYZ(1, 0, 0), m.XYZ(0, 0, 1)}
	none := smpteC(t)
	none.Target = colorimetry.White{}
	outside := smpteC(t)
	outside.Target = whiteOf(t, "0.7,0.29")
	for _, tt := range []struct {
		name    string
		samples []Sample
		o       Options
		want    string
	}{
		{"one step", two[:1], smpteC(t), "the step at 50 per cent alone says nothing of gamma and tracking; read two or more levels, such as 20 and 80 per cent"},
		{"one level", append(two[:1:1], two[0]), smpteC(t), "the step at 50 per cent alone"},
		{"none", nil, smpteC(t), "there are no gray steps; read two or more levels"},
		{"dark white", []Sample{{Level: .5, XYZ: two[0].XYZ}, {Level: 1}}, smpteC(t), "the step at 100 per cent gives no light, so there is no white to hold the others against; read the white step"},
		{"no target", two, none, "no target white; name one, such as D65"},
		{"target outside", two, outside, "lies outside the triangle of the primaries"},
		{"no primaries", two, Options{Target: colorimetry.D65}, "span no triangle"},
		{"fields of one color", two, Options{Target: colorimetry.D65, Measured: &same}, "have nearly the same color"},
		{"a dark field", two, Options{Target: colorimetry.D65, Measured: &dark}, "the measured field green gives no light; read it again, or name the primaries"},
		{"exchanged fields", two, Options{Target: colorimetry.D65, Measured: &swapped}, "are not red, green and blue in this order"},
	} {
		s, err := Analyze(tt.samples, tt.o)
		assert.ErrorContains(t, err, tt.want, tt.name)
		assert.Nil(t, s, tt.name)
	}
}
