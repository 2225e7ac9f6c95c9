package white_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/white"
)

// The limits that decide, in u', v': EBU Tech 3320 v3 clause 5.7 (white of a
// grade 1 monitor) at 80 %; two and a half times that at 20 %, where readings
// are three times as noisy (own choice).
const (
	limitBright = .001
	limitDark   = .0024
	mostRounds  = 6
)

// families are the sets that the deciding test tries. All have cross-talk up to
// a fifth and gains within 30 %.
func families() []family {
	all := []int{0, 1, -1, 2, -2}
	return []family{
		{name: "straight", laws: []int{0}},
		{name: "convex", laws: []int{1, 2}},
		{name: "concave", laws: []int{-1, -2}},
		{name: "stepped, 255 steps", laws: []int{0}, steps: 255},
		{name: "play up to 4 % of the travel", laws: []int{0}, play: .04},
		{name: "primaries wrong by up to .003", laws: all, wrong: .003},
		{name: "all together", laws: all, play: .04, wrong: .003},
		{name: "all together, 255 steps", laws: all, play: .04, wrong: .003, steps: 255},
	}
}

// harder are sets beyond the task, tried so that their rate is known.
func harder() []family {
	all := []int{0, 1, -1, 2, -2}
	return []family{
		{name: "nobody goes past and comes back", laws: all, play: .04, wrong: .003, careless: true},
		{name: "gains a factor of two off", laws: all, play: .04, wrong: .003, spread: 1},
		{name: "one control works the other way", laws: all, play: .04, wrong: .003, turned: true},
		{name: "ends of travel not known", laws: all, play: .04, wrong: .003, unknown: true},
		{name: "readings twice as noisy as told", laws: all, play: .04, wrong: .003, noise: 2},
		{name: "cutoff acts ahead of drive", laws: all, play: .04, wrong: .003, ahead: true},
		{name: "dead zone of 15 % at both ends", laws: all, play: .04, wrong: .003, dead: .15},
		{name: "beam limiter from 70 % up", laws: all, play: .04, wrong: .003, limiter: true},
	}
}

// outcome is a set when the advice has been followed to its end.
type outcome struct {
	moves        int // sets of moves made
	reached      int // sets of moves after which it was within both limits and stayed; -1 never
	bright, dark float64
	near         bool
}

func (o outcome) within() bool { return o.bright <= limitBright && o.dark <= limitDark }

// align follows the advice: readings at both steps, then one set of moves, six
// times at most. The state at the end counts, not the best on the way: when the
// advice says that it is near, or after the sixth set of moves.
func align(t testing.TB, f family, seed uint64) (o outcome) {
	b := newBench(f, seed)
	o.reached = -1
	opt := white.Options{Target: b.target, Primaries: b.primaries, Keep: b.keep}
	var rounds []white.Round
	for {
		in := b.off(bright) <= limitBright && b.off(dark) <= limitDark
		if !in {
			o.reached = -1
		} else if o.reached < 0 {
			o.reached = o.moves
		}
		if o.moves == mostRounds {
			break
		}
		rounds = append(rounds, white.Round{Settings: b.settings(), Steps: []white.Reading{b.read(dark, .01), b.read(bright, .003)}})
		a, err := white.Advise(opt, b.controls, rounds)
		require.NoError(t, err, "%s, seed %d", f.name, seed)
		require.Len(t, a.Settings, len(b.controls))
		if a.Near {
			o.near = true
			require.Equal(t, b.settings(), a.Settings, "near keeps the settings")
			break
		}
		for j, c := range b.controls {
			require.False(t, math.IsNaN(a.Settings[j]))
			if c.Most > c.Least {
				require.True(t, a.Settings[j] >= c.Least-1e-9 && a.Settings[j] <= c.Most+1e-9, "%s, seed %d: %s to %g", f.name, seed, c.Name, a.Settings[j])
			}
			if c.Step > 0 {
				require.InDelta(t, math.Round(a.Settings[j]), a.Settings[j], 1e-9, "%s is set in whole steps", c.Name)
			}
			if c.Gun == b.keep {
				require.Equal(t, rounds[0].Settings[j], a.Settings[j], "%s belongs to the kept gun", c.Name)
			}
		}
		b.obey(a)
		o.moves++
	}
	o.bright, o.dark = b.off(bright), b.off(dark)
	return o
}

// tally prints what became of many starts.
func tally(name string, all []outcome) string {
	var counts, used [mostRounds + 1]int
	var hi, lo []float64
	good, never := 0, 0
	for _, o := range all {
		if o.within() {
			good++
			counts[o.reached]++
		} else {
			never++
		}
		used[o.moves]++
		hi, lo = append(hi, o.bright), append(lo, o.dark)
	}
	slices.Sort(hi)
	slices.Sort(lo)
	at := func(s []float64, p float64) float64 { return s[min(int(p*float64(len(s))), len(s)-1)] }
	row := func(s []float64) string {
		return fmt.Sprintf("%.5f %.5f %.5f", at(s, .5), at(s, .9), s[len(s)-1])
	}
	list := func(c []int) string { return strings.Trim(fmt.Sprint(c), "[]") }
	return fmt.Sprintf("%-33s %5.1f %% of %4d | within after 0..6: %-28s never %3d | moves made 0..6: %-28s | 80 %%: %s | 20 %%: %s",
		name, 100*float64(good)/float64(len(all)), len(all), list(counts[:]), never, list(used[:]), row(hi), row(lo))
}

func run(t testing.TB, f family, from, n uint64) (all []outcome) {
	for seed := from; seed < from+n; seed++ {
		all = append(all, align(t, f, seed))
	}
	return all
}

func rate(all []outcome) float64 {
	good := 0
	for _, o := range all {
		if o.within() {
			good++
		}
	}
	return float64(good) / float64(len(all))
}

// TestAdviseDecides: 95 of 100 starts of every family end within both limits
// after six sets of moves at most. Seeds 1 to 100 were looked at while the
// method was made; those from 300001 on were not.
func TestAdviseDecides(t *testing.T) {
	n := uint64(300)
	if testing.Short() {
		n = 8
	}
	var pooled []outcome
	t.Log("columns after the bars: true distance from the target in u', v' at the end, median, 90 %, worst")
	for _, f := range families() {
		tuned := run(t, f, 1, min(n, 100))
		fresh := run(t, f, 300001, n)
		t.Log(tally(f.name, tuned) + " (seeds 1 on)")
		t.Log(tally(f.name, fresh) + " (fresh seeds)")
		pooled = slices.Concat(pooled, tuned, fresh)
		if !testing.Short() {
			assert.GreaterOrEqual(t, rate(tuned), .95, f.name)
			assert.GreaterOrEqual(t, rate(fresh), .95, "%s, fresh seeds", f.name)
		}
	}
	assert.GreaterOrEqual(t, rate(pooled), .95, "all families together")
}

// TestAdviseBeyond: sets that are worse than the task says are still brought in
// mostly; the rates are printed.
func TestAdviseBeyond(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	for _, f := range harder() {
		all := run(t, f, 400001, 100)
		t.Log(tally(f.name, all))
		want := .85
		if f.careless { // nothing is promised to those who leave the play in
			want = .5
		}
		assert.GreaterOrEqual(t, rate(all), want, f.name)
	}
}
