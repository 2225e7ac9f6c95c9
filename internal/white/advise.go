package white

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// sure is how many standard deviations inside the limits all steps must lie
// for the advice to be: stop.
const sure = 2

// patience is after how many rounds of readings the advice no longer waits to be
// sure.
const patience = 6

// goPast is how much further a control is turned down before it is turned up to
// its setting, of its travel: more than the play of a worn control (common
// practice).
const goPast = .05

// Advise fits what the controls do to the readings of all rounds, oldest first,
// and says where to set them next.
//
// It starts from what such controls usually do (from the middle to either end,
// 30 % of drive or 10 % of the signal range: common practice) and takes each
// round of moves for an experiment: gain, direction, cross-talk to other guns
// and to the other role, and a law that bends are learned. The next settings
// are those of the smallest expected distance from the target at all steps, the
// doubt about the controls and the noise of the readings counted in; where
// [Reading.Noise] is 0, that of the mean of eight readings of a common
// colorimeter is taken. Near is said when all steps lie within the limits of
// [Options], sure by two standard deviations.
func Advise(o Options, controls []Control, rounds []Round) (*Advice, error) {
	t, err := newTube(o)
	if err != nil {
		return nil, err
	}
	if err := checkControls(controls); err != nil {
		return nil, err
	}
	rounds, left := brightRounds(rounds)
	if err := t.checkRounds(controls, rounds); err != nil {
		return nil, err
	}
	free, notes := movable(o.Keep, controls)
	k := newLearner(t, controls, rounds)
	known := make([]bool, len(controls))
	for j, c := range controls {
		known[j] = c.Most > c.Least
	}
	k.learn(rounds, known)

	last := rounds[len(rounds)-1]
	steps := slices.Clone(last.Steps)
	slices.SortStableFunc(steps, func(a, b Reading) int { return cmp.Compare(a.Level, b.Level) })
	wants := k.wants(steps)
	a := &Advice{Settings: slices.Clone(last.Settings), Past: slices.Clone(last.Settings), Notes: notes}
	if left > 0 {
		a.Notes = append(a.Notes, darkNote())
	}
	a.Near = k.near(wants, sure)
	if !a.Near && len(rounds) > patience && k.near(wants, 0) {
		a.Near = true
		a.Notes = append(a.Notes, "all steps are within the limits as far as these readings can tell, and no surer after many rounds: take the mean of more readings to be sure")
	}
	x := make([]float64, len(controls))
	if !a.Near {
		x = k.choose(wants, last.Settings, free, known, len(rounds))
		if !slices.ContainsFunc(x, func(v float64) bool { return v != 0 }) {
			a.Near = true
			a.Notes = append(a.Notes, k.bestNote(wants))
		}
	}
	if !a.Near {
		k.set(a, x, rounds)
		a.Notes = append(a.Notes, k.moveNotes(a, x, last.Settings, known, len(rounds))...)
	}
	k.predict(a, x, steps, wants)
	a.Effects = k.effects(steps)
	a.Notes = append(a.Notes, k.stateNotes(a, steps, wants, rounds)...)
	return a, nil
}

func newLearner(t *tube, controls []Control, rounds []Round) *learner {
	k := &learner{t: t, controls: controls, gamma: t.o.Gamma, unit: 1}
	first := rounds[0]
	if k.gamma == 0 {
		k.gamma = assumedGamma
		var light [][3]float64
		lit := true
		for _, r := range first.Steps {
			l := t.lights(r.XYZ)
			lit = lit && min(l[0], l[1], l[2]) > 0
			light = append(light, l)
		}
		if lit {
			if g, ok := fitGamma(first.Steps, light); ok && g > 2 && g < 3 {
				k.gamma = g
			}
		}
	}
	// d of the guns comes out near 1.
	top := slices.MaxFunc(first.Steps, func(a, b Reading) int { return cmp.Compare(a.Level, b.Level) })
	light, _, _ := t.seen(top)
	k.unit = math.Pow(light[t.o.Keep], 1/k.gamma) / top.Level
	// Where the ends are not known, controls are taken for equal, and for as long
	// as the farthest setting: the first moves put that right.
	guess := 1.
	for j, c := range controls {
		if c.Most == c.Least {
			guess = max(guess, math.Abs(first.Settings[j]), 20*c.Step)
		}
	}
	for _, c := range controls {
		half := (c.Most - c.Least) / 2
		if half == 0 {
			half = guess
		}
		k.half, k.scale = append(k.half, half), append(k.scale, 1)
	}
	return k
}

// movable picks the controls that may move: not those of the kept gun, unless a
// role cannot be balanced without. There is always one.
func movable(keep Gun, controls []Control) (free []bool, notes []string) {
	has := make(map[[2]int]bool)
	for _, c := range controls {
		has[[2]int{int(c.Gun), int(c.Role)}] = true
	}
	free = make([]bool, len(controls))
	count := 0
	for j, c := range controls {
		free[j] = c.Gun != keep
		if c.Gun == keep {
			for g := Red; g <= Blue; g++ {
				if g != keep && !has[[2]int{int(g), int(c.Role)}] {
					free[j] = true
					notes = append(notes, fmt.Sprintf("%s moves although %s is to be kept: %s has no %s control", c.Name, keep, g, c.Role))
					break
				}
			}
		}
		if free[j] {
			count++
		}
	}
	if count < 4 {
		notes = append(notes, fmt.Sprintf("%d controls may move, and two steps in two directions of color need four: the rest is the best that they can do", count))
	}
	return free, notes
}

// choose returns the moves, in half travels.
func (k *learner) choose(wants []want, now []float64, free, known []bool, round int) []float64 {
	n := len(k.controls)
	lo, hi, step := make([]float64, n), make([]float64, n), make([]float64, n)
	for j, c := range k.controls {
		if !free[j] {
			continue
		}
		step[j] = c.Step / k.half[j]
		if known[j] {
			lo[j], hi[j] = (c.Least-now[j])/k.half[j], (c.Most-now[j])/k.half[j]
			continue
		}
		far := 1.
		if round == 1 { // a small move that shows what the control does
			far = .3
		}
		lo[j], hi[j] = -far, far
	}
	c := k.cost(wants)
	x := c.stepped(c.least(lo, hi), lo, hi, step)
	for j := range x {
		if step[j] == 0 && math.Abs(x[j]) < setting/2 { // less than a hand can set
			x[j] = 0
		}
	}
	return x
}

// set turns moves into settings and the way to them.
func (k *learner) set(a *Advice, x []float64, rounds []Round) {
	for j, c := range k.controls {
		if x[j] == 0 {
			continue
		}
		now := a.Settings[j]
		to := now + x[j]*k.half[j]
		margin := goPast * 2 * k.half[j]
		if c.Step > 0 {
			to = now + math.Round(x[j]*k.half[j]/c.Step)*c.Step
			margin = math.Ceil(margin/c.Step) * c.Step
		}
		if c.Most > c.Least {
			to = min(max(to, c.Least), c.Most)
		}
		a.Settings[j], a.Past[j] = to, to
		if to < now || !k.fromBelow(j, rounds) {
			a.Past[j] = min(to, now) - margin
			if c.Most > c.Least {
				a.Past[j] = max(a.Past[j], c.Least)
			}
		}
	}
}

// fromBelow tells that a control has been set before, and so from below.
func (k *learner) fromBelow(j int, rounds []Round) bool {
	for _, r := range rounds[1:] {
		if r.Settings[j] != rounds[0].Settings[j] {
			return true
		}
	}
	return false
}
