package white

import (
	"fmt"
	"math"
)

// An Effect is what one step of a control's own scale does to the light of the
// guns, per cent, at each gray step of the last round, by level.
type Effect struct {
	Control string
	Gun     Gun
	Role    Role
	Moved   bool         // by now; else this is what such controls usually do
	Light   [][3]float64 // per unit: of red, green and blue
	Doubt   [][3]float64 // standard deviations
}

// distance returns the believed distance of a step in limits and its standard
// deviation in the worst direction, after the moves x in half travels.
func (k *learner) distance(w want, x []float64) (off, doubt float64) {
	var mean [2]float64
	var cov [2][2]float64
	// The sum of parts of d, c and of the effects times the moves.
	part := func(i int) []float64 {
		p := make([]float64, len(k.mean))
		for a, v := range w.rows[i] {
			p[a] = v
			for j := range x {
				p[place(j, a)] = v * x[j]
			}
		}
		return p
	}
	p := [2][]float64{part(0), part(1)}
	for i := range 2 {
		for a, v := range p[i] {
			if v == 0 {
				continue
			}
			mean[i] += float64(v * k.mean[a])
			for j := range 2 {
				for b, u := range p[j] {
					cov[i][j] += float64(v * u * k.cov[a][b])
				}
			}
		}
	}
	half := (cov[0][0] + cov[1][1]) / 2
	worst := half + math.Hypot((cov[0][0]-cov[1][1])/2, cov[0][1])
	return math.Hypot(mean[0], mean[1]), math.Sqrt(max(worst, 0))
}

func (k *learner) near(wants []want) bool {
	still := make([]float64, len(k.controls))
	for _, w := range wants {
		if off, doubt := k.distance(w, still); off+sure*doubt > 1 {
			return false
		}
	}
	return true
}

// after returns the light of the guns at a step after the moves.
func (k *learner) after(v float64, x []float64) (l [3]float64) {
	for g := range 3 {
		root := float64(k.mean[g]*v) + k.mean[3+g]
		for j := range x {
			root += x[j] * (float64(k.mean[place(j, g)]*v) + k.mean[place(j, 3+g)])
		}
		l[g] = math.Pow(max(root, 0)*k.unit, k.gamma)
	}
	return l
}

// predict fills in the steps: as read, and as believed after the moves.
func (k *learner) predict(a *Advice, x []float64, steps []Reading, wants []want) {
	for i, r := range steps {
		l := k.after(r.Level, x)
		_, doubt := k.distance(wants[i], x)
		a.Steps = append(a.Steps, Prediction{Level: r.Level, Before: r.XYZ, After: k.t.color(l),
			OffBefore: k.t.off(k.t.lights(r.XYZ)), OffAfter: k.t.off(l), Doubt: doubt * wants[i].limit})
	}
}

func (k *learner) effects(steps []Reading) (out []Effect) {
	for j, c := range k.controls {
		e := Effect{Control: c.Name, Gun: c.Gun, Role: c.Role, Moved: k.moved[j]}
		for _, r := range steps {
			var light, doubt [3]float64
			for g := range 3 {
				root := max(k.mean[g]*r.Level+k.mean[3+g], .01)
				per := 100 * k.gamma / root / k.half[j]
				d, o := place(j, g), place(j, 3+g)
				light[g] = per * (float64(k.mean[d]*r.Level) + k.mean[o])
				v := float64(k.cov[d][d]*r.Level*r.Level) + 2*float64(k.cov[d][o]*r.Level) + k.cov[o][o]
				doubt[g] = per * math.Sqrt(max(v, 0))
			}
			e.Light, e.Doubt = append(e.Light, light), append(e.Doubt, doubt)
		}
		out = append(out, e)
	}
	return out
}

// moveNotes says how to make the moves.
func (k *learner) moveNotes(a *Advice, x, now []float64, known []bool, round int) (notes []string) {
	say := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	past := false
	for j, c := range k.controls {
		past = past || a.Past[j] != a.Settings[j]
		if x[j] == 0 || !known[j] {
			continue
		}
		switch a.Settings[j] {
		case c.Least:
			say("%s goes to the lower end of its travel, %g", c.Name, c.Least)
		case c.Most:
			say("%s goes to the upper end of its travel, %g", c.Name, c.Most)
		}
	}
	if past {
		say("go past and come back up: turn a control down to where the advice says first and then up to its setting, so that its play is always taken up from the same side")
	}
	if round == 1 {
		for j := range k.controls {
			if x[j] != 0 && !known[j] {
				say("the ends of travel of some controls are not known: their first move is a small one that shows what they do")
				break
			}
		}
		say("it is assumed that a higher setting of a control means more light of its gun; the next readings show whether that is so")
	}
	return notes
}

// stateNotes says what has been found.
func (k *learner) stateNotes(a *Advice, wants []want, rounds []Round) (notes []string) {
	say := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	for j, c := range k.controls {
		if own := k.mean[place(j, int(c.Role)*3+int(c.Gun))]; k.moved[j] && own < 0 {
			say("%s works the other way round: a lower setting gives more light of %s", c.Name, c.Gun)
		}
	}
	for i, r := range a.Steps {
		_, rough := k.clip(k.t.lights(r.Before))
		for g := range rough {
			if rough[g] {
				say("%s gives no light at %s: how far it is cut off is not known, and this round brings it back", Gun(g), level(r.Level))
			}
		}
		if r.OffAfter > 1.5*wants[i].limit && r.OffAfter > .5*r.OffBefore && !a.Near {
			say("at %s the controls are expected to come only to %.4f in u', v': one of them is at its end, or missing; choose another gun to keep, or look for a fault", level(r.Level), r.OffAfter)
		}
	}
	if len(rounds) > 6 && !a.Near {
		say("%d rounds have not brought it in: something moves between the readings (warming up, a bad contact), or the readings are noisier than stated", len(rounds)-1)
	}
	return notes
}
