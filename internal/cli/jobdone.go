package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/job"
)

type jobDoneOptions struct {
	*Streams
	tableFlags
	jobFlags
	entryFlags

	Step     string
	Adjusted string
	Outcome  string
	Note     string
	Again    bool
	Anyway   bool
}

// entryFlags are those of every command that adds an entry.
type entryFlags struct {
	By       string
	Corrects int
}

func (e *entryFlags) add(cmd *cobra.Command) {
	cmd.Flags().StringVar(&e.By, "by", "", "who worked")
	cmd.Flags().IntVar(&e.Corrects, "corrects", 0, "number of the entry that this one replaces; it stays in the record and no longer counts")
}

// check refuses numbers that no entry has.
func (e *entryFlags) check(cmd *cobra.Command) error {
	if cmd.Flags().Changed("corrects") && e.Corrects < 1 {
		return usagef("--corrects: %d is no number of an entry; `backporch job show --entries` has them", e.Corrects)
	}
	return nil
}

// newJobDone returns the command that records a step as done. Tests pass runF to
// see the parsed options without doing the work.
func newJobDone(s *Streams, runF func(context.Context, *jobDoneOptions) error) *cobra.Command {
	o := &jobDoneOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "done STEP",
		Short: "Record that a step is done, and say what it opens again and what is next",
		Long: `Record that a step is done, what was adjusted and how it ended.

A step that is done again opens those that rest on it; they are named with the
reason. A step that waits for others is refused with what is open; --anyway
records it all the same.

Outcomes: ok is done, within tolerance; out is as good as it goes and out of
tolerance; cannot is that the set has no such control, or that it does not work;
not-done is left out on purpose. The sheet tells them apart.`,
		Example: `  backporch job done purity --adjusted "purity rings a little"
  backporch job done chroma@video-1 --outcome cannot --note "Bench B has no phase control"
  backporch job done balance --again`,
		Args: exactly(1, "STEP"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Step = args[0]
			if err := noEmpty(cmd); err != nil {
				return err
			}
			if err := o.entryFlags.check(cmd); err != nil {
				return err
			}
			if !slices.Contains(job.Outcomes(), o.Outcome) {
				return noSuch("--outcome", o.Outcome, job.Outcomes())
			}
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
		ValidArgsFunction: o.completeStep,
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&o.Adjusted, "adjusted", "", "what was moved, in words")
	f.StringVar(&o.Outcome, "outcome", string(job.OutcomeOK), "how it ended: "+strings.Join(job.Outcomes(), ", "))
	f.StringVar(&o.Note, "note", "", "a remark")
	f.BoolVar(&o.Again, "again", false, "go once more through the loop that this step ends: it did not come out yet")
	f.BoolVar(&o.Anyway, "anyway", false, "record it though it waits for other steps")
	o.entryFlags.add(cmd)
	o.jobFlags.add(cmd)
	o.tableFlags.add(cmd)
	complete(cmd, "outcome", job.Outcomes())
	return cmd
}

func (o *jobDoneOptions) run(ctx context.Context) error {
	if err := o.forms(); err != nil {
		return err
	}
	var title string
	c, err := o.append(ctx, o.Streams, func(w *jobWork) (job.Entry, error) {
		s, err := w.state(o.Step)
		if err != nil {
			return job.Entry{}, err
		}
		title = s.Title
		return job.Entry{
			Kind: job.KindDone, By: o.By, Corrects: o.Corrects, Text: o.Note,
			Done: &job.Done{Step: s.Key, Adjusted: o.Adjusted, Outcome: job.Outcome(o.Outcome), Again: o.Again},
		}, o.may(w, s)
	})
	if err != nil {
		return err
	}
	return o.print(o.Streams, c.record(&o.tableFlags, title+": "+outcomeWords(job.Outcome(o.Outcome))))
}

// may says why a step cannot be recorded, or nil.
func (o *jobDoneOptions) may(w *jobWork, s *job.StepState) error {
	if o.Again && len(s.Step.Again) == 0 {
		var ends []string
		for _, other := range w.States {
			if len(other.Step.Again) > 0 {
				ends = append(ends, other.Key)
			}
		}
		return usagef("--again: step %s ends no loop; these do: %s", s.Key, orNone(ends))
	}
	if o.Corrects > 0 {
		for _, e := range w.Entries {
			if e.ID == o.Corrects && e.Done != nil && e.Done.Step != s.Key {
				return usagef("entry %d records step %s, not %s; `backporch job note --corrects %d TEXT` takes it out of account", e.ID, e.Done.Step, s.Key, e.ID)
			}
		}
		return nil // the set is not touched by it
	}
	if len(s.Waits) > 0 && !o.Anyway {
		return usagef("step %s waits for %s (`backporch job next%s --step %s` has the reasons); do that first, or record it all the same with --anyway", s.Key, strings.Join(s.Waits, ", "), w.flag(), s.Key)
	}
	return nil
}

// outcomeWords says an outcome in words.
func outcomeWords(o job.Outcome) string {
	switch o {
	case job.OutcomeOut:
		return "done as well as it goes, out of tolerance"
	case job.OutcomeCannot:
		return "cannot be done on this set"
	case job.OutcomeSkip:
		return "left out on purpose"
	}
	return "done"
}

// completeStep offers the keys of the job's steps, those that can be done first.
func (o *jobDoneOptions) completeStep(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return o.stepKeys(o.Streams), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
}

// stepKeys lists the keys of the job's steps, with their titles for the shell;
// none where the job cannot be read.
func (j *jobFlags) stepKeys(s *Streams) (keys []string) {
	w, err := j.open(s, "")
	if err != nil {
		return nil
	}
	var later []string
	for _, st := range w.States {
		text := fmt.Sprintf("%s\t%s", st.Key, st.Title)
		if st.Status != job.Finished && len(st.Waits) == 0 {
			keys = append(keys, text)
		} else {
			later = append(later, text)
		}
	}
	return append(keys, later...)
}
