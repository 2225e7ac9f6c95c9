package white

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// line is a gun by the law of a picture tube: the root of its light is
// d*V + c, where light is L = (d*V + c)^gamma.
type line struct{ d, c float64 }

func (l line) at(v float64) float64 { return float64(l.d*v) + l.c }

// fit is the line of least squares through the roots of light.
func fit(steps []Reading, roots []float64) line {
	var v0, s0, vv, vs float64
	n := float64(len(steps))
	for i, r := range steps {
		v0 += r.Level / n
		s0 += roots[i] / n
	}
	for i, r := range steps {
		vv += float64((r.Level - v0) * (r.Level - v0))
		vs += float64((r.Level - v0) * (roots[i] - s0))
	}
	d := vs / vv
	return line{d, s0 - float64(d*v0)}
}

// Solve computes the moves from two or more gray steps. The light of each gun is
// taken for (d*V + c)^gamma; a line through its roots at all steps gives d and c,
// and the guns are moved to those of the kept one.
func Solve(o Options, steps []Reading) (*Solution, error) {
	t, err := newTube(o)
	if err != nil {
		return nil, err
	}
	steps, left := bright(steps)
	if err := t.check(steps); err != nil {
		return nil, err
	}
	steps = slices.Clone(steps)
	slices.SortStableFunc(steps, func(a, b Reading) int { return cmp.Compare(a.Level, b.Level) })
	light := make([][3]float64, len(steps))
	for i, r := range steps {
		light[i] = t.lights(r.XYZ)
		if err := t.lit(r, light[i]); err != nil {
			return nil, err
		}
	}
	s := &Solution{Gamma: o.Gamma}
	if left > 0 {
		s.Notes = append(s.Notes, darkNote())
	}
	if s.Gamma == 0 {
		s.Gamma = assumedGamma
		if g, ok := fitGamma(steps, light); ok {
			s.Gamma, s.Fitted = g, true
		}
	}
	guns, misfit := lines(steps, light, s.Gamma)
	if len(steps) > 2 {
		s.Misfit = misfit
	}
	for g, l := range guns {
		if !(l.d > 0) {
			return nil, fmt.Errorf("%s gives less light at %s than at %s: the readings are in the wrong order, or the gun is at its limit; read the steps again", Gun(g), level(steps[len(steps)-1].Level), level(steps[0].Level))
		}
	}
	keep := guns[o.Keep]
	for g, l := range guns {
		s.Moves[g] = Move{
			Drive:  100 * (keep.d/l.d - 1),
			Cutoff: 100 * (keep.c - l.c) / l.d,
			Ahead:  100 * (keep.c/keep.d - l.c/l.d),
		}
	}
	for i, r := range steps {
		var after [3]float64
		for g, l := range guns {
			// What the line does not explain stays as it is.
			if was := l.at(r.Level); was > 0 {
				after[g] = light[i][g] * math.Pow(max(keep.at(r.Level), 0)/was, s.Gamma)
			} else {
				after[g] = math.Pow(max(keep.at(r.Level), 0), s.Gamma)
			}
		}
		s.Steps = append(s.Steps, Prediction{Level: r.Level, Before: r.XYZ, After: t.color(after), OffBefore: t.off(light[i]), OffAfter: t.off(after)})
	}
	s.Notes = append(s.Notes, solveNotes(o, s, steps, guns)...)
	return s, nil
}

// lit refuses a gun without light: the root of nothing says nothing of its
// cutoff.
func (t *tube) lit(r Reading, l [3]float64) error {
	sum := (l[0] + l[1] + l[2]) / 3
	for g, v := range l {
		switch {
		case v < -.02*sum:
			return fmt.Errorf("gray step at %s: %s would need light below none (%.1f %% of the step): the primaries or the unlit screen do not fit this tube; measure its red, green and blue field", level(r.Level), Gun(g), 100*v/sum)
		case v <= 1e-4*sum:
			return fmt.Errorf("gray step at %s: %s gives no light there; raise its cutoff first until it does, or take a lighter step", level(r.Level), Gun(g))
		}
	}
	return nil
}
