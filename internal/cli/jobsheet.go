package cli

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"backporch/internal/job"
	"backporch/internal/job/report"
	"backporch/internal/output"
	"backporch/internal/table"
	"backporch/pattern"
)

type jobSheetOptions struct {
	*Streams
	tableFlags
	jobFlags

	Name      string // of the job, given as a word
	Output    string
	Force     bool
	Worksheet bool
	Due       string
	By        string
}

const jobSheetLong = `Write the sheet that goes with a set: what it is, what was done, what was read
before and after against which tolerances, what was not, which signal was used and
what its source really emits, cautions for whoever owns the set, and when to look at
it again. One HTML page that needs no other file and prints on A4 and Letter.

--worksheet writes the blank sheet for the bench instead: the steps with their
patterns and tolerances, and room for a pencil.

` + caution

// newJobSheet returns the command that writes sheets. Tests pass runF to see the
// parsed options without doing the work.
func newJobSheet(s *Streams, runF func(context.Context, *jobSheetOptions) error) *cobra.Command {
	o := &jobSheetOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "sheet [JOB]",
		Short: "Write the sheet that goes with the set, or a blank worksheet",
		Long:  jobSheetLong,
		Example: `  backporch job sheet bench-a
  backporch job sheet bench-a -o bench-a.html --due 6 --force
  backporch job sheet bench-b --worksheet
  backporch job sheet bench-a --json`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			if len(args) > 1 {
				return exactly(1, "")(cmd, args)
			}
			if len(args) == 1 {
				o.Name = args[0]
			}
			if o.Worksheet && cmd.Flags().Changed("due") {
				return usagef("--due belongs to the sheet, and --worksheet is blank; leave one of them out")
			}
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
	}
	cmd.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return o.names(), cobra.ShellCompDirectiveNoFileComp
	}
	f := cmd.Flags()
	f.SortFlags = false
	o.jobFlags.add(cmd)
	f.StringVarP(&o.Output, "output", "o", "", "file to write; - for standard output (JOB-sheet.html, or JOB-worksheet.html)")
	f.BoolVar(&o.Force, "force", false, "overwrite an existing file")
	f.BoolVar(&o.Worksheet, "worksheet", false, "a blank sheet for the pencil instead")
	f.StringVar(&o.Due, "due", "12", "when to look at the set again: months after the last reading, 1 to 120, or a date such as 2030-01-31")
	o.tableFlags.add(cmd)
	f.Lookup("json").Usage = "print the facts of the sheet as JSON, and write no page"
	f.Lookup("csv").Usage = "print its readings as CSV, and write no page"
	return cmd
}

// agree refuses what does not belong together.
func (o *jobSheetOptions) agree() error {
	data := o.JSON || o.CSV
	switch {
	case o.JSON && o.CSV:
		return usagef("--json and --csv both say how to print; give one of them")
	case data && o.Worksheet:
		return usagef("--worksheet is a page to print; leave --json and --csv out")
	case data && o.Output != "":
		return usagef("--json and --csv print the facts on standard output and write no page; leave -o out")
	}
	return nil
}

func (o *jobSheetOptions) run(ctx context.Context) error {
	if err := o.agree(); err != nil {
		return err
	}
	w, err := o.open(o.Streams, o.Name)
	if err != nil {
		return err
	}
	path := o.Output
	if path == "" {
		path = w.Name + "-sheet.html"
		if o.Worksheet {
			path = w.Name + "-worksheet.html"
		}
	}
	now := o.clock()
	next, err := due(o.Due, w.Job, now)
	if err != nil {
		return err
	}
	data := o.JSON || o.CSV
	if !data && path != output.Stdout {
		if err := output.Check(path, o.Force); err != nil {
			return err
		}
	}
	g, err := w.given()
	if err != nil {
		return err
	}
	var write func(io.Writer) error
	what := "the sheet"
	if o.Worksheet {
		s := &report.Worksheet{Name: w.Name, Given: g, Cautions: job.AllCautions(), Program: program(), Now: now}
		write, what = s.Write, "a blank worksheet"
	} else {
		s := &report.Sheet{Job: w.Job, Given: g, States: w.States, Cautions: job.AllCautions(), Program: program(), Now: now, Due: next}
		if s.Signal, err = signalOf(w.Set()); err != nil {
			return err
		}
		if data {
			return o.print(o.Streams, s.Record())
		}
		write = s.Write
	}
	err = output.File(ctx, path, o.Force, o.Out, func(w io.Writer) error {
		b := bufio.NewWriter(w)
		if err := write(b); err != nil {
			return err
		}
		return b.Flush()
	})
	if err != nil {
		return err
	}
	if path != output.Stdout {
		fmt.Fprintf(o.Err, "%s: %s of job %s\n", path, what, w.Name)
	}
	return nil
}

// due reads --due: months after the last reading that counts, or a day.
func due(text string, j *job.Job, now time.Time) (time.Time, error) {
	last := now
	for _, e := range slices.Backward(j.Counting()) {
		if e.Kind == job.KindMeasure {
			last = e.Time
			break
		}
	}
	if day, err := time.ParseInLocation(time.DateOnly, text, time.UTC); err == nil {
		if day.Before(last.Truncate(24 * time.Hour)) {
			return day, usagef("--due: %s is before the last entry, of %s; name a later day", text, last.Format(time.DateOnly))
		}
		return day, nil
	}
	months, err := strconv.Atoi(strings.TrimSpace(strings.TrimSuffix(text, "months")))
	if err != nil || months < 1 || months > 120 {
		return last, usagef("--due: %q is neither 1 to 120 months nor a day such as 2030-01-31", text)
	}
	return last.AddDate(0, months, 0), nil
}

// honestPattern is what the sheet tells the levels of a source by.
const honestPattern = "bars-full"

// signalOf is what played the patterns of a set, and what it really emits.
func signalOf(set *job.Set) (s report.Signal, err error) {
	switch set.Setup {
	case "0", "7.5":
		s.Setup = set.Setup + " IRE on the wire"
	default:
		s.Setup = "as the player makes it"
	}
	if set.Player != "" {
		s.Setup += ", of which the player adds " + set.Player + " IRE"
	}
	if set.Device == "" {
		s.Notes = []string{"What played the patterns is not recorded: its levels are not known."}
		return s, nil
	}
	p, err := pattern.Parse(honestPattern)
	if err != nil {
		return s, err
	}
	v, err := setPicture(set).resolve(p)
	if err != nil {
		s.Device = set.Device
		s.Notes = []string{sentence("What it really emits is not known: " + err.Error())}
		return s, nil
	}
	s.Device = v.Device.Title
	layout, err := v.layout(p, honestPattern, nil)
	if err != nil {
		return s, err
	}
	var tables []*table.Table
	if tables, s.Notes, err = honestyTables(layout, honestPattern); err != nil {
		s.Notes = []string{sentence("What it really emits is not known: " + err.Error())}
		return s, nil
	}
	s.Tables = tables
	return s, nil
}
