package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/job"
)

type jobNoteOptions struct {
	*Streams
	tableFlags
	jobFlags
	entryFlags

	Text string
}

// newJobNote returns the command that writes a note into the record.
func newJobNote(s *Streams) *cobra.Command {
	o := &jobNoteOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "note TEXT",
		Short: "Write a note into the record, or take an entry out of account",
		Long: `Write a note into the record.

With --corrects the note takes an entry out of account and says why: a step that
was not done after all, or readings that were wrong. The entry stays in the
record. What it had done is undone: a step that it was the record of is open.`,
		Example: `  backporch job note "all capacitors of the deflection board are new"
  backporch job note --corrects 12 "wrong input was selected"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return &usageError{fmt.Errorf("the note is %s; put it in quotes, so that it is one: \"%s\"", count(len(args), "word"), strings.Join(args, " ")), cmd.CommandPath()}
			}
			return exactly(1, "TEXT")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if o.Text = strings.TrimSpace(args[0]); o.Text == "" {
				return &usageError{fmt.Errorf("TEXT is empty; say what is to be noted"), cmd.CommandPath()}
			}
			if err := noEmpty(cmd); err != nil {
				return err
			}
			if err := o.entryFlags.check(cmd); err != nil {
				return err
			}
			return o.run(cmd.Context())
		},
	}
	cmd.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		if text := flagText(cmd, err.Error()); strings.HasPrefix(err.Error(), "unknown shorthand flag: ") {
			return &usageError{fmt.Errorf(`%s; a note that begins with - stands behind all flags and --, such as -- "-5 V is low"`, text), cmd.CommandPath()}
		}
		return flagError(cmd, err)
	})
	cmd.Flags().SortFlags = false
	o.entryFlags.add(cmd)
	o.jobFlags.add(cmd)
	o.tableFlags.add(cmd)
	return cmd
}

func (o *jobNoteOptions) run(ctx context.Context) error {
	if err := o.forms(); err != nil {
		return err
	}
	c, err := o.append(ctx, o.Streams, func(*jobWork) (job.Entry, error) {
		return job.Entry{Kind: job.KindNote, Text: o.Text, By: o.By, Corrects: o.Corrects}, nil
	})
	if err != nil {
		return err
	}
	return o.print(o.Streams, c.record(&o.tableFlags, "note: "+o.Text))
}
