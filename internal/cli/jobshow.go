package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/job"
	"backporch/internal/job/report"
	"backporch/internal/table"
)

type jobShowOptions struct {
	*Streams
	tableFlags
	jobFlags

	Word    string
	Entries bool
	Limits  bool
}

// newJobShow returns the command that shows a job. Tests pass runF to see the
// parsed options without doing the work.
func newJobShow(s *Streams, runF func(context.Context, *jobShowOptions) error) *cobra.Command {
	o := &jobShowOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "show [JOB]",
		Short: "Show a job: the set, where each step stands, the last readings, notes",
		Long: `Show a job: what the set is, where each step stands and why, what the last
readings say, and the notes.

--entries shows the whole record instead, with the entries that were corrected;
--limits the tolerances and where they are from.`,
		Example: "  backporch job show\n  backporch job show bench-a --entries\n  backporch job show bench-b --json",
		Args:    oneJob,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			if len(args) > 0 {
				o.Word = args[0]
			}
			if o.Entries && o.Limits {
				return usagef("--entries and --limits each show something else; give one of them")
			}
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
		ValidArgsFunction: o.completeJob,
	}
	cmd.Flags().SortFlags = false
	cmd.Flags().BoolVar(&o.Entries, "entries", false, "the whole record, entry by entry")
	cmd.Flags().BoolVar(&o.Limits, "limits", false, "the tolerances of this job, with their sources")
	o.jobFlags.add(cmd)
	o.tableFlags.add(cmd)
	return cmd
}

// oneJob allows one word, the name of a job.
func oneJob(cmd *cobra.Command, args []string) error {
	if len(args) > 1 {
		return exactly(1, "")(cmd, args)
	}
	return nil
}

// completeJob offers the jobs of the folder, for the first word.
func (j *jobFlags) completeJob(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return j.names(), cobra.ShellCompDirectiveNoFileComp
}

func (o *jobShowOptions) run(context.Context) error {
	w, err := o.open(o.Streams, o.Word)
	if err != nil {
		return err
	}
	switch {
	case o.Entries:
		return o.print(o.Streams, entryTable(&o.tableFlags, w.Job))
	case o.Limits:
		return o.print(o.Streams, limitTable(w.Plan.Limits))
	}
	set := w.Set()
	rec := &table.Record{Name: "job show", Fields: append([]table.Field{{Name: "Job", Value: w.Name}, {Name: "File", Value: w.Path}}, setFields(set)...)}
	rec.Fields = append(rec.Fields, table.Field{Name: "Steps done", Value: w.done()}, table.Field{Name: "Steps in all", Value: len(w.States)})
	rec.Tables = []*table.Table{o.steps(w)}
	var all []*report.Result
	var bad []error
	if g, err := w.given(); err != nil { // a device's profile that has gone, say: all else is shown
		bad = append(bad, err)
	} else {
		all, bad = report.Collect(w.Job, g, "")
	}
	if t := o.readings(all); t.Len() > 0 || o.JSON {
		rec.Tables = append(rec.Tables, t)
	}
	if t := o.notes(w.Job); t.Len() > 0 || o.JSON {
		rec.Tables = append(rec.Tables, t)
	}
	for _, err := range bad {
		rec.Notes = append(rec.Notes, "Readings that cannot be judged: "+sentence(err.Error()))
	}
	rec.Notes = append(rec.Notes, unknownNotes(w.Job)...)
	rec.Notes = append(rec.Notes, w.nextLine())
	return o.print(o.Streams, rec)
}

// mostUnknown is how many things of a newer program, or of another one, are told.
const mostUnknown = 10

// unknownNotes tells what stands in the file and is not known here.
func unknownNotes(j *job.Job) (notes []string) {
	all := j.Unknown()
	for i, u := range all {
		if i == mostUnknown {
			return append(notes, fmt.Sprintf("So have %s more.", count(len(all)-i, "place")))
		}
		notes = append(notes, sentence(sentenceCase(u.String())))
	}
	return notes
}

// done is how many steps are done.
func (w *jobWork) done() (n int) {
	for _, s := range w.States {
		if s.Status == job.Finished {
			n++
		}
	}
	return n
}

