package white

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
)

func smpteC(t testing.TB) colorimetry.Primaries {
	p, err := colorimetry.ParsePrimaries("smpte-c")
	require.NoError(t, err)
	return p
}

// grays are two steps of three guns of gamma 2.4 that are off by their drives
// and cutoffs.
func grays(t testing.TB, d, c [3]float64, levels ...float64) (steps []Reading) {
	m := smpteC(t).Matrix(colorimetry.D65.XY)
	for _, v := range levels {
		steps = append(steps, Reading{Level: v, XYZ: sum(m, [3]gun{{100, d[0], c[0], 2.4}, {100, d[1], c[1], 2.4}, {100, d[2], c[2], 2.4}}, v)})
	}
	return steps
}

var even = [3]float64{1, 1, 1}

// TestSolveErrors: each says what is wrong and what to do.
func TestSolveErrors(t *testing.T) {
	good := func() (Options, []Reading) {
		return Options{Target: colorimetry.D65, Primaries: smpteC(t), Keep: Green}, grays(t, even, [3]float64{}, .2, .8)
	}
	tests := []struct {
		name  string
		spoil func(o *Options, s *[]Reading)
		want  string
	}{
		{"one step", func(_ *Options, s *[]Reading) { *s = (*s)[:1] }, "gray steps given: 1; two at least are needed"},
		{"levels equal", func(_ *Options, s *[]Reading) { (*s)[1].Level = .2 }, "too close to tell drive from cutoff; take one at 10 to 20 %"},
		{"level no number", func(_ *Options, s *[]Reading) { (*s)[1].Level = math.NaN() }, "gray step of level NaN"},
		{"level in per cent", func(_ *Options, s *[]Reading) { (*s)[1].Level = 80 }, "0 is black and 1 is white"},
		{"no number", func(_ *Options, s *[]Reading) { (*s)[0].XYZ.X = math.Inf(1) }, "gray step at 20 %: X +Inf"},
		{"darker than the unlit screen", func(o *Options, s *[]Reading) { o.Black = colorimetry.XYZ{X: 3, Y: 3, Z: 3} }, "gray step at 20 %: X 1.997 Y 2.101 Z 2.288 is no more than the unlit screen, X 3 Y 3 Z 3; take a lighter step"},
		{"black below none", func(o *Options, s *[]Reading) { o.Black.Y = -1 }, "light of the unlit screen"},
		{"a gun cut off", func(_ *Options, s *[]Reading) { *s = grays(t, even, [3]float64{0, 0, -.3}, .2, .8) }, "gray step at 20 %: blue gives no light there; raise its cutoff first"},
		{"wrong primaries", func(o *Options, s *[]Reading) { (*s)[0].XYZ = colorimetry.XY{X: .2, Y: .75}.At(2) }, "red would need light below none"},
		{"dark step lighter", func(_ *Options, s *[]Reading) { (*s)[0].XYZ, (*s)[1].XYZ = (*s)[1].XYZ, (*s)[0].XYZ }, "red gives less light at 80 % than at 20 %"},
		{"white outside", func(o *Options, s *[]Reading) { o.Target, _ = colorimetry.ParseWhite("0.16,0.02") }, "the primaries smpte-c cannot make the target white 0.16,0.02"},
		{"primaries on a line", func(o *Options, s *[]Reading) { o.Primaries.G = o.Primaries.R }, "the primaries smpte-c span no triangle"},
		{"fields equal", func(o *Options, s *[]Reading) {
			f := colorimetry.XYZ{X: 1, Y: 1, Z: 1}
			o.Measured = &[3]colorimetry.XYZ{f, f, f}
		}, "the measured fields span no triangle"},
		{"field dark", func(o *Options, s *[]Reading) { o.Measured = &[3]colorimetry.XYZ{{X: 1, Y: 1, Z: 1}} }, "green field X 0 Y 0 Z 0: no more light than the unlit screen"},
		{"gamma", func(o *Options, s *[]Reading) { o.Gamma = 24 }, "gamma 24: a picture tube has 2 to 3"},
		{"gun to keep", func(o *Options, s *[]Reading) { o.Keep = 3 }, "gun 3 to keep"},
		{"no target", func(o *Options, s *[]Reading) { o.Target = colorimetry.White{} }, `target white ""`},
		{"noise in per cent", func(o *Options, s *[]Reading) { (*s)[0].Noise = 3 }, "noise of 3; give it as a fraction"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			o, s := good()
			_, err := Solve(o, s)
			require.NoError(t, err)
			tt.spoil(&o, &s)
			got, err := Solve(o, s)
			require.ErrorContains(t, err, tt.want)
			assert.Nil(t, got)
		})
	}
}

