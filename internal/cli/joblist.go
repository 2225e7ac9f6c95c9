package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"backporch/internal/job"
	"backporch/internal/table"
)

type jobListOptions struct {
	*Streams
	tableFlags
	jobFlags
}

// newJobList returns the command that lists jobs.
func newJobList(s *Streams) *cobra.Command {
	o := &jobListOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List the jobs of a workshop folder",
		Long: `List the jobs of a workshop folder: how far each is, and what is next.

A job that is damaged is told on standard error with the way to bring it back; the
others are listed all the same, and the exit code is 1.`,
		Example: "  backporch job list\n  backporch job list --bench /srv/bench --json",
		Args:    exactly(0, ""),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			return o.run(cmd.Context())
		},
	}
	o.addBench(cmd)
	o.tableFlags.add(cmd)
	return cmd
}

func (o *jobListOptions) run(context.Context) error {
	b, w, err := o.workshop(o.Streams)
	if err != nil {
		return err
	}
	jobs, broken, err := b.List()
	if err != nil {
		return err
	}
	t := &table.Table{Name: "jobs", Columns: []table.Column{
		{Name: "Job"}, {Name: "Set"}, {Name: "Done"}, {Name: "Steps"}, {Name: "Next"}, {Name: "Entries"}, {Name: "Last entry", Unit: "UTC"},
	}}
	for _, j := range jobs {
		at := &jobWork{Job: j, Bench: b, Workshop: w}
		if err := at.stand(); err != nil {
			broken = append(broken, err)
			continue
		}
		var next any
		if n := job.Next(at.States); n != nil {
			next = n.Key
		}
		t.Add(j.Name, j.Set().Label, at.done(), len(at.States), next, len(j.Entries), o.stamp(j.Entries[len(j.Entries)-1].Time))
	}
	if t.Len() == 0 && len(broken) == 0 && !o.JSON && !o.CSV {
		fmt.Fprintf(o.Out, "There is no job in %s; `backporch job new NAME` begins one.\n", b.Dir)
		return nil
	}
	if t.Len() > 0 || o.JSON || o.CSV {
		if err := o.print(o.Streams, t); err != nil {
			return err
		}
	}
	for _, err := range broken {
		fmt.Fprintf(o.Err, "warning: %v\n", err)
	}
	if len(broken) > 0 {
		return fmt.Errorf("%s of %s cannot be listed; what to do stands above", count(len(broken), "job"), b.Dir)
	}
	return nil
}
