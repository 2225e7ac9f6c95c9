package cli

import (
	"context"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"backporch/internal/job"
	"backporch/pattern"
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
why. The file has one [[step]], written as in the workshop's own file; job
workshop-file prints one with comments to begin with. A step with the key of an
earlier one of your own takes its place.`,
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
	if err := readable(o.File); err != nil {
		return err
	}
	data, err := os.ReadFile(o.File)
	if err != nil {
		return err
	}
	f, err := job.ParseWorkshop(data, o.File)
	if err != nil {
		return err
	}
	switch {
	case len(f.Limits) > 0:
		return fmt.Errorf("%s has a [[limit]]; a tolerance of this job is set with `backporch job limit`, one of every job stands in the workshop's file", o.File)
	case len(f.Steps) != 1:
		return fmt.Errorf("%s has %s and one is added at a time; give each a file, or write them into the workshop's file for every job", o.File, count(len(f.Steps), "step"))
	}
	step := f.Steps[0]
	for _, spec := range stepPatterns(&step) {
		if _, err := pattern.Parse(spec); err != nil {
			return fmt.Errorf("%s, step %s: %w", o.File, step.Key, err)
		}
	}
	c, err := o.append(ctx, o.Streams, func(*jobWork) (job.Entry, error) {
		return job.Entry{Kind: job.KindStep, Step: &step, By: o.By, Corrects: o.Corrects, Text: o.Note}, nil
	})
	if err != nil {
		return err
	}
	return o.print(o.Streams, c.record(&o.tableFlags, fmt.Sprintf("own step %s: %s", step.Key, step.Title)))
}
