package white_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/white"
)

// follow makes rounds with a bench until the advice is near or the sets of
// moves are used up. part says which controls there are, by their place in the
// bench.
func follow(t testing.TB, b *bench, part []int, most int, noise float64) (rounds []white.Round, a *white.Advice) {
	o := white.Options{Target: b.target, Primaries: b.primaries, Keep: b.keep}
	var controls []white.Control
	for _, j := range part {
		controls = append(controls, b.controls[j])
	}
	for {
		all := b.settings()
		var now []float64
		for _, j := range part {
			now = append(now, all[j])
		}
		r := white.Round{Settings: now, Steps: []white.Reading{b.read(dark, .01*noise), b.read(bright, .003*noise)}}
		for i := range r.Steps {
			if noise == 0 {
				r.Steps[i].Noise = 1e-5
			}
		}
		rounds = append(rounds, r)
		var err error
		a, err = white.Advise(o, controls, rounds)
		require.NoError(t, err)
		if a.Near || len(rounds) > most {
			return rounds, a
		}
		wide := &white.Advice{Settings: all, Past: append([]float64(nil), all...)}
		for i, j := range part {
			wide.Settings[j], wide.Past[j] = a.Settings[i], a.Past[i]
		}
		b.obey(wide)
	}
}

// TestFewerControls: two drives and three cutoffs, and one gun that cannot move
// at all, still come in; with a control too few the rest is as good as it gets
// and that is said.
func TestFewerControls(t *testing.T) {
	good := 0
	for seed := uint64(1); seed <= 40; seed++ {
		b := newBench(family{laws: []int{0, 1, -1}}, seed)
		var part []int
		for j := range 6 {
			if j != int(b.keep) { // no drive for the kept gun
				part = append(part, j)
			}
		}
		follow(t, b, part, mostRounds, 1)
		if b.off(bright) <= limitBright && b.off(dark) <= limitDark {
			good++
		}
	}
	assert.GreaterOrEqual(t, good, 38)

	b := newBench(family{laws: []int{0}}, 1)
	start := b.off(bright)
	var part []int
	for j := range 6 {
		if g := white.Gun(j % 3); g != b.keep && (j < 3 || g != (b.keep+1)%3) {
			part = append(part, j)
		}
	}
	require.Len(t, part, 3)
	_, a := follow(t, b, part, mostRounds, 1)
	assert.Contains(t, strings.Join(a.Notes, "\n"), "3 controls may move")
	assert.Less(t, b.off(bright), start)
}

// TestOtherGunKept: a control of the kept gun moves where no other gun has that
// role, and that is said.
func TestOtherGunKept(t *testing.T) {
	b := newBench(family{laws: []int{0}}, 3)
	k, other := int(b.keep), (int(b.keep)+1)%3
	part := []int{k, other, 3 + other, 3 + (other+1)%3} // the third gun has no drive
	_, a := follow(t, b, part, mostRounds, 1)
	assert.Contains(t, strings.Join(a.Notes, "\n"), b.controls[k].Name+" moves although "+b.keep.String()+" is to be kept")
	assert.Less(t, b.off(bright), .002)
	assert.Less(t, b.off(dark), .004)
}

// TestUnits: the units of a control do not matter, nor where they begin.
func TestUnits(t *testing.T) {
	one, two := newBench(family{laws: []int{0}}, 7), newBench(family{laws: []int{0}}, 7)
	for j := range two.controls {
		two.controls[j].Least, two.controls[j].Most = -1000, 3000
	}
	all := []int{0, 1, 2, 3, 4, 5}
	_, a := follow(t, one, all, 2, 1)
	_, c := follow(t, two, all, 2, 1)
	for j := range one.controls {
		share := func(b *bench, a *white.Advice) float64 {
			return (a.Settings[j] - b.controls[j].Least) / (b.controls[j].Most - b.controls[j].Least)
		}
		assert.InDelta(t, share(one, a), share(two, c), 1e-6, one.controls[j].Name)
	}
}

