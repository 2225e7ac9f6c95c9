package white

import (
	"fmt"
	"math"
)

func checkControls(controls []Control) error {
	if len(controls) == 0 {
		return fmt.Errorf("no controls: name at least one drive or cutoff")
	}
	names := make(map[string]bool)
	for i, c := range controls {
		switch {
		case c.Name == "":
			return fmt.Errorf("control %d has no name", i+1)
		case names[c.Name]:
			return fmt.Errorf("two controls are called %s; give them different names", c.Name)
		case c.Gun < Red || c.Gun > Blue:
			return fmt.Errorf("control %s: gun %d; there are red (0), green (1) and blue (2)", c.Name, c.Gun)
		case c.Role < Drive || c.Role > Cutoff:
			return fmt.Errorf("control %s: role %d; there are drive (0) and cutoff (1)", c.Name, c.Role)
		case math.IsNaN(c.Least+c.Most+c.Step) || math.IsInf(c.Least+c.Most+c.Step, 0):
			return fmt.Errorf("control %s: ends of travel %g and %g, step %g; give numbers", c.Name, c.Least, c.Most, c.Step)
		case c.Least >= c.Most && (c.Least != 0 || c.Most != 0):
			return fmt.Errorf("control %s: its travel ends at %g before it begins at %g; the lower end comes first, and both are 0 where they are not known", c.Name, c.Most, c.Least)
		case c.Step < 0 || c.Most > c.Least && c.Step > (c.Most-c.Least)/2:
			return fmt.Errorf("control %s: a step of %g in a travel from %g to %g; give the smallest move, or 0 for none", c.Name, c.Step, c.Least, c.Most)
		}
		names[c.Name] = true
	}
	return nil
}

func (t *tube) checkRounds(controls []Control, rounds []Round) error {
	if len(rounds) == 0 {
		return fmt.Errorf("no readings yet: read the gray steps, and say where the controls stand")
	}
	for i, r := range rounds {
		if len(r.Settings) != len(controls) {
			return fmt.Errorf("round %d: %d settings for %d controls; say where each stands", i+1, len(r.Settings), len(controls))
		}
		for j, c := range controls {
			x := r.Settings[j]
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return fmt.Errorf("round %d: %s stands at %g; give a number", i+1, c.Name, x)
			}
			if slip := 1e-9 * (c.Most - c.Least); c.Most > c.Least && (x < c.Least-slip || x > c.Most+slip) {
				return fmt.Errorf("round %d: %s stands at %g, outside its travel from %g to %g; correct one of them", i+1, c.Name, x, c.Least, c.Most)
			}
		}
		if err := t.check(r.Steps); err != nil {
			return fmt.Errorf("round %d: %w", i+1, err)
		}
		for _, s := range r.Steps {
			l := t.lights(s.XYZ)
			sum := (l[0] + l[1] + l[2]) / 3
			for g, v := range l {
				if v < -.1*sum {
					return fmt.Errorf("round %d: gray step at %s: %s would need light below none (%.0f %% of the step): the primaries or the unlit screen do not fit this tube; measure its red, green and blue field", i+1, level(s.Level), Gun(g), 100*v/sum)
				}
			}
		}
	}
	return nil
}
