package cli

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/internal/device"
	"backporch/internal/format"
	"backporch/internal/readings"
	"backporch/internal/render"
	"backporch/internal/table"
	"backporch/internal/typo"
	"backporch/pattern"
	"backporch/timing"
)

type showOptions struct {
	*Streams
	pictureFlags
	tableFlags

	Words    []string // of the pattern's one-line spelling, or a raster, or "device" and what of it
	Picked   bool     // flags that only a pattern can use were given
	Template bool
}

func newShow(s *Streams, runF func(context.Context, *showOptions) error) *cobra.Command {
	o := &showOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "show PATTERN|RASTER|device NAME",
		Short: "Show what a pattern, a raster or a playing device is, with every figure",
		Long: `Show what a pattern is for, its source, its options, and each named patch with
the codes that a file holds at the chosen raster and setup; or everything about
a raster. Options of the pattern follow its name as NAME=VALUE. --csv prints the
patches of a pattern, or the facts of a raster.

show device NAME tells what a device does to pictures, and what its output
really carries of the bars, or of any pattern that follows its name: luma, color
and hue against the standard, with marks beyond 1 IRE, 2 % and 1 degree; the
best bars that it can make; and whether color can be set against it at all.
--template prints a profile to begin one of your own with.`,
		Example: "  backporch show bars-eg1\n  backporch show bars-full set=100/0/75/0 --setup 7.5\n  backporch show 240p --json\n" +
			"  backporch show device pixel-320\n  backporch show device mine.toml staircase\n  backporch show device --template > mine.toml",
		GroupID: "know",
		Args:    spelled("PATTERN, RASTER or device"),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return append(append(rasterNames(), patternNames()...), "device"), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Words = args
			cmd.Flags().Visit(func(f *pflag.Flag) { o.Picked = o.Picked || f.Name != "json" && f.Name != "csv" })
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run()
		},
	}
	cmd.Flags().SortFlags = false
	o.pictureFlags.add(cmd, cmd.Flags())
	o.tableFlags.add(cmd)
	cmd.Flags().BoolVar(&o.Template, "template", false, "show device: print a commented profile to begin one of your own with")
	return cmd
}

func (o *showOptions) run() error {
	if o.Words[0] == "device" {
		return o.showDevice()
	}
	if o.Template {
		return usagef("--template prints a device profile; write `backporch show device --template`")
	}
	if r := timing.Lookup(o.Words[0]); r != nil {
		if len(o.Words) > 1 {
			return usagef("%s is a raster and takes no options; %q is one word too many", r.Name, o.Words[1])
		}
		if o.Picked {
			return usagef("%s is a raster: only --json and --csv apply to it", r.Name)
		}
		rec := rasterRecord(r)
		switch {
		case o.JSON:
			rec.Tables = append(rec.Tables, rowTable(r))
		case o.CSV:
			rec.Tables = nil // a CSV is one table: the facts
		}
		return o.print(o.Streams, rec)
	}
	e, err := pattern.Find(o.Words[0])
	if err != nil {
		for _, d := range device.Names() {
			if strings.EqualFold(d, o.Words[0]) {
				return usagef("%s is a device; write `backporch show device %s`", d, d)
			}
		}
		return usagef("%q is neither a pattern nor a raster%s; `backporch list patterns` and `backporch list rasters` name them", o.Words[0], typo.Suggest(o.Words[0], append(patternNames(), rasterNames()...)))
	}
	p, err := pattern.Parse(strings.Join(o.Words, " "))
	if err != nil {
		return &usageError{err: err}
	}
	pic, err := o.resolve(p)
	if err != nil {
		return err
	}
	f, err := format.Resolve(format.Choice{Name: "y4m"})
	if pic.Device != nil {
		f, err = deviceFormat(pic.Device)
	}
	if err != nil {
		return err
	}
	q := pic.request(p, "", f)
	q.Clip = true
	job, err := q.Layout()
	if err != nil {
		return &usageError{err: err}
	}
	if o.CSV && !o.JSON {
		return o.print(o.Streams, patchTable(job, false)) // a CSV is one table: the patches
	}
	return o.print(o.Streams, patternRecord(e, strings.Join(o.Words, " "), job, !o.JSON))
}

