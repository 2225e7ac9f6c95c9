package report

import (
	"fmt"
	"strings"

	"backporch/internal/job"
	"backporch/internal/table"
)

// notDoneGrid is the steps that were not done, or are open again.
func notDoneGrid(states []job.StepState) grid {
	g := newGrid("Not done, or open again", "Step", "Why")
	for _, s := range states {
		if s.Status != job.Finished {
			g.add(s.Title, notDoneWords(s, states))
		} else if s.Done != nil && s.Done.Done != nil && (s.Done.Done.Outcome == job.OutcomeCannot || s.Done.Done.Outcome == job.OutcomeSkip) {
			g.add(s.Title, sentence(strings.TrimSuffix(outcomeWords(s.Done.Done.Outcome)+": "+s.Done.Text, ": ")))
		}
	}
	return g
}

func notDoneWords(s job.StepState, all []job.StepState) string {
	switch s.Status {
	case job.Reopened:
		return sentence("open again: " + or(s.Why, "something that it rests on was done again"))
	case job.Waiting:
		titles := titlesOf(s.Waits, all)
		if n := len(titles); n > 4 {
			titles = append(titles[:3:3], fmt.Sprintf("and %d more", n-3))
		}
		return "Not done; it waits for " + strings.Join(titles, ", ") + "."
	}
	return "Not done."
}

// titlesOf are the titles of steps by their keys.
func titlesOf(keys []string, all []job.StepState) (titles []string) {
	for _, k := range keys {
		title := k
		for _, s := range all {
			if s.Key == k {
				title = s.Title
			}
		}
		titles = append(titles, title)
	}
	return titles
}

// stepTable is where each step stands, for programs.
func stepTable(states []job.StepState) *table.Table {
	t := &table.Table{Name: "steps", Title: "Steps", Columns: []table.Column{{Name: "Key"}, {Name: "Step"}, {Name: "Status"}, {Name: "Outcome"}, {Name: "Adjusted"},
		{Name: "Time"}, {Name: "By"}, {Name: "Waits for", Key: "waits_for"}}}
	for _, s := range states {
		row := []any{s.Key, s.Title, string(s.Status), nil, nil, nil, nil, orNil(strings.Join(s.Waits, ", "))}
		if s.Done != nil && s.Done.Done != nil {
			row[3], row[4], row[5], row[6] = string(s.Done.Done.Outcome), orNil(s.Done.Done.Adjusted), s.Done.Time.UTC().Format("2006-01-02T15:04:05Z"), orNil(s.Done.By)
		}
		t.Add(row...)
	}
	return t
}

// missing says what the plan asks for and nobody read after the work, with the
// step to which it belongs.
func (s *Sheet) missing(l pairs) (list []string) {
	if s.Given.Plan == nil {
		return []string{"There is no plan for this set: what should have been measured is not known."}
	}
	type want struct {
		what  job.What
		input string
		steps []string
	}
	var wants []*want
	held := map[string]bool{}
	for i := range l {
		if r := l[i].r[1]; r != nil {
			for _, j := range r.Judged {
				held[j.Limit] = true
			}
		}
	}
	for i := range s.Given.Plan.Steps {
		step := &s.Given.Plan.Steps[i]
		if step.Measure == "" {
			continue
		}
		input := ""
		if step.Measure == job.WhatChroma {
			input = step.Input
		}
		var at *want
		for _, w := range wants {
			if w.what == step.Measure && w.input == input {
				at = w
			}
		}
		if at == nil {
			at = &want{what: step.Measure, input: input}
			wants = append(wants, at)
		}
		at.steps = append(at.steps, step.Title)
	}
	asked := map[string]bool{}
	for _, w := range wants {
		for _, step := range s.Given.Plan.Steps {
			if step.Measure == w.what {
				for _, key := range step.Limits {
					asked[key] = true
				}
			}
		}
		if _, ok := s.Job.Latest(w.what, "", ""); ok && w.what == job.WhatSource {
			continue // of the signal: it has no before and after
		}
		p := l.find(w.what, w.input)
		if p != nil && p.r[1] != nil {
			continue
		}
		text := whatTitle(w.what)
		if w.input != "" {
			text += " of " + w.input
		}
		text += " (" + stepWords(w.steps) + "): "
		switch e, ok := s.Job.Latest(w.what, "", w.input); {
		case p != nil && p.r[0] != nil:
			text += "read before the work and not after it."
		case ok:
			text += fmt.Sprintf("read on the way (entry %d), not after the work.", e.ID)
		default:
			text += "not read."
		}
		list = append(list, text)
	}
	// Tolerances of steps that no kind of reading covers.
	for _, limit := range s.Given.Plan.Limits {
		if held[limit.Key] || asked[limit.Key] {
			continue
		}
		var steps []string
		for _, step := range s.Given.Plan.Steps {
			if contains(step.Limits, limit.Key) && !contains(steps, step.Title) {
				steps = append(steps, step.Title)
			}
		}
		if len(steps) > 0 {
			list = append(list, fmt.Sprintf("%s (%s; %s): no figure is kept of it.", limit.Name, bounds(limit.Min, limit.Max, limit.Unit), stepWords(steps)))
		}
	}
	return list
}

func stepWords(steps []string) string {
	if len(steps) == 1 {
		return "step " + steps[0]
	}
	return "steps " + strings.Join(steps, ", ")
}