// TestSolveNotes: what is doubtful is said, and nothing where nothing is.
func TestSolveNotes(t *testing.T) {
	tests := []struct {
		name  string
		o     Options
		steps []Reading
		want  string // "" for no note
	}{
		{"plain, gamma given", Options{Gamma: 2.4}, grays(t, [3]float64{1.05, 1, .95}, [3]float64{.01, 0, 0}, .2, .8), ""},
		{"plain, gamma fitted", Options{}, grays(t, [3]float64{1.05, 1, .95}, [3]float64{.01, 0, 0}, .1, .4, .8), ""},
		{"gamma assumed", Options{}, grays(t, even, [3]float64{}, .2, .8), "gamma 2.4 is assumed"},
		{"close", Options{Gamma: 2.4}, grays(t, even, [3]float64{}, .2, .4), "only 20 % of the signal apart"},
		{"no dark step", Options{Gamma: 2.4}, grays(t, even, [3]float64{}, .5, 1), "no step below 50 %"},
		{"drive far", Options{Gamma: 2.4}, grays(t, [3]float64{.7, 1, 1}, [3]float64{}, .2, .8), "red drive by +43 % is more than"},
		{"cutoff far", Options{Gamma: 2.4}, grays(t, even, [3]float64{.15, 0, 0}, .2, .8), "red cutoff by -15.0 % of the signal is more than"},
		{"kept gun strong", Options{Gamma: 2.4}, grays(t, [3]float64{.8, 1, .85}, [3]float64{}, .2, .8), "green is the strongest gun by much. Keeping red instead"},
		{"kept gun weak", Options{Gamma: 2.4}, grays(t, [3]float64{1.3, 1, 1.25}, [3]float64{}, .2, .8), "green is the weakest gun by much, and white gets darker. Keeping red"},
		{"cut off far", Options{Gamma: 2.4}, grays(t, even, [3]float64{0, 0, -.15}, .2, .8), "blue starts to give light only at 15 %"},
		{"darker", Options{Gamma: 2.4, Keep: Red}, grays(t, [3]float64{.9, 1, 1}, [3]float64{}, .2, .8), "set contrast again"},
		{"clipped white", Options{Gamma: 2.4}, append(grays(t, even, [3]float64{}, .2, .8), Reading{Level: 1, XYZ: grays(t, even, [3]float64{}, .8)[0].XYZ}), "look for a beam limiter"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			o := tt.o
			o.Target, o.Primaries = colorimetry.D65, smpteC(t)
			if o.Keep == Red && tt.name != "darker" {
				o.Keep = Green
			}
			s, err := Solve(o, tt.steps)
			require.NoError(t, err)
			if tt.want == "" {
				assert.Empty(t, s.Notes)
				return
			}
			assert.Contains(t, strings.Join(s.Notes, "\n"), tt.want)
		})
	}
}

func knobs() []Control {
	return []Control{
		{Name: "R drive", Gun: Red, Role: Drive, Most: 100}, {Name: "G drive", Gun: Green, Role: Drive, Most: 100}, {Name: "B drive", Gun: Blue, Role: Drive, Most: 100},
		{Name: "R cutoff", Gun: Red, Role: Cutoff, Most: 100}, {Name: "G cutoff", Gun: Green, Role: Cutoff, Most: 100}, {Name: "B cutoff", Gun: Blue, Role: Cutoff, Most: 100},
	}
}