// mostNamed is how many steps that one waits for are named in a table.
const mostNamed = 6

// steps says of each step where it stands.
func (o *jobShowOptions) steps(w *jobWork) *table.Table {
	t := &table.Table{Name: "steps", Title: "Steps", Columns: []table.Column{
		{Name: "Step"}, {Name: "State"}, {Name: "Entry"}, {Name: "When", Unit: "UTC"}, {Name: "By"}, {Name: "How it ended, or why it is not done", Key: "why"},
	}}
	for _, s := range w.States {
		var entry, when, by, why any
		if e := s.Done; e != nil {
			entry, when = e.ID, o.stamp(e.Time)
			if e.By != "" {
				by = e.By
			}
			if words := endWords(e); words != "" {
				why = words
			}
		}
		switch {
		case s.Status == job.Finished:
		case len(s.Waits) > 0 && !o.JSON && !o.CSV: // next --step has the reasons
			why = "waits for " + strings.Join(s.Waits, ", ")
			if n := len(s.Waits); n > mostNamed {
				why = fmt.Sprintf("waits for %d steps", n)
			}
		case s.Why == "":
			why = nil
		default:
			why = s.Why
		}
		t.Add(s.Key, string(s.Status), entry, when, by, why)
	}
	return t
}

// endWords says how a step ended.
func endWords(e *job.Entry) string {
	s := ""
	if e.Done.Outcome != job.OutcomeOK {
		s = sentence(outcomeWords(e.Done.Outcome)) + " "
	}
	if e.Done.Adjusted != "" {
		s += "Adjusted: " + sentence(e.Done.Adjusted) + " "
	}
	if e.Done.Again {
		s += "The loop is gone through once more. "
	}
	return s + e.Text
}

// readings has a row for each finding of the last readings.
func (o *jobShowOptions) readings(all []*report.Result) *table.Table {
	t := &table.Table{Name: "readings", Title: "Last readings", Columns: []table.Column{
		{Name: "Reading"}, {Name: "Input"}, {Name: "Entry"}, {Name: "Finding"}, {Name: "Value", Align: table.Right}, {Name: "Unit"}, {Name: "Tolerance"}, {Name: "Out"},
	}}
	for _, r := range all {
		what := string(r.M.What)
		if r.M.Stage != "" {
			what += ", " + string(r.M.Stage)
		}
		if r.M.Invented {
			what += ", INVENTED"
		}
		var input, entry any
		if r.M.Input != "" {
			input = r.M.Input
		}
		if r.Entry != nil {
			entry = r.Entry.ID
		}
		for _, j := range r.Judged {
			if j.Min == nil && j.Max == nil && !o.JSON && !o.CSV {
				continue // people read what is held to a tolerance; job measure and the sheet have the rest
			}
			var value, unit, limit, out any = table.Rational(figure(j.Value, j.Decimals)), nil, nil, nil
			if j.Text != "" {
				value = j.Text
			}
			if j.Unit != "" {
				unit = j.Unit
			}
			if j.Min != nil || j.Max != nil {
				limit = limitWords(&job.Limit{Min: j.Min, Max: j.Max})
				if !j.Untold { // too few readings: neither
					out = j.Out
				}
			}
			t.Add(what, input, entry, j.Name, value, unit, limit, out)
		}
	}
	return t
}

// notes are those of the record that count.
func (o *jobShowOptions) notes(j *job.Job) *table.Table {
	t := &table.Table{Name: "job notes", Title: "Notes", Columns: []table.Column{{Name: "Entry"}, {Name: "When", Unit: "UTC"}, {Name: "By"}, {Name: "Note"}}}
	for _, e := range j.Counting() {
		if e.Kind != job.KindNote {
			continue
		}
		var by any
		if e.By != "" {
			by = e.By
		}
		text := e.Text
		if e.Corrects > 0 {
			text = fmt.Sprintf("takes entry %d out of account: %s", e.Corrects, text)
		}
		t.Add(e.ID, o.stamp(e.Time), by, text)
	}
	return t
}
