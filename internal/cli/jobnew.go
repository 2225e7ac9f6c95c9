package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/job"
	"backporch/internal/table"
)

type jobNewOptions struct {
	*Streams
	tableFlags
	jobFlags
	setFlags

	Name string
	By   string

	cmd *cobra.Command
}

// newJobNew returns the command that begins a job. Tests pass runF to see the
// parsed options without doing the work.
func newJobNew(s *Streams, runF func(context.Context, *jobNewOptions) error) *cobra.Command {
	o := &jobNewOptions{Streams: s}
	o.cmd = &cobra.Command{
		Use:   "new [NAME]",
		Short: "Begin the job of a set",
		Long: `Begin the job of a set: its label, tube, guns, size, inputs, the raster and the
device of the work, target white and class of tolerance. From these follow the
steps of the work, their patterns and their tolerances.

NAME names the file, NAME.json in the workshop folder; without it the label does.
What is not said is taken as usual, told, and corrected with job set.

` + caution,
		Example: `  backporch job new bench-a --label "Bench A" --tube shadow-mask --size 20in --inputs composite,yc --device pixel-320
  backporch job new --label "Bench B" --tube aperture-grille --inputs video-1=composite,rgb --raster 576i --white D65 --class grade-1`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return exactly(1, "")(cmd, args)
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			if len(args) > 0 {
				o.Name = args[0]
			}
			if o.Name == "" && strings.TrimSpace(o.Label) == "" {
				return &usageError{fmt.Errorf("NAME is missing; give it, or --label, as in --label \"Bench A\""), cmd.CommandPath()}
			}
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
	}
	f := o.cmd.Flags()
	f.SortFlags = false
	o.setFlags.add(o.cmd)
	f.StringVar(&o.By, "by", "", "who works")
	o.addBench(o.cmd)
	o.tableFlags.add(o.cmd)
	return o.cmd
}

func (o *jobNewOptions) run(ctx context.Context) error {
	if err := o.forms(); err != nil {
		return err
	}
	set := usualSet()
	set.Label = o.Name
	set, err := o.apply(o.cmd, set)
	if err != nil {
		return err
	}
	if o.Name == "" {
		if o.Name = job.NameOf(set.Label); o.Name == "" {
			return usagef("--label %q has no letter or digit that a file's name can have; name the job too, as in `backporch job new bench-a --label ...`", set.Label)
		}
	}
	if err := job.CheckName(o.Name); err != nil {
		return &usageError{err: err}
	}
	b, workshop, err := o.workshop(o.Streams)
	if err != nil {
		return err
	}
	w := &jobWork{Bench: b, Workshop: workshop}
	if _, err := job.NewPlan(&set, w.Workshop, nil); err != nil {
		return err
	}
	w.Job, err = b.Create(ctx, o.Name, job.Entry{Kind: job.KindSet, Set: &set, By: o.By, Program: program()})
	if err != nil {
		return o.missing(b, o.Name, err)
	}
	o.warn(w.Job)
	if err := w.stand(); err != nil {
		return err
	}
	return o.print(o.Streams, o.record(w))
}

// record says what was made, what of it nobody said, and what comes next.
func (o *jobNewOptions) record(w *jobWork) *table.Record {
	rec := &table.Record{Name: "job-new", Fields: []table.Field{{Name: "Job", Value: w.Name}, {Name: "File", Value: w.Path}}}
	rec.Fields = append(rec.Fields, setFields(w.Set())...)
	rec.Fields = append(rec.Fields, table.Field{Name: "Steps", Value: len(w.States)}, table.Field{Name: "Taken as usual", Value: o.usual()})
	if note := brightNote(w.Set(), w.Workshop); note != "" {
		rec.Notes = append(rec.Notes, note)
	}
	rec.Notes = append(rec.Notes, "`backporch job set` corrects what is not so.", strings.ReplaceAll(caution, "\n", " "), w.nextLine())
	return rec
}

// usual names what was not said and makes a difference to the work.
func (o *jobNewOptions) usual() (names []string) {
	for _, name := range []string{"guns", "size", "aspect", "inputs", "raster", "device", "setup", "white", "primaries", "class", "live-chassis"} {
		switch {
		case o.cmd.Flags().Changed(name), name == "raster" && o.Device != "":
		default:
			names = append(names, name)
		}
	}
	return names
}