// TestAdviseErrors: each names the control or the round, and the way out.
func TestAdviseErrors(t *testing.T) {
	tests := []struct {
		name  string
		spoil func(o *Options, c *[]Control, r *[]Round)
		want  string
	}{
		{"no controls", func(_ *Options, c *[]Control, _ *[]Round) { *c = nil }, "no controls: name at least one"},
		{"no name", func(_ *Options, c *[]Control, _ *[]Round) { (*c)[1].Name = "" }, "control 2 has no name"},
		{"same name", func(_ *Options, c *[]Control, _ *[]Round) { (*c)[1].Name = "R drive" }, "two controls are called R drive"},
		{"gun", func(_ *Options, c *[]Control, _ *[]Round) { (*c)[0].Gun = 4 }, "control R drive: gun 4"},
		{"role", func(_ *Options, c *[]Control, _ *[]Round) { (*c)[0].Role = 2 }, "control R drive: role 2"},
		{"ends swapped", func(_ *Options, c *[]Control, _ *[]Round) { (*c)[0].Least = 200 }, "the lower end comes first"},
		{"ends no number", func(_ *Options, c *[]Control, _ *[]Round) { (*c)[0].Most = math.NaN() }, "give numbers"},
		{"step", func(_ *Options, c *[]Control, _ *[]Round) { (*c)[0].Step = 70 }, "a step of 70 in a travel from 0 to 100"},
		{"no rounds", func(_ *Options, _ *[]Control, r *[]Round) { *r = nil }, "no readings yet"},
		{"settings missing", func(_ *Options, _ *[]Control, r *[]Round) { (*r)[0].Settings = []float64{50} }, "round 1: 1 settings for 6 controls"},
		{"setting outside", func(_ *Options, _ *[]Control, r *[]Round) { (*r)[0].Settings[3] = 101 }, "round 1: R cutoff stands at 101, outside its travel from 0 to 100"},
		{"setting no number", func(_ *Options, _ *[]Control, r *[]Round) { (*r)[0].Settings[3] = math.NaN() }, "round 1: R cutoff stands at NaN"},
		{"one step", func(_ *Options, _ *[]Control, r *[]Round) { (*r)[0].Steps = (*r)[0].Steps[:1] }, "round 1: gray steps given: 1"},
		{"wrong primaries", func(_ *Options, _ *[]Control, r *[]Round) {
			(*r)[0].Steps[0].XYZ = colorimetry.XY{X: .2, Y: .75}.At(2)
		}, "round 1: gray step at 20 %: red would need light below none"},
		{"only the kept gun", func(_ *Options, c *[]Control, r *[]Round) {
			*c = []Control{{Name: "G drive", Gun: Green}}
			(*r)[0].Settings = []float64{0}
		}, ""},
		{"white outside", func(o *Options, _ *[]Control, _ *[]Round) { o.Target, _ = colorimetry.ParseWhite("0.16,0.02") }, "cannot make the target white"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			o := Options{Target: colorimetry.D65, Primaries: smpteC(t), Keep: Green}
			c := knobs()
			r := []Round{{Settings: []float64{50, 50, 50, 50, 50, 50}, Steps: grays(t, [3]float64{.9, 1, 1.1}, [3]float64{}, .2, .8)}}
			tt.spoil(&o, &c, &r)
			a, err := Advise(o, c, r)
			if tt.want == "" { // the kept gun has to move where no other can
				require.NoError(t, err)
				assert.Contains(t, strings.Join(a.Notes, "\n"), "G drive moves although green is to be kept: red has no drive control")
				return
			}
			require.ErrorContains(t, err, tt.want)
			assert.Nil(t, a)
		})
	}
}

// TestAdviseKeepsItsHandsOff: what was given is as it was, and the same again
// gives the same.
func TestAdviseKeepsItsHandsOff(t *testing.T) {
	r := []Round{{Settings: []float64{50, 50, 50, 50, 50, 50}, Steps: grays(t, [3]float64{.9, 1, 1.1}, [3]float64{}, .8, .2)}}
	before := slices.Clone(r[0].Steps)
	o := Options{Target: colorimetry.D65, Primaries: smpteC(t), Keep: Green}
	a, err := Advise(o, knobs(), r)
	require.NoError(t, err)
	b, err := Advise(o, knobs(), r)
	require.NoError(t, err)
	assert.Equal(t, a, b)
	assert.Equal(t, before, r[0].Steps)
	assert.Equal(t, []float64{50, 50, 50, 50, 50, 50}, r[0].Settings)
	assert.Equal(t, .2, a.Steps[0].Level, "by level")
}
