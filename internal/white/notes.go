package white

import "fmt"

// Travels that controls usually have, from the middle to either end, per cent
// (common practice). Beyond them a set has a fault before it has a setting.
const (
	usualDrive  = 30
	usualCutoff = 10
)

// solveNotes says where the moves rest on something doubtful.
func solveNotes(o Options, s *Solution, steps []Reading, guns [3]line) (notes []string) {
	say := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	if !s.Fitted && o.Gamma == 0 {
		if len(steps) > 2 {
			say("the steps do not tell gamma; %.1f is assumed", s.Gamma)
		} else {
			say("gamma %.1f is assumed: two steps do not tell it, and the moves depend on it little", s.Gamma)
		}
	}
	if s.Fitted && (s.Gamma < 2.1 || s.Gamma > 2.9) {
		say("gamma %.2f fits the steps best and is unusual for a picture tube (2.2 to 2.8): check black, the unlit screen and the levels of the source", s.Gamma)
	}
	if s.Misfit > .03 {
		say("the steps lie off the law of a tube by %.1f %% of their light: look for a beam limiter, a clipped white or the room's light in the readings", 100*s.Misfit)
	}
	if span := steps[len(steps)-1].Level - steps[0].Level; span < .3 {
		say("the steps lie only %.0f %% of the signal apart: cutoff is poorly told from drive", 100*span)
	}
	if steps[0].Level > .35 {
		say("no step below %s: what the cutoffs do to the shadows is guessed", level(steps[0].Level))
	}
	up, down := 0, 0
	for g, m := range s.Moves {
		if Gun(g) == o.Keep {
			continue
		}
		if m.Drive > usualDrive || m.Drive < -usualDrive {
			say("%s drive by %+.0f %% is more than such a control usually has (common practice): look for a fault in its amplifier or a weak gun", Gun(g), m.Drive)
		}
		if m.Cutoff > usualCutoff || m.Cutoff < -usualCutoff {
			say("%s cutoff by %+.1f %% of the signal is more than such a control usually has (common practice): look for a fault first", Gun(g), m.Cutoff)
		}
		if m.Drive > 15 {
			up++
		}
		if m.Drive < -15 {
			down++
		}
	}
	weak, strong := weakest(guns), strongest(guns)
	if up == 2 {
		say("both other drives go up far: %s is the strongest gun by much. Keeping %s instead brings the others down to it", o.Keep, weak)
	}
	if down == 2 {
		say("both other drives go down far: %s is the weakest gun by much, and white gets darker. Keeping %s instead raises it, if its control reaches", o.Keep, strong)
	}
	for g, l := range guns {
		if v := -l.c / l.d; v > steps[0].Level*.6 && v > .02 {
			say("%s starts to give light only at %s: it is cut off far, and raising its cutoff comes before its drive", Gun(g), level(v))
		}
	}
	last := s.Steps[len(s.Steps)-1]
	if was, is := last.Before.Y, last.After.Y; is > 1.1*was || is < .9*was {
		say("the step at %s goes from %.1f to %.1f cd/m2: set contrast again, and then check white once more", level(last.Level), was, is)
	}
	return notes
}

func weakest(guns [3]line) (w Gun) {
	for g, l := range guns {
		if l.d < guns[w].d {
			w = Gun(g)
		}
	}
	return w
}

func strongest(guns [3]line) (w Gun) {
	for g, l := range guns {
		if l.d > guns[w].d {
			w = Gun(g)
		}
	}
	return w
}
