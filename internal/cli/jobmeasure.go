package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/internal/job"
	"backporch/internal/typo"
	"backporch/pattern"
)

type jobMeasureOptions struct {
	*Streams
	tableFlags
	jobFlags
	lightFlags

	What       string
	Stage      string
	Input      string
	Instrument string
	Pattern    string
	Invented   bool
	Knobs      string
	Eye        string
	Check      string
	Screen     string
	Unit       string
	Corrects   int
	By         string
	Note       string
	Anyway     bool

	set   []string // names of the flags that were given
	asked bool     // Read was typed at the prompt
}

// jobMeasureLong is the help, with how readings are written between both parts.
func jobMeasureLong() string {
	return jobMeasureWhat + "\n\nOne reading is written as\n" + spellings() + "\n\n" + jobMeasureCodes + "\n\n" + caution
}

const jobMeasureWhat = `Record readings, and hold them to the tolerances of the set's class.

WHAT is one of
  source       what check said of the player: --check FILE.json
  purity       grades of the red, green and blue field, by eye
  convergence  how far red and blue lie from green, mm, at nine places
  geometry     where lines of the crosshatch cross on the glass, mm
  focus        grades by eye
  guns         light of the red, green, blue, white and black field
  gray         light of gray steps
  uniformity   light of white at nine places
  chroma       75 % bars with the blue gun alone, by meter or by eye
  regulation   size of the picture when it is dark and when it is bright

Readings come with --read, one each; from a table with --from, whose columns are
found by their heads or named with --columns; else they are asked for row by row.
The raw readings alone are kept; what they mean is computed whenever it is shown.`

const jobMeasureCodes = `The exit code is 3 where a value is out of tolerance. The readings are recorded all
the same.`

// newJobMeasure returns the command that records readings. Tests pass runF to
// see the parsed options without doing the work.
func newJobMeasure(s *Streams, runF func(context.Context, *jobMeasureOptions) error) *cobra.Command {
	o := &jobMeasureOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "measure WHAT",
		Short: "Record readings, against their tolerances",
		Long:  jobMeasureLong(),
		Example: `  backporch job measure gray --job bench-a --stage before
  backporch job measure gray --from steps.csv --stage after --instrument "contact meter"
  backporch job measure guns --read "red:0.640 0.330 17" --read "green:0.290 0.600 56" --read "blue:0.150 0.060 6"
  backporch job measure geometry --screen 400x300 --read "-6,0:12.5 -" --read "6,0:388 -" --read "0,0:200.5 151"
  backporch job measure convergence --read "center red:0.2 0" --read "center blue:-0.1 0.1"
  backporch job measure convergence --unit lines --read "top-left red:1.5 -0.5"
  backporch job measure chroma --input video-1 --eye "blue darker gray, cyan brighter magenta"
  backporch job measure source --check verdict.json`,
		Args:              oneWhat,
		ValidArgsFunction: cobra.FixedCompletions(whatNames(), cobra.ShellCompDirectiveNoFileComp),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			o.What = args[0]
			cmd.Flags().Visit(func(f *pflag.Flag) { o.set = append(o.set, f.Name) })
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	o.jobFlags.add(cmd)
	o.lightFlags.add(cmd, f, `such as "20:0.310 0.330 2.1" of gray`)
	f.StringVar(&o.Eye, "eye", "", `chroma by eye instead of by meter: "blue darker gray, cyan brighter magenta"`)
	f.StringVar(&o.Check, "check", "", "source: what backporch check --json printed, FILE.json")
	f.StringVar(&o.Unit, "unit", "mm", "convergence: mm, or lines: widths of a scan line, as an eye judges them")
	f.StringVar(&o.Screen, "screen", "", "geometry, convergence: width and height of the visible screen in mm, such as 400x300 (by the set's size)")
	f.StringVar(&o.Stage, "stage", "", "before or after the work (on the way)")
	f.StringVar(&o.Input, "input", "", "input of the set that was used (the only one)")
	f.StringVar(&o.Instrument, "instrument", "", "what read it")
	f.StringVar(&o.Pattern, "pattern", "", "what was shown, with its options (of geometry crosshatch, or what was shown before)")
	f.StringVar(&o.Knobs, "knobs", "", "where the controls of the set stood, in their own units: red-drive=128,green-cutoff=40")
	f.BoolVar(&o.Invented, "invented", false, "the readings are made up for an example; every sheet marks them")
	f.IntVar(&o.Corrects, "corrects", 0, "number of the entry that these readings replace")
	f.BoolVar(&o.Anyway, "anyway", false, "record readings that cannot be evaluated, too")
	f.StringVar(&o.By, "by", "", "who read it")
	f.StringVar(&o.Note, "note", "", "a remark")
	o.tableFlags.add(cmd)
	complete(cmd, "stage", stageNames())
	completeBy(cmd, "pattern", completePattern)
	completeBy(cmd, "input", func(*cobra.Command, []string, string) (names []string, _ cobra.ShellCompDirective) {
		if w, err := o.open(o.Streams, ""); err == nil {
			for _, in := range w.Set().Inputs {
				names = append(names, in.Name)
			}
		}
		return names, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
	})
	return cmd
}

