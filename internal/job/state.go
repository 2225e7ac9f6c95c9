package job

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// A Status is where a step stands.
type Status string

// The states of a step.
const (
	Open     Status = "open"     // was never done, and can be done now
	Waiting  Status = "waiting"  // for other steps
	Reopened Status = "reopened" // was done; something that it rests on was done again since
	Finished Status = "done"
)

// A StepState is a step with where it stands. It can be done now when it is not
// finished and waits for nothing.
type StepState struct {
	Step
	Status Status
	Why    string   // a sentence: why it waits or is open again; of a finished one what is left to say
	Waits  []string // keys of the steps that it needs and that are not done
	Done   *Entry   // the last entry that did it, or nil
}

// States says of each step of the plan where it stands after the entries: all
// of a job, or only those that count. A correction of an entry takes the place
// in time of what it corrects: that a text was mended does not mean that the set
// was touched again.
func (p *Plan) States(entries []Entry) []StepState {
	states := make([]StepState, len(p.Steps))
	index := make(map[string]int, len(p.Steps))
	for i, s := range p.Steps {
		states[i] = StepState{Step: s}
		index[s.Key] = i
	}
	for _, e := range doneInOrder(entries) {
		if i, ok := index[e.Done.Step]; ok {
			replay(states, index, i, e)
		}
	}
	for i := range states {
		settle(states, index, i)
	}
	return states
}

// doneInOrder returns the entries that say that a step was done and count, in
// the order in which the work was done.
func doneInOrder(entries []Entry) []*Entry {
	corrected := make(map[int]int) // by the entry: what it corrects
	gone := make(map[int]bool)
	for _, e := range entries {
		if e.Corrects > 0 {
			corrected[e.ID] = e.Corrects
			gone[e.Corrects] = true
		}
	}
	place := func(e *Entry) int {
		n := e.ID
		for corrected[n] > 0 && corrected[n] < n {
			n = corrected[n]
		}
		return n
	}
	var list []*Entry
	for i := range entries {
		if e := &entries[i]; e.Kind == KindDone && e.Done != nil && !gone[e.ID] {
			list = append(list, e)
		}
	}
	slices.SortStableFunc(list, func(a, b *Entry) int { return cmp.Compare(place(a), place(b)) })
	return list
}

// replay is one step done. What rests on it is open again, unless nothing was
// touched.
func replay(states []StepState, index map[string]int, i int, e *Entry) {
	s := &states[i]
	again := s.Done != nil
	s.Done, s.Status, s.Why = e, Finished, ""
	if e.Done.Outcome == OutcomeCannot || e.Done.Outcome == OutcomeSkip {
		return
	}
	when := "was done"
	if again {
		when = "was done again"
	}
	reopen(states, i, fmt.Sprintf("%s %s on %s", s.Title, when, stamp(e)))
	if !e.Done.Again {
		return
	}
	for _, n := range s.Again {
		if k, ok := index[n.Step]; ok && states[k].Done != nil {
			because := fmt.Sprintf("%s sent the work back on %s", s.Title, stamp(e))
			states[k].Status, states[k].Why = Reopened, because+": "+clause(n.Why)
			reopen(states, k, because)
		}
	}
	if s := &states[i]; s.Status == Reopened {
		s.Why = fmt.Sprintf("%s sent the work back on %s, and is judged once more after it", s.Title, stamp(e))
	}
}

// reopen opens the steps that were done and rest on a step, at once or by others
// between. Steps stand in the order of work, so one pass finds them all.
func reopen(states []StepState, of int, because string) {
	through := map[string]bool{states[of].Key: true}
	for k := of + 1; k < len(states); k++ {
		s := &states[k]
		for _, n := range s.After {
			if !through[n.Step] {
				continue
			}
			if !through[s.Key] && s.Done != nil {
				s.Status = Reopened
				if n.Step == states[of].Key {
					s.Why = fmt.Sprintf("%s, and %s rests on it: %s", because, s.Title, clause(n.Why))
				} else {
					s.Why = fmt.Sprintf("%s, and %s rests on it by way of %s: %s", because, s.Title, titleOf(states, n.Step), clause(n.Why))
				}
			}
			through[s.Key] = true
		}
	}
}

// settle says where a step stands when all is replayed, and those before it are
// settled.
func settle(states []StepState, index map[string]int, i int) {
	s := &states[i]
	var reasons []string
	titles := make(map[string][]string) // by the reason: of the steps that share it
	for _, n := range s.After {
		if k := index[n.Step]; states[k].Status != Finished {
			s.Waits = append(s.Waits, n.Step)
			r := strings.TrimSuffix(n.Why, ".")
			if titles[r] == nil {
				reasons = append(reasons, r)
			}
			titles[r] = append(titles[r], states[k].Title)
		}
	}
	var why []string
	for _, r := range reasons {
		why = append(why, few(titles[r])+": "+r)
	}
	switch {
	case s.Status == Reopened:
	case len(s.Waits) > 0:
		s.Status = Waiting
		s.Why = "It waits for " + strings.Join(why, "; ") + "."
		if s.Done != nil {
			s.Why = "It was done before what it rests on: " + strings.Join(why, "; ") + "."
		}
	case s.Done == nil:
		s.Status = Open
	default:
		s.Status, s.Why = Finished, outcomeText(s.Done)
	}
}

// outcomeText is what is left to say of a step that is over.
func outcomeText(e *Entry) string {
	switch e.Done.Outcome {
	case OutcomeOut:
		return "Done as well as it goes, and out of tolerance (" + stamp(e) + ")."
	case OutcomeCannot:
		return "Could not be done: the set has no such control, or it does not work (" + stamp(e) + ")."
	case OutcomeSkip:
		return "Left out on purpose (" + stamp(e) + ")."
	}
	return ""
}

// few names the first of many.
func few(names []string) string {
	const most = 4
	if n := len(names); n > most {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most-1], ", "), n-most+1)
	}
	return strings.Join(names, ", ")
}

func titleOf(states []StepState, key string) string {
	n := slices.IndexFunc(states, func(s StepState) bool { return s.Key == key })
	return states[n].Title
}

// stamp is the time and the number of an entry.
func stamp(e *Entry) string {
	return fmt.Sprintf("%s UTC, entry %d", e.Time.UTC().Format("2006-01-02 15:04"), e.ID)
}

// clause ends a reason as a sentence.
func clause(why string) string { return strings.TrimSuffix(strings.TrimSpace(why), ".") + "." }

// Next returns the first step that can be done, or nil when all are done.
func Next(states []StepState) *StepState {
	for i := range states {
		if s := &states[i]; s.Status != Finished && len(s.Waits) == 0 {
			return s
		}
	}
	return nil
}