func patternRecord(e pattern.Entry, spec string, job *render.Job, people bool) *table.Record {
	rec := &table.Record{Name: "pattern", Fields: []table.Field{
		{Name: "Pattern", Value: spec},
		{Name: "Job", Value: e.Group},
		{Name: "Use", Value: e.Use},
		{Name: "Source", Value: e.Source},
		{Name: "Raster", Value: job.Raster.Name},
		{Name: "Setup", Value: render.SetupName(job.Plan)},
		{Name: "Example", Value: e.Example},
	}}
	rec.Tables = []*table.Table{patchTable(job, people)}
	if t := optionTable(e); t.Len() > 0 {
		rec.Tables = append(rec.Tables, t)
	}
	rec.Notes = append(rec.Notes, job.Scene.Notes...)
	if e.Still != "" {
		rec.Notes = append(rec.Notes, "Caution: "+e.Still)
	}
	for _, l := range job.Lost.Clipped(false).ByWay() {
		why := l[0].Reason
		if way := l[0].Patch.Way; way != "" {
			why += "; " + way
		}
		rec.Notes = append(rec.Notes, fmt.Sprintf("Absent: %s (%s).", l.Names(), why))
	}
	if l := job.Lost.Clipped(true); len(l) > 0 {
		rec.Notes = append(rec.Notes, fmt.Sprintf("Clipped: %s. Codes and levels are those of the file.", clippedText(l)))
	}
	return rec
}

// patchTable has R', G' and B' in one column for people, and in three for
// programs.
func patchTable(job *render.Job, people bool) *table.Table {
	list := readings.Of(job.Scene, job.View, job.Plan)
	t := &table.Table{Name: "patches", Title: "Patches, and their BT.601 codes in the file", Columns: []table.Column{{Name: "Patch"}, {Name: "Kind"}}}
	if people {
		t.Columns = append(t.Columns, table.Column{Name: "R'G'B'", Unit: "%", Key: "rgb_percent"})
	} else {
		for _, c := range []string{"R", "G", "B"} {
			t.Columns = append(t.Columns, table.Column{Name: c + "'", Unit: "%", Key: strings.ToLower(c) + "_percent", Decimals: 1})
		}
	}
	t.Columns = append(t.Columns, table.Column{Name: "Y CB CR", Unit: "8 bit", Key: "codes_8_bit"}, table.Column{Name: "Y CB CR", Unit: "10 bit", Key: "codes_10_bit"},
		table.Column{Name: "Line"}, table.Column{Name: "At", Unit: "us", Key: "at_us", Decimals: 2})
	// The level on the cable is known only once the wire or the player is.
	wire := len(list) > 0 && list[0].Luma != nil
	if wire {
		t.Columns = append(t.Columns, table.Column{Name: "Luma", Unit: "mV", Decimals: 1})
	}
	for _, r := range list {
		cells := []any{r.Patch.Name, string(r.Patch.Kind), r.RGB[0], r.RGB[1], r.RGB[2]}
		if people {
			cells = append(cells[:2], percents(r.RGB))
			if word, two := r.Ends(); two {
				cells[2] = percents(r.RGB) + word + percents(r.ToRGB)
			}
		}
		cells = append(cells, r.Words(r.Codes8, r.To8), r.Words(r.Codes10, r.To10), r.Line.Number, r.Microseconds)
		if wire {
			cells = append(cells, float64(*r.Luma))
		}
		t.Add(cells...)
	}
	return t
}

// percents rounds to a tenth and drops what is zero behind the point.
func percents(v [3]float64) string {
	var parts []string
	for _, x := range v {
		parts = append(parts, strconv.FormatFloat(math.Round(x*10)/10+0, 'f', -1, 64))
	}
	return strings.Join(parts, " ")
}

func optionTable(e pattern.Entry) *table.Table {
	t := &table.Table{Name: "options", Title: "Options", Columns: []table.Column{
		{Name: "Option"}, {Name: "Default"}, {Name: "Meaning"},
	}}
	_, options := e.New()
	for _, o := range options {
		t.Add(o.Name, o.String(), o.Help+": "+o.Range)
	}
	return t
}