// TestEffects: after moves of a set of straight controls without noise, what has
// been learned of a control's own gun is what the model of the bench does when
// that control is turned a little.
func TestEffects(t *testing.T) {
	within, all := 0, 0
	for seed := uint64(1); seed <= 30; seed++ {
		b := newBench(family{laws: []int{0}, stillRead: true}, seed)
		b.noise = 0
		_, a := follow(t, b, []int{0, 1, 2, 3, 4, 5}, 4, 0)
		require.Len(t, a.Effects, 6)
		for j, e := range a.Effects {
			assert.Equal(t, b.controls[j].Name, e.Control)
			assert.Equal(t, b.controls[j].Gun != b.keep, e.Moved, "%s", e.Control)
			if !e.Moved {
				continue
			}
			g := int(e.Gun)
			for i, v := range []float64{dark, bright} {
				before := b.guns(v)[g]
				w := b.wiper
				b.wiper[j] += .002
				after := b.guns(v)[g]
				b.wiper = w
				unit := .002 / 2 * (b.controls[j].Most - b.controls[j].Least)
				truth := 100 * (after/before - 1) / unit
				all++
				if math.Abs(e.Light[i][g]-truth) < 2.5*e.Doubt[i][g]+.02*math.Abs(truth) {
					within++
				}
				assert.Positive(t, e.Doubt[i][g])
			}
		}
	}
	assert.GreaterOrEqual(t, float64(within)/float64(all), .9, "%d of %d effects within their doubt", within, all)
}

// TestDoubt: the stated doubt of the prediction is honest: the truth after the
// last moves lies within three of it, beside the prediction, nearly always.
func TestDoubt(t *testing.T) {
	within, all := 0, 0
	for seed := uint64(500); seed < 600; seed++ {
		b := newBench(families()[6], seed)
		_, a := follow(t, b, []int{0, 1, 2, 3, 4, 5}, mostRounds, 1)
		if !a.Near {
			continue
		}
		for i, v := range []float64{dark, bright} {
			all++
			if b.off(v) < a.Steps[i].OffAfter+3*a.Steps[i].Doubt {
				within++
			}
		}
	}
	require.Greater(t, all, 150)
	assert.GreaterOrEqual(t, float64(within)/float64(all), .97, "%d of %d", within, all)
}

// TestCutOff: a set one gun of which gives no light at the dark step is brought
// back, and the advice says so.
func TestCutOff(t *testing.T) {
	good := 0
	for seed := uint64(1); seed <= 20; seed++ {
		b := newBench(family{laws: []int{0}}, seed)
		g := (int(b.keep) + 1) % 3
		b.c0[g] -= .25
		_, first := follow(t, b, []int{0, 1, 2, 3, 4, 5}, 0, 1)
		assert.Contains(t, strings.Join(first.Notes, "\n"), white.Gun(g).String()+" gives no light at 20 %")
		b.c0[g] += .21 // within reach of the control again
		_, _ = follow(t, b, []int{0, 1, 2, 3, 4, 5}, mostRounds, 1)
		if b.off(bright) <= limitBright && b.off(dark) <= limitDark {
			good++
		}
	}
	assert.GreaterOrEqual(t, good, 16)
}

// TestBumped: a control that is knocked between two rounds is noticed and the
// set comes in all the same.
func TestBumped(t *testing.T) {
	good, said, sets := 0, 0, 40
	if testing.Short() {
		sets = 4
	}
	for seed := uint64(1); seed <= uint64(sets); seed++ {
		b := newBench(family{laws: []int{0}}, seed)
		o := white.Options{Target: b.target, Primaries: b.primaries, Keep: b.keep}
		var rounds []white.Round
		told := false
		for n := range 8 {
			rounds = append(rounds, white.Round{Settings: b.settings(), Steps: []white.Reading{b.read(dark, .01), b.read(bright, .003)}})
			a, err := white.Advise(o, b.controls, rounds)
			require.NoError(t, err)
			if n == 3 { // the readings behind the bump, no others
				told = strings.Contains(strings.Join(a.Notes, "\n"), "the last moves did not do what they should have")
			}
			if n == 2 {
				b.c0[b.keep] += .02 // nobody touched this knob
			} else if a.Near {
				break
			}
			b.obey(a)
		}
		if told {
			said++
		}
		if b.off(bright) <= limitBright && b.off(dark) <= limitDark {
			good++
		}
	}
	t.Logf("of %d bumped sets %d came in, and %d were told at once", sets, good, said)
	assert.GreaterOrEqual(t, good, sets*9/10)
	assert.GreaterOrEqual(t, said, sets*3/4)
}

// TestManySteps: more than two steps are used as well, in any order, with gamma
// fitted.
func TestManySteps(t *testing.T) {
	good := 0
	for seed := uint64(1); seed <= 30; seed++ {
		b := newBench(family{laws: []int{0, 1, -1}}, seed)
		var rounds []white.Round
		for range 6 {
			rounds = append(rounds, white.Round{Settings: b.settings(), Steps: []white.Reading{
				b.read(bright, .003), b.read(.5, .005), b.read(dark, .01), b.read(.35, .007)}})
			a, err := white.Advise(white.Options{Target: b.target, Primaries: b.primaries, Keep: b.keep}, b.controls, rounds)
			require.NoError(t, err)
			require.Len(t, a.Steps, 4)
			if a.Near {
				break
			}
			b.obey(a)
		}
		if b.off(bright) <= limitBright && b.off(dark) <= limitDark {
			good++
		}
	}
	assert.GreaterOrEqual(t, good, 28)
}

