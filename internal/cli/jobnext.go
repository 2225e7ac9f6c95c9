package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/format"
	"backporch/internal/job"
	"backporch/internal/table"
)

type jobNextOptions struct {
	*Streams
	tableFlags
	jobFlags

	Word   string
	Step   string
	All    bool
	Render bool
	Number int // of the step's pictures, from 1; 0: all
	Format string
	Output string
	Force  bool
}

// newJobNext returns the command that says what comes next. Tests pass runF to
// see the parsed options without doing the work.
func newJobNext(s *Streams, runF func(context.Context, *jobNextOptions) error) *cobra.Command {
	o := &jobNextOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "next [JOB]",
		Short: "Say what to do next: cautions, pattern, what to look for, tolerance, adjustment",
		Long: `Say what to do next on a set: what can hurt where the hands go, what to do, which
pattern to show and the command that makes it, what to look for, the reading with
its tolerance, and which kind of control to turn.

--step shows any step, --all lists them. --render writes the pictures of the step
for the device of the job, on its raster and with its setup; names of files have
the step and the pattern in them.

` + caution,
		Example: `  backporch job next
  backporch job next bench-b --step purity
  backporch job next --render -o pictures`,
		Args: oneJob,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			if len(args) > 0 {
				o.Word = args[0]
			}
			if err := o.check(cmd); err != nil {
				return err
			}
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
		ValidArgsFunction: o.completeJob,
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&o.Step, "step", "", "this step, whether it is next or not")
	f.BoolVar(&o.All, "all", false, "all steps in order, with where they stand")
	f.BoolVar(&o.Render, "render", false, "write the pictures of the step for the job's device")
	f.IntVar(&o.Number, "picture", 0, "with --render: only this one of the step's pictures, from 1 (all)")
	f.StringVar(&o.Format, "format", "", "with --render: file format: "+strings.Join(format.Names(), ", ")+" (what the device plays; png)")
	f.StringVarP(&o.Output, "output", "o", "", "with --render: the file of one picture, or an existing folder (the current one)")
	f.BoolVar(&o.Force, "force", false, "with --render: overwrite existing files")
	o.jobFlags.add(cmd)
	o.tableFlags.add(cmd)
	complete(cmd, "format", format.Names())
	completeBy(cmd, "step", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return o.stepKeys(o.Streams), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
	})
	return cmd
}

// check refuses flags that do not go together.
func (o *jobNextOptions) check(cmd *cobra.Command) error {
	switch {
	case o.All && o.Step != "":
		return usagef("--all lists every step and --step names one; give one of them")
	case o.All && o.Render:
		return usagef("--render writes the pictures of one step; `backporch kit` writes a folder with all of them")
	case o.Render && (o.JSON || o.CSV):
		return usagef("--render writes pictures and --json and --csv print the step; give one of them")
	case cmd.Flags().Changed("picture") && o.Number < 1:
		return usagef("--picture: %d is no picture of a step; they count from 1", o.Number)
	}
	if !o.Render {
		for _, name := range []string{"picture", "format", "output", "force"} {
			if cmd.Flags().Changed(name) {
				return usagef("--%s belongs to --render; add that, or leave it out", name)
			}
		}
	}
	return nil
}

func (o *jobNextOptions) run(ctx context.Context) error {
	w, err := o.open(o.Streams, o.Word)
	if err != nil {
		return err
	}
	switch {
	case o.All && (o.JSON || o.CSV):
		return o.print(o.Streams, allSteps(w))
	case o.All:
		return o.print(o.Streams, fewSteps(w))
	}
	s := job.Next(w.States)
	if o.Step != "" {
		if s, err = w.state(o.Step); err != nil {
			return err
		}
	}
	if s == nil {
		return o.print(o.Streams, &table.Record{Name: "job-step", Fields: []table.Field{
			{Name: "Job", Value: w.Name}, {Name: "Set", Value: w.Set().Label}, {Name: "Step", Value: nil},
		}, Notes: []string{w.nextLine()}})
	}
	if o.Render {
		return o.render(ctx, w, s)
	}
	if err := o.print(o.Streams, o.record(w, s)); err != nil || o.JSON || o.CSV {
		return err
	}
	_, err = fmt.Fprint(o.Out, o.paste(w, s))
	return err
}

// fewSteps lists the steps in order for people: each with the first of its
// patterns, and how many more it has.
func fewSteps(w *jobWork) *table.Table {
	t := &table.Table{Name: "job steps", Columns: []table.Column{{Name: "Number"}, {Name: "Step"}, {Name: "State"}, {Name: "What"}, {Name: "Pattern"}},
		Notes: []string{"`backporch job next" + w.flag() + " --step STEP` tells more of any."}}
	for i, s := range w.States {
		var show any
		if list := stepPatterns(&s.Step); len(list) > 0 {
			text := list[0]
			if n := len(list) - 1; n > 0 {
				text += fmt.Sprintf(" (+%d)", n)
			}
			show = text
		}
		t.Add(i+1, s.Key, string(s.Status), s.Title, show)
	}
	return t
}

// allSteps lists the steps in order for programs.
func allSteps(w *jobWork) *table.Table {
	t := &table.Table{Name: "job steps", Columns: []table.Column{
		{Name: "Number"}, {Name: "Step"}, {Name: "State"}, {Name: "What"}, {Name: "Input"}, {Name: "Pattern"},
	}, Notes: []string{"`backporch job next" + w.flag() + " --step STEP` tells more of any."}}
	for i, s := range w.States {
		var input any
		if s.Input != "" {
			input = s.Input
		}
		t.Add(i+1, s.Key, string(s.Status), s.Title, input, stepPatterns(&s.Step))
	}
	return t
}

// stepPatterns are the spellings that a step shows.
func stepPatterns(s *job.Step) (specs []string) {
	if s.Pattern != "" {
		specs = append(specs, s.Pattern)
	}
	return append(specs, s.More...)
}

// place says where a step stands among the others, from 1.
func (w *jobWork) place(key string) (n int) {
	for i, s := range w.States {
		if s.Key == key {
			return i + 1
		}
	}
	return 0
}

// stateWords says where a step stands.
func stateWords(s *job.StepState) string {
	switch s.Status {
	case job.Finished:
		return fmt.Sprintf("done, entry %d. %s", s.Done.ID, s.Why)
	case job.Waiting:
		return "waiting. " + s.Why
	case job.Reopened:
		return "open again. " + s.Why
	}
	return string(s.Status)
}
