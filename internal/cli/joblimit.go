package cli

import (
	"context"
	"fmt"
	"math"
	"strconv"

	"github.com/spf13/cobra"

	"backporch/internal/job"
	"backporch/internal/typo"
)

type jobLimitOptions struct {
	*Streams
	tableFlags
	jobFlags
	entryFlags

	Key      string
	Min, Max string
	Name     string
	Unit     string
	Source   string
	Note     string
}

// newJobLimit returns the command that gives a job a tolerance of its own.
func newJobLimit(s *Streams) *cobra.Command {
	o := &jobLimitOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "limit KEY",
		Short: "Set a tolerance of your own for this job",
		Long: `Set a tolerance of your own for this job, instead of that of its class. A bound
that is not given stays. A key that is not there yet needs --name, and is held to
in steps of your own. For every job of the workshop write it into its file: see
job workshop-file.`,
		Example: `  backporch job limit white-point --max 3 --source "agreed with the cinema"
  backporch job limit white-luminance --min 75 --max 85 --source "projection booth, dim"`,
		Args: exactly(1, "KEY"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Key = args[0]
			if err := noEmpty(cmd); err != nil {
				return err
			}
			if err := o.entryFlags.check(cmd); err != nil {
				return err
			}
			if o.Min == "" && o.Max == "" {
				return &usageError{fmt.Errorf("no bound is given; use --min, --max or both"), cmd.CommandPath()}
			}
			return o.run(cmd.Context())
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return job.LimitKeys(), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&o.Min, "min", "", "lower bound in the unit of the tolerance")
	f.StringVar(&o.Max, "max", "", "upper bound in the unit of the tolerance")
	f.StringVar(&o.Source, "source", "", "where the figure is from (this job's own)")
	f.StringVar(&o.Name, "name", "", "of a new tolerance, as the sheet prints it")
	f.StringVar(&o.Unit, "unit", "", "of a new tolerance")
	f.StringVar(&o.Note, "note", "", "a remark")
	o.entryFlags.add(cmd)
	o.jobFlags.add(cmd)
	o.tableFlags.add(cmd)
	return cmd
}

func (o *jobLimitOptions) run(ctx context.Context) error {
	if err := o.forms(); err != nil {
		return err
	}
	var now job.Limit
	c, err := o.append(ctx, o.Streams, func(w *jobWork) (e job.Entry, err error) {
		if now, err = o.limit(w.Plan); err != nil {
			return e, err
		}
		return job.Entry{Kind: job.KindLimit, Limit: &now, By: o.By, Corrects: o.Corrects, Text: o.Note}, nil
	})
	if err != nil {
		return err
	}
	return o.print(o.Streams, c.record(&o.tableFlags, "tolerance "+now.Key+": "+limitWords(&now)))
}

// limit is the tolerance after the flags: that of the plan, changed.
func (o *jobLimitOptions) limit(p *job.Plan) (l job.Limit, err error) {
	if old := p.Limit(o.Key); old != nil {
		l = *old
		if o.Name != "" || o.Unit != "" {
			return l, usagef("--name and --unit belong to a new tolerance; %s has a name and a unit: leave them out", o.Key)
		}
	} else {
		var keys []string
		for _, k := range p.Limits {
			keys = append(keys, k.Key)
		}
		if o.Name == "" {
			return l, usagef("there is no tolerance %q%s; `backporch job show --limits` lists them, and a new one needs --name", o.Key, typo.Suggest(o.Key, keys))
		}
		l = job.Limit{Key: o.Key, Name: o.Name, Unit: o.Unit}
	}
	l.Source = o.Source
	if l.Min, err = bound("--min", o.Min, l.Min); err != nil {
		return l, err
	}
	if l.Max, err = bound("--max", o.Max, l.Max); err != nil {
		return l, err
	}
	if l.Min != nil && l.Max != nil && *l.Min > *l.Max {
		return l, usagef("nothing lies between %g and %g; the lower bound of %s must not be above the upper one: give both", *l.Min, *l.Max, o.Key)
	}
	return l, nil
}

// bound reads a bound; "" leaves the old one.
func bound(flag, text string, old *float64) (*float64, error) {
	if text == "" {
		return old, nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return nil, usagef("%s: %q is no figure; write it as 2.5", flag, text)
	}
	return &v, nil
}

// limitWords says a tolerance in words: "at most 0.4 % of picture height".
func limitWords(l *job.Limit) string {
	var s string
	switch {
	case l.Min != nil && l.Max != nil && *l.Min == -*l.Max:
		s = fmt.Sprintf("within +-%g", *l.Max)
	case l.Min != nil && l.Max != nil:
		s = fmt.Sprintf("%g to %g", *l.Min, *l.Max)
	case l.Min != nil:
		s = fmt.Sprintf("at least %g", *l.Min)
	case l.Max != nil:
		s = fmt.Sprintf("at most %g", *l.Max)
	default:
		return "no bound"
	}
	if l.Unit != "" {
		s += " " + l.Unit
	}
	return s
}
