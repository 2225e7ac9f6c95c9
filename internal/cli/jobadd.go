package cli

import (
	"context"
	"fmt"
	"os"
	"runtime"
	"slices"
	"strings"
	"time"

	"backporch/internal/job"
	"backporch/internal/table"
)

// program is what entries say of who wrote them.
func program() string { return "backporch " + Version }

// clock is the time now.
func (s *Streams) clock() time.Time {
	if s.Now != nil {
		return s.Now()
	}
	return time.Now()
}

// A jobChange is what an entry did to a job.
type jobChange struct {
	*jobWork
	Entry  *job.Entry
	Before []job.StepState
}

// append adds the entry that build makes for the job as it stands; build is
// called while no other program can write. An entry after which there could be
// no plan is refused.
func (j *jobFlags) append(ctx context.Context, s *Streams, build func(*jobWork) (job.Entry, error)) (*jobChange, error) {
	name, err := j.name(s, "")
	if err != nil {
		return nil, err
	}
	b, workshop, err := j.workshop(s)
	if err != nil {
		return nil, err
	}
	c := &jobChange{}
	stored, err := b.Append(ctx, name, func(stored *job.Job) (job.Entry, error) {
		w := &jobWork{Job: stored, Bench: b, Workshop: workshop}
		if err := w.stand(); err != nil {
			return job.Entry{}, err
		}
		c.Before = w.States
		e, err := build(w)
		if err != nil {
			return e, err
		}
		e.Program = program()
		return e, w.tryOut(e)
	})
	if err != nil {
		return nil, j.missing(b, name, err)
	}
	c.jobWork = &jobWork{Job: stored, Bench: b, Workshop: workshop}
	c.Entry = &stored.Entries[len(stored.Entries)-1]
	s.warn(stored)
	return c, c.stand()
}

// tryOut says whether there is still a plan after more entries.
func (w *jobWork) tryOut(list ...job.Entry) error {
	after := &job.Job{Name: w.Name, Path: w.Path, Entries: slices.Clone(w.Entries)}
	for _, e := range list {
		e.ID = after.Entries[len(after.Entries)-1].ID + 1
		after.Entries = append(after.Entries, e)
	}
	if after.Set() == nil {
		return nil // the store says what is wrong with it
	}
	if _, err := after.Plan(w.Workshop); err != nil {
		return usagef("not recorded, for there would be no order of work after it: %w", err)
	}
	return nil
}

// opened are the steps that were done before the entry and are not any more.
func (c *jobChange) opened() (list []job.StepState) {
	for _, s := range c.States {
		if s.Status != job.Finished && statusIn(c.Before, s.Key) == job.Finished {
			list = append(list, s)
		}
	}
	return list
}

// added are the steps that the entry brought into the plan, or took out of it
// with the lists exchanged.
func added(before, after []job.StepState) (keys []string) {
	for _, s := range after {
		if statusIn(before, s.Key) == "" {
			keys = append(keys, s.Key)
		}
	}
	return keys
}

// statusIn is that of a step, "" where there is none of that key.
func statusIn(list []job.StepState, key string) job.Status {
	for _, s := range list {
		if s.Key == key {
			return s.Status
		}
	}
	return ""
}

// record says what was recorded, what it opened again, and what comes next.
func (c *jobChange) record(t *tableFlags, what string, more ...*table.Table) *table.Record {
	rec := &table.Record{Name: "job-entry", Fields: []table.Field{
		{Name: "Job", Value: c.Name},
		{Name: "Entry", Value: c.Entry.ID},
		{Name: "Time", Unit: "UTC", Value: t.stamp(c.Entry.Time)},
		{Name: "Recorded", Value: what},
	}}
	if n := c.Entry.Corrects; n > 0 {
		rec.Fields = append(rec.Fields, table.Field{Name: "Corrects entry", Value: n})
	}
	if keys := added(c.Before, c.States); len(keys) > 0 && len(c.Before) > 0 {
		rec.Fields = append(rec.Fields, table.Field{Name: "New steps", Value: keys})
	}
	if keys := added(c.States, c.Before); len(keys) > 0 {
		rec.Fields = append(rec.Fields, table.Field{Name: "Steps no longer in the plan", Key: "gone_steps", Value: keys})
	}
	rec.Tables = more
	if list := c.opened(); len(list) > 0 {
		open := &table.Table{Name: "opened", Title: "Open again", Columns: []table.Column{{Name: "Step"}, {Name: "State"}, {Name: "Why"}}}
		for _, s := range list {
			why := s.Why
			if !t.JSON && !t.CSV {
				why = c.sinceThen(why)
			}
			if why == "" {
				why = "The entry that recorded it no longer counts."
			}
			open.Add(s.Key, string(s.Status), why)
		}
		rec.Tables = append(rec.Tables, open)
	}
	rec.Notes = append(rec.Notes, c.nextLine())
	return rec
}

// sinceThen leaves out of a reason, for people, that it is this entry's: the
// record says so above.
func (c *jobChange) sinceThen(why string) string {
	for _, end := range []string{", and ", ": "} {
		if _, rest, ok := strings.Cut(why, fmt.Sprintf("entry %d%s", c.Entry.ID, end)); ok {
			return sentenceCase(rest)
		}
	}
	return why
}

// nextLine says what comes next.
func (w *jobWork) nextLine() string {
	n := job.Next(w.States)
	if n == nil {
		return fmt.Sprintf("Every step is done. `backporch job sheet%s` writes the sheet that goes with the set.", w.flag())
	}
	return fmt.Sprintf("Next: %s (%s). `backporch job next%s` says how, with its cautions.", n.Title, n.Key, w.flag())
}

// flag names job and folder where the commands that are told would not find
// them.
func (w *jobWork) flag() (s string) {
	if dir, err := benchFolder("", runtime.GOOS, os.Getenv); err != nil || dir != w.Bench.Dir {
		s = " --bench " + quoted(w.Bench.Dir)
	}
	here := jobFlags{Bench: w.Bench.Dir}
	if named := os.Getenv(jobVariable); named != w.Name && (named != "" || len(here.names()) > 1) {
		s += " --job " + w.Name
	}
	return s
}

// warn tells what the store has to say of the files of a job that is whole.
func (s *Streams) warn(j *job.Job) {
	for _, w := range j.Warnings {
		fmt.Fprintf(s.Err, "warning: %s\n", w)
	}
}
