package cli

import (
	"context"
	"fmt"
	"reflect"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/internal/job"
	"backporch/internal/table"
)

type jobSetOptions struct {
	*Streams
	tableFlags
	jobFlags
	setFlags

	By   string
	Note string

	cmd *cobra.Command
}

// newJobSet returns the command that corrects the description of a set.
func newJobSet(s *Streams) *cobra.Command {
	o := &jobSetOptions{Streams: s}
	o.cmd = &cobra.Command{
		Use:   "set",
		Short: "Correct the description of the set",
		Long: `Correct the description of the set. Only what is given changes; the description
before it stays in the record. Steps that the set has need of now are new, those
that it has not are no longer in the plan.`,
		Example: `  backporch job set --inputs composite,yc,rgb
  backporch job set --job bench-b --live-chassis=false --note "mains transformer, by its service data"
  backporch job set --device pixel-320 --raster pixel-320`,
		Args: exactly(0, ""),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			return o.run(cmd.Context())
		},
	}
	f := o.cmd.Flags()
	f.SortFlags = false
	o.setFlags.add(o.cmd)
	f.VisitAll(func(l *pflag.Flag) { // here the defaults are what the job has
		if i := strings.LastIndex(l.Usage, " ("); i > 0 && strings.HasSuffix(l.Usage, ")") {
			l.Usage = l.Usage[:i]
		}
	})
	f.Lookup("live-chassis").DefValue = "false" // is not printed
	f.StringVar(&o.By, "by", "", "who says so")
	f.StringVar(&o.Note, "note", "", "a remark, such as the reason")
	o.jobFlags.add(o.cmd)
	o.tableFlags.add(o.cmd)
	return o.cmd
}

func (o *jobSetOptions) run(ctx context.Context) error {
	if err := o.forms(); err != nil {
		return err
	}
	var before, now job.Set
	c, err := o.append(ctx, o.Streams, func(w *jobWork) (e job.Entry, err error) {
		before = *w.Set()
		if now, err = o.apply(o.cmd, before); err != nil {
			return e, o.setupStays(before, err)
		}
		if reflect.DeepEqual(before, now) {
			return e, &usageError{fmt.Errorf("nothing would change; give what is different, such as --inputs composite,rgb"), o.cmd.CommandPath()}
		}
		return job.Entry{Kind: job.KindSet, Set: &now, By: o.By, Text: o.Note, Corrects: setEntry(w.Job)}, nil
	})
	if err != nil {
		return err
	}
	rec := c.record(&o.tableFlags, "description of the set", setChanges(&before, &now))
	if note := phosphorNote(o.cmd, &before, &now); note != "" {
		rec.Notes = append([]string{note}, rec.Notes...)
	}
	if note := brightNote(&now, c.Workshop); note != "" && now.Luminance != before.Luminance {
		rec.Notes = append([]string{note}, rec.Notes...)
	}
	return o.print(o.Streams, rec)
}

// setupStays says of a change that goes wrong only because of the setup that the
// set has from before what has to be said with it.
func (o *jobSetOptions) setupStays(before job.Set, err error) error {
	old := before.Setup
	if before.Setup = "as-player"; old == before.Setup || o.cmd.Flags().Changed("setup") {
		return err
	}
	if _, other := o.apply(o.cmd, before); other != nil {
		return err
	}
	return usagef("the set is switched to setup %s by its description, and that does not go with this: say --setup as-player, too", old)
}

// phosphorNote tells of phosphors that were taken by the lines of a raster which
// the set no longer has: they may have been meant, so they stay.
func phosphorNote(cmd *cobra.Command, before, now *job.Set) string {
	if cmd.Flags().Changed("primaries") || before.Primaries != now.Primaries {
		return ""
	}
	old, _, err := setRaster(before)
	if err != nil {
		return ""
	}
	r, _, err := setRaster(now)
	if err != nil {
		return ""
	}
	was, is := usualPrimaries(old.Scan.System), usualPrimaries(r.Scan.System)
	if was == is || now.Primaries != was {
		return ""
	}
	return fmt.Sprintf("Primaries stay %s, which are usual with the lines of %s; with those of %s %s are: `backporch job set --primaries %s` if the tube has them.", was, before.Raster, now.Raster, is, is)
}

// setEntry is the number of the entry whose description counts.
func setEntry(j *job.Job) (id int) {
	for _, e := range j.Counting() {
		if e.Kind == job.KindSet {
			id = e.ID
		}
	}
	return id
}

// setChanges are the facts that differ between two descriptions.
func setChanges(a, b *job.Set) *table.Table {
	t := &table.Table{Name: "changes", Title: "Changed", Columns: []table.Column{{Name: "Fact"}, {Name: "Before"}, {Name: "Now"}}}
	before, now := setFields(a), setFields(b)
	for i := range before {
		if x, y := fieldText(before[i]), fieldText(now[i]); x != y {
			t.Add(before[i].Name, x, y)
		}
	}
	return t
}