// TestNearStops: readings that cannot be told from the target stop the work,
// whatever the controls are, and settings that reach an end say so.
func TestNearStops(t *testing.T) {
	p, err := colorimetry.ParsePrimaries("ebu")
	require.NoError(t, err)
	o := white.Options{Target: colorimetry.D65, Primaries: p, Keep: white.Green}
	c := []white.Control{{Name: "R drive", Gun: white.Red, Most: 255}, {Name: "B drive", Gun: white.Blue, Most: 255}}
	at := func(x, y float64) []white.Reading {
		return []white.Reading{{Level: .2, XYZ: colorimetry.XY{X: x, Y: y}.At(2)}, {Level: .8, XYZ: colorimetry.XY{X: x, Y: y}.At(58)}}
	}
	a, err := white.Advise(o, c, []white.Round{{Settings: []float64{100, 90}, Steps: at(.3127, .3290)}})
	require.NoError(t, err)
	assert.True(t, a.Near)
	assert.Equal(t, []float64{100, 90}, a.Settings)

	a, err = white.Advise(o, c, []white.Round{{Settings: []float64{250, 90}, Steps: at(.290, .320)}})
	require.NoError(t, err)
	assert.False(t, a.Near)
	assert.Equal(t, 255., a.Settings[0])
	assert.Contains(t, strings.Join(a.Notes, "\n"), "R drive goes to the upper end of its travel, 255")

	noisy := at(.3135, .3295)
	for i := range noisy {
		noisy[i].Noise = .05
	}
	a, err = white.Advise(o, c, []white.Round{{Settings: []float64{100, 90}, Steps: noisy}})
	require.NoError(t, err)
	assert.False(t, a.Near, "readings that can tell nothing do not say near")
}

// TestAnyReadings: whatever is read, there is advice or an error, never a panic
// or a setting that is no number.
func TestAnyReadings(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	for range 300 {
		b := newBench(family{laws: []int{0}}, r.Uint64())
		var rounds []white.Round
		for range 1 + r.IntN(4) {
			var s []float64
			for _, c := range b.controls {
				s = append(s, uniform(r, c.Least, c.Most))
			}
			rounds = append(rounds, white.Round{Settings: s, Steps: []white.Reading{
				{Level: .2, XYZ: colorimetry.XYZ{X: r.ExpFloat64(), Y: r.ExpFloat64(), Z: r.ExpFloat64()}},
				{Level: uniform(r, .3, 1), XYZ: colorimetry.XYZ{X: 50 * r.ExpFloat64(), Y: 50 * r.ExpFloat64(), Z: 50 * r.ExpFloat64()}}}})
		}
		a, err := white.Advise(white.Options{Target: b.target, Primaries: b.primaries, Keep: b.keep}, b.controls, rounds)
		if err != nil {
			continue
		}
		for j, c := range b.controls {
			require.True(t, a.Settings[j] >= c.Least && a.Settings[j] <= c.Most, "%s to %g", c.Name, a.Settings[j])
			require.True(t, a.Past[j] >= c.Least && a.Past[j] <= a.Settings[j]+1e-9, "%s past %g", c.Name, a.Past[j])
		}
		for _, p := range a.Steps {
			require.False(t, math.IsNaN(p.OffAfter+p.Doubt+p.After.X))
		}
	}
}

// BenchmarkAdvise is advice after one and after six sets of moves.
func BenchmarkAdvise(b *testing.B) {
	for _, f := range []family{families()[0], families()[7]} {
		s := newBench(f, 1)
		o := white.Options{Target: s.target, Primaries: s.primaries, Keep: s.keep}
		var rounds []white.Round
		for n := range 6 {
			rounds = append(rounds, white.Round{Settings: s.settings(), Steps: []white.Reading{s.read(dark, .01), s.read(bright, .003)}})
			if n == 0 || n == 5 {
				b.Run(f.name+[]string{"/first", "", "", "", "", "/sixth"}[n], func(b *testing.B) {
					b.ReportAllocs()
					for b.Loop() {
						if _, err := white.Advise(o, s.controls, rounds); err != nil {
							b.Fatal(err)
						}
					}
				})
			}
			a, err := white.Advise(o, s.controls, rounds)
			require.NoError(b, err)
			s.obey(a)
		}
	}
}
