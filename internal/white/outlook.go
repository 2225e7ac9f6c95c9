package white

import "math"

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

// near tells whether all steps are within their limits, by some standard
// deviations.
func (k *learner) near(wants []want, by float64) bool {
	still := make([]float64, len(k.controls))
	for _, w := range wants {
		if off, doubt := k.distance(w, still); off+by*doubt > 1 {
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
