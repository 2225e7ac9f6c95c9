package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"backporch/internal/job"
	"backporch/internal/table"
)

// A workEntry is one time that a step was done.
type workEntry struct {
	*job.Entry
	Title string
	Again bool   // the step had been done before
	Why   string // it was opened again, a sentence; "" where nothing had opened it
	Open  bool   // it is open again, and was not done since
}

// workLog is every time that a step was done, in the order of the work. A
// customer is to see each adjustment, and the last one of a step may have been
// "nothing more to do".
func (s *Sheet) workLog() (log []workEntry) {
	titles, last := map[string]string{}, map[string]job.StepState{}
	for _, st := range s.States {
		titles[st.Key], last[st.Key] = st.Title, st
	}
	place := placesOf(s.Job.Entries)
	done := map[string]bool{}
	for _, e := range inOrder(s.Job) {
		w := workEntry{Entry: e, Title: or(titles[e.Done.Step], e.Done.Step), Again: done[e.Done.Step]}
		if w.Again && s.Given.Plan != nil {
			w.Why = s.why(e, place)
		}
		if st := last[e.Done.Step]; st.Done != nil && st.Done.ID == e.ID {
			w.Open = st.Status == job.Reopened
		}
		done[e.Done.Step] = true
		log = append(log, w)
	}
	return log
}

// placesOf says where in the order of work an entry belongs: a correction stands
// where the entry stood that it corrects.
func placesOf(entries []job.Entry) func(id int) int {
	corrects := map[int]int{}
	for _, e := range entries {
		if e.Corrects > 0 && e.Corrects < e.ID {
			corrects[e.ID] = e.Corrects
		}
	}
	return func(id int) int {
		for corrects[id] > 0 {
			id = corrects[id]
		}
		return id
	}
}

// inOrder are the entries of work that count, in the order of the work.
func inOrder(j *job.Job) (list []*job.Entry) {
	counting, place := j.Counting(), placesOf(j.Entries)
	for i := range counting {
		if e := &counting[i]; e.Kind == job.KindDone && e.Done != nil {
			list = append(list, e)
		}
	}
	slices.SortStableFunc(list, func(a, b *job.Entry) int { return cmp.Compare(place(a.ID), place(b.ID)) })
	return list
}

// why says what had opened the step of an entry again, from the record up to it.
func (s *Sheet) why(e *job.Entry, place func(id int) int) string {
	var before []job.Entry
	for _, b := range s.Job.Entries {
		if place(b.ID) < place(e.ID) {
			before = append(before, b)
		}
	}
	for _, st := range s.Given.Plan.States(before) {
		if st.Key != e.Done.Step || st.Status != job.Reopened {
			continue
		}
		why := strings.Replace(st.Why, ", and "+st.Title+" rests on it:", ":", 1) // the row names the step
		for i := range before {                                                   // the log has the time and the entry in its own row
			b := &before[i]
			at := " at " + clock(b.Time)
			if day(b.Time) != day(e.Time) {
				at = " on " + minute(b.Time)
			}
			why = strings.ReplaceAll(why, fmt.Sprintf(" on %s UTC, entry %d", minute(b.Time), b.ID), at)
		}
		return why
	}
	return ""
}

// words are what was adjusted, what is remarked, and why it was done again.
func (w *workEntry) words() string {
	words := w.Done.Adjusted
	if w.Text != "" {
		words = strings.TrimPrefix(words+"; "+w.Text, "; ")
	}
	if w.Why != "" {
		words = strings.TrimSpace(strings.TrimSuffix(words, ".") + ". Opened again: " + w.Why)
		words = strings.TrimPrefix(words, ". ")
	}
	return words
}

// workGrid is the log under the days of the work.
func workGrid(log []workEntry) grid {
	var by []string
	for _, w := range log {
		if !contains(by, w.By) {
			by = append(by, w.By)
		}
	}
	heads := []string{"|Time", "Step", "Outcome", "Adjusted, remarks, and why it was opened again"}
	one := len(by) == 1
	if !one {
		heads = append(heads, "By")
	}
	g := newGrid("", heads...)
	date := ""
	for i := range log {
		w := &log[i]
		if d := day(w.Time); d != date {
			date = d
			if one && by[0] != "" {
				d += ", by " + by[0]
			}
			g.Rows = append(g.Rows, gridRow{Part: d})
		}
		title, outcome := w.Title, outcomeWords(w.Done.Outcome)
		if w.Again {
			title += " (again)"
		}
		if w.Open {
			outcome += "; open again"
		}
		cells := []string{clock(w.Time), title, outcome, w.words()}
		if !one {
			cells = append(cells, w.By)
		}
		g.add(cells...)
		if w.Done.Outcome == job.OutcomeOut {
			g.strong(1, 2)
		}
	}
	return g
}

// logTable is the same for programs.
func logTable(log []workEntry) *table.Table {
	t := &table.Table{Name: "work", Title: "Work done", Columns: []table.Column{{Name: "Time"}, {Name: "Key"}, {Name: "Step"}, {Name: "Outcome"}, {Name: "Adjusted"},
		{Name: "Remark"}, {Name: "Again"}, {Name: "Opened again by", Key: "opened_by"}, {Name: "By"}, {Name: "Entry"}}}
	for i := range log {
		w := &log[i]
		t.Add(w.Time.UTC().Format("2006-01-02T15:04:05Z"), w.Done.Step, w.Title, string(w.Done.Outcome), orNil(w.Done.Adjusted), orNil(w.Text), w.Again, orNil(w.Why), orNil(w.By), w.ID)
	}
	return t
}
