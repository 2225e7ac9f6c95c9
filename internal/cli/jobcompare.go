package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/job"
	"backporch/internal/job/report"
	"backporch/internal/output"
	"backporch/internal/typo"
)

type jobCompareOptions struct {
	*Streams
	tableFlags
	jobFlags

	Sides  []string
	Device string
	Output string
	Force  bool
}

const jobCompareLong = `Say what differs between two sets, or between two states of one, beyond what the
readings can tell; what differs but lies within their noise; and what cannot be
compared, since it was read on one side only.

A and B are jobs of the workshop folder: bench-a. With :before or :after they are the
readings of that stage: bench-a:before. Without, it is the state after the work, or
the last reading there is.

Which of the differences the source at hand cannot show is said, too: detail beyond
its clock, gray steps and phase finer than its palette. It is the device of the jobs,
or that of --device.

` + caution

// newJobCompare returns the command that compares two jobs. Tests pass runF to
// see the parsed options without doing the work.
func newJobCompare(s *Streams, runF func(context.Context, *jobCompareOptions) error) *cobra.Command {
	o := &jobCompareOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "compare A B",
		Short: "Compare two sets, or two states of one",
		Long:  jobCompareLong,
		Example: `  backporch job compare bench-a bench-b
  backporch job compare bench-a:before bench-a:after -o bench-a-change.html
  backporch job compare bench-a bench-b --device pixel-320 --json`,
		Args: exactly(2, "one of the two jobs, such as bench-a and bench-b,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			o.Sides = args
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
	}
	cmd.ValidArgsFunction = func(_ *cobra.Command, args []string, _ string) (list []string, _ cobra.ShellCompDirective) {
		if len(args) < 2 {
			for _, n := range o.names() {
				list = append(list, n, n+":before", n+":after")
			}
		}
		return list, cobra.ShellCompDirectiveNoFileComp
	}
	f := cmd.Flags()
	f.SortFlags = false
	o.addBench(cmd)
	f.StringVar(&o.Device, "device", "", "the source at hand: a NAME that list devices has, or a profile of your own, FILE.toml (that of the jobs)")
	f.StringVarP(&o.Output, "output", "o", "", "write a page with plots of both, FILE.html, besides what is printed; - for the page alone, on standard output")
	f.BoolVar(&o.Force, "force", false, "overwrite an existing file")
	o.tableFlags.add(cmd)
	completeDevice(cmd)
	return cmd
}

func (o *jobCompareOptions) run(ctx context.Context) error {
	if o.JSON && o.CSV {
		return usagef("--json and --csv both say how to print; give one of them")
	}
	if o.Output == output.Stdout && (o.JSON || o.CSV) {
		return usagef("-o - writes the page to standard output, where --json and --csv print, too; name a file, or leave one of them out")
	}
	if o.Output != "" && o.Output != output.Stdout {
		if err := output.Check(o.Output, o.Force); err != nil {
			return err
		}
	}
	var sides [2]*report.Side
	var works [2]*jobWork
	for i, text := range o.Sides {
		var err error
		if sides[i], works[i], err = o.side(text); err != nil {
			return err
		}
	}
	if sides[0].Job.Name == sides[1].Job.Name && sides[0].Stage == sides[1].Stage {
		return usagef("%s and %s are the same readings; compare two stages, as %s:before %s:after, or name two jobs", o.Sides[0], o.Sides[1], sides[0].Job.Name, sides[0].Job.Name)
	}
	opt := report.CompareOptions{Cautions: job.AllCautions(), Program: program(), Now: o.clock()}
	var err error
	if opt.Blind, err = o.blind(works); err != nil {
		return err
	}
	c, err := report.Compare(sides[0], sides[1], opt)
	if err != nil {
		return err
	}
	if o.Output != "" {
		err := output.File(ctx, o.Output, o.Force, o.Out, func(w io.Writer) error {
			b := bufio.NewWriter(w)
			if err := c.Page(b); err != nil {
				return err
			}
			return b.Flush()
		})
		if err != nil {
			return err
		}
		if o.Output == output.Stdout {
			return nil
		}
		fmt.Fprintf(o.Err, "%s: the comparison as a page\n", o.Output)
	}
	if o.JSON || o.CSV {
		return o.print(o.Streams, c.Record())
	}
	text := c.Text()
	text.Notes = append(text.Notes, strings.ReplaceAll(caution, "\n", " "))
	return o.print(o.Streams, text)
}

// side reads a job, or one of its stages: bench-a, bench-a:before.
func (o *jobCompareOptions) side(text string) (*report.Side, *jobWork, error) {
	name, stage, ok := strings.Cut(text, ":")
	if name == "" {
		return nil, nil, usagef("%q names no job; write it as bench-a, or with its stage as bench-a:before", text)
	}
	s := &report.Side{Name: text, Stage: job.Stage(stage)}
	if ok && s.Stage != job.Before && s.Stage != job.After {
		return nil, nil, usagef("%s: %q is no stage%s; use %s:before or %s:after", text, stage, typo.Suggest(stage, stageNames()), name, name)
	}
	w, err := o.open(o.Streams, name)
	if err != nil {
		return nil, nil, err
	}
	s.Job = w.Job
	s.Given, err = w.given()
	return s, w, err
}

// blind is what the source at hand cannot show: the device of the flag, or
// those of the jobs.
func (o *jobCompareOptions) blind(works [2]*jobWork) (list []report.Blind, err error) {
	seen := map[string]bool{}
	for _, w := range works {
		set := *w.Set()
		if o.Device != "" {
			set.Device = o.Device
		}
		if set.Device == "" || seen[set.Device] {
			continue
		}
		seen[set.Device] = true
		b, err := blindOf(&set)
		var usage *usageError
		switch {
		case err != nil && o.Device != "" && errors.As(err, &usage):
			return nil, usagef("--device: %w", err)
		case err != nil:
			return nil, err
		}
		list = append(list, b...)
	}
	return list, nil
}
