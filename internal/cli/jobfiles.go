package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"backporch/internal/job"
)

type jobStepOptions struct {
	*Streams
	tableFlags
	jobFlags
	entryFlags

	File string
	Note string
}

// newJobStep returns the command that adds a step of the user's own.
func newJobStep(s *Streams) *cobra.Command {
	o := &jobStepOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "step FILE.toml",
		Short: "Add a step of your own to this job",
		Long: `Add a step of your own to this job: what to do, after and before which steps, and
why. The file has one [[step]], and a [[limit]] for each tolerance of your own that
it is held to, written as in the workshop's own file; job workshop-file prints one
with comments to begin with. A step with the key of an earlier one of your own
takes its place.`,
		Example: "  backporch job step fan-noise.toml\n  backporch job step --job bench-b hum.toml --note \"asked for by the projectionist\"",
		Args:    exactly(1, "FILE.toml"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.File = args[0]
			if err := noEmpty(cmd); err != nil {
				return err
			}
			if err := o.entryFlags.check(cmd); err != nil {
				return err
			}
			return o.run(cmd.Context())
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return []string{"toml"}, cobra.ShellCompDirectiveFilterFileExt
		},
	}
	cmd.Flags().SortFlags = false
	cmd.Flags().StringVar(&o.Note, "note", "", "a remark")
	o.entryFlags.add(cmd)
	o.jobFlags.add(cmd)
	o.tableFlags.add(cmd)
	return cmd
}

func (o *jobStepOptions) run(ctx context.Context) error {
	if err := o.forms(); err != nil {
		return err
	}
	data, err := readSmall(o.File)
	if err != nil {
		return err
	}
	_, w, err := o.workshop(o.Streams)
	if err != nil {
		return err
	}
	f, err := job.ParseOwn(data, o.File, w)
	if err != nil {
		return err
	}
	if len(f.Steps) != 1 {
		return fmt.Errorf("%s has %s and one is added at a time; give each a file, or write them into the workshop's file for every job", o.File, count(len(f.Steps), "step"))
	}
	step := f.Steps[0]
	if err := checkPatterns(o.File, &step); err != nil {
		return err
	}
	var list []job.Entry
	for i := range f.Limits {
		list = append(list, job.Entry{Kind: job.KindLimit, Limit: &f.Limits[i], By: o.By})
	}
	list = append(list, job.Entry{Kind: job.KindStep, Step: &step, By: o.By, Corrects: o.Corrects, Text: o.Note})
	var c *jobChange
	for i := range list {
		c, err = o.append(ctx, o.Streams, func(w *jobWork) (job.Entry, error) {
			return list[i], w.tryOut(list[i:]...) // all of them, before the first
		})
		if err != nil {
			return err
		}
	}
	return o.print(o.Streams, c.record(&o.tableFlags, fmt.Sprintf("own step %s: %s", step.Key, step.Title)))
}

// newJobWorkshop returns the command that prints a workshop file to begin with.
func newJobWorkshop(s *Streams) *cobra.Command {
	return &cobra.Command{
		Use:   "workshop-file",
		Short: "Print a file for steps and tolerances of the workshop's own",
		Long: `Print a file, with comments, for steps and tolerances of the workshop's own. As
` + job.WorkshopFile + ` in the workshop folder it is part of the plan of every job there.`,
		Example: "  backporch job workshop-file > " + job.WorkshopFile,
		Args:    exactly(0, ""),
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprint(s.Out, job.Template())
			return err
		},
	}
}

// newJobSchema returns the command that documents the file of a job.
func newJobSchema(s *Streams) *cobra.Command {
	return &cobra.Command{
		Use:     "schema",
		Short:   "Say what stands in the file of a job, key by key",
		Long:    "Say what stands in the file of a job (" + job.Schema + "), key by key with units,\nfor programs that read it.",
		Example: "  backporch job schema",
		Args:    exactly(0, ""),
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprint(s.Out, job.SchemaText())
			return err
		},
	}
}