// oneWhat allows one word, the kind of readings. A second one is most likely
// meant to be the readings.
func oneWhat(cmd *cobra.Command, args []string) error {
	if len(args) == 2 {
		way := fmt.Sprintf("readings are given with --read, or as a table with --from FILE.csv: job measure %s --from %s", args[0], quoted(args[1]))
		if args[0] == string(job.WhatSource) {
			way = fmt.Sprintf("what check said is given with --check: job measure %s --check %s", args[0], quoted(args[1]))
		}
		if strings.Contains(args[1], ":") {
			way = fmt.Sprintf("a reading is given with --read: job measure %s --read %s", args[0], quoted(args[1]))
		}
		return &usageError{fmt.Errorf("%q is one word too many; %s", args[1], way), cmd.CommandPath()}
	}
	return exactly(1, "WHAT, the kind of readings ("+strings.Join(whatNames(), ", ")+"),")(cmd, args)
}

func whatNames() (names []string) {
	for _, w := range job.Whats() {
		names = append(names, string(w))
	}
	return names
}

func stageNames() []string { return []string{string(job.Before), string(job.After)} }

// belonging says to which kinds of readings a flag belongs.
func belonging(flag string) []job.What {
	switch flag {
	case "eye":
		return []job.What{job.WhatChroma}
	case "unit":
		return []job.What{job.WhatConvergence}
	case "check":
		return []job.What{job.WhatSource}
	case "screen":
		return []job.What{job.WhatGeometry, job.WhatConvergence}
	case "form":
		return []job.What{job.WhatGray, job.WhatGuns, job.WhatUniformity}
	case "knobs":
		return []job.What{job.WhatGray, job.WhatGuns, job.WhatChroma}
	}
	return nil
}

// agree refuses what is misspelled or does not belong together.
func (o *jobMeasureOptions) agree() (job.What, error) {
	what := job.What(o.What)
	known := false
	for _, w := range job.Whats() {
		known = known || w == what
	}
	if !known {
		return "", usagef("%q is no kind of readings%s; use one of %s", o.What, typo.Suggest(o.What, whatNames()), strings.Join(whatNames(), ", "))
	}
	for _, flag := range o.set {
		list := belonging(flag)
		fits := len(list) == 0
		var names []string
		for _, w := range list {
			fits = fits || w == what
			names = append(names, string(w))
		}
		if !fits {
			return "", usagef("--%s belongs to %s, and these are readings of %s; leave it out", flag, strings.Join(names, ", "), what)
		}
	}
	switch s := job.Stage(o.Stage); {
	case s != "" && s != job.Before && s != job.After:
		return "", usagef("--stage: %q is neither before nor after; leave it out for readings on the way", o.Stage)
	case what == job.WhatSource && o.given():
		return "", usagef("readings of source are what check said; give its JSON with --check")
	case what == job.WhatSource && o.Check == "":
		return "", usagef("--check is missing: the file with what `backporch check --json` printed of the source")
	case o.Unit != "mm" && o.Unit != "lines":
		return "", usagef("--unit: %q is neither mm nor lines", o.Unit)
	case o.Eye != "" && o.given():
		return "", usagef("--eye and readings by meter tell the same; record one of them, and the other as readings of their own")
	case o.Corrects < 0:
		return "", usagef("--corrects: %d is no entry; `backporch job show --entries` has their numbers", o.Corrects)
	}
	if err := o.check(); err != nil {
		return "", err
	}
	if o.Pattern != "" {
		if _, err := pattern.Parse(o.Pattern); err != nil {
			return "", usagef("--pattern: %w", err)
		}
	}
	return what, nil
}

// input is the input that the readings were taken through. Where it matters it
// must be known.
func (o *jobMeasureOptions) input(what job.What, set *job.Set) (string, error) {
	var names []string
	name := o.Input
	for _, in := range set.Inputs {
		if what == job.WhatChroma && in.Wire == "rgb" {
			if name == in.Name {
				return "", usagef("--input %s takes RGB, which has no chroma; read its levels with gray steps, through that input", name)
			}
			continue
		}
		names = append(names, in.Name)
	}
	switch {
	case slices.Contains(names, name):
		return name, nil
	case len(names) == 0 && what == job.WhatChroma:
		return "", usagef("the set has RGB inputs alone, and they have no chroma; read their levels with gray steps")
	case name != "":
		return "", usagef("--input: the set has no input %q%s; it has %s, and `backporch job set --inputs` corrects that", o.Input, typo.Suggest(o.Input, names), strings.Join(names, ", "))
	case len(names) == 1:
		return names[0], nil
	case what == job.WhatChroma:
		return "", usagef("the set has several inputs, each with its own chroma; name the one that was used with --input: %s", strings.Join(names, ", "))
	}
	return "", nil
}

// recorded tells where the readings went.
func (o *jobMeasureOptions) recorded(c *jobChange) {
	text := fmt.Sprintf("recorded as entry %d of job %s", c.Entry.ID, c.Name)
	if c.Entry.Corrects > 0 {
		text += fmt.Sprintf("; entry %d no longer counts", c.Entry.Corrects)
	}
	fmt.Fprintln(o.Err, text)
}
