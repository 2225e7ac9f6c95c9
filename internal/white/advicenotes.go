package white

import "fmt"

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
func (k *learner) stateNotes(a *Advice, steps []Reading, wants []want, rounds []Round) (notes []string) {
	say := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	for j, c := range k.controls {
		if own := k.mean[place(j, int(c.Role)*3+int(c.Gun))]; k.moved[j] && own < 0 {
			say("%s works the other way round: a lower setting gives more light of %s", c.Name, c.Gun)
		}
	}
	for i, r := range a.Steps {
		_, _, rough := k.t.seen(steps[i])
		for g := range rough {
			if rough[g] {
				say("%s gives no light at %s: how far it is cut off is not known, and this round brings it back", Gun(g), level(r.Level))
			}
		}
		if end := k.atEnd(a.Settings); end != "" && r.OffAfter-2*r.Doubt > wants[i].limit {
			say("at %s the controls come only to %.4f in u', v' as far as is known: %s is at its end; keep another gun, or look for a fault", level(r.Level), r.OffAfter, end)
		}
	}
	if k.odd {
		say("the last moves did not do what they should have: was every control turned past its setting and back up, or has one slipped? The readings are used with less trust in those moves")
	}
	if len(rounds) > patience && !a.Near {
		say("%d rounds of moves have not brought it in: something moves between the readings (warming up, a bad contact, play), or the readings are noisier than stated", len(rounds)-1)
	}
	return notes
}

// atEnd names a control that stands at an end of its travel.
func (k *learner) atEnd(settings []float64) string {
	for j, c := range k.controls {
		if c.Most > c.Least && (settings[j] == c.Least || settings[j] == c.Most) {
			return c.Name
		}
	}
	return ""
}

// bestNote is for settings that are left as they are though not sure to be
// right.
func (k *learner) bestNote(wants []want) string {
	worst, which := 0., wants[0]
	still := make([]float64, len(k.controls))
	for _, w := range wants {
		if off, _ := k.distance(w, still); off > worst {
			worst, which = off, w
		}
	}
	if worst <= 1 {
		return "no setting that the controls can take is better than this one"
	}
	return fmt.Sprintf("no setting that the controls can take is better than this one, which is %.4f in u', v' off at %s: their steps are too coarse, or one is at its end or missing", worst*which.limit, level(which.level))
}
