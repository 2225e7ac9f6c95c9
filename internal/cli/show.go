package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/internal/format"
	"backporch/internal/readings"
	"backporch/internal/render"
	"backporch/internal/table"
	"backporch/pattern"
	"backporch/timing"
)

type showOptions struct {
	*Streams
	pictureFlags
	tableFlags

	Words  []string // of the pattern's one-line spelling, or a raster
	Picked bool     // flags that only a pattern can use were given
}

func newShow(s *Streams, runF func(context.Context, *showOptions) error) *cobra.Command {
	o := &showOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "show PATTERN|RASTER",
		Short: "Show what a pattern or a raster is, with every figure",
		Long: `Show what a pattern is for, its source, its options, and each named patch with
the codes that a file holds at the chosen raster and setup; or everything about
a raster. Options of the pattern follow its name as NAME=VALUE.`,
		Example: "  backporch show bars-eg1\n  backporch show bars-full set=100/0/75/0 --setup 7.5\n  backporch show 240p --json",
		GroupID: "know",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return exactly(1, "PATTERN or RASTER")(cmd, args)
			}
			return nil
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			names := rasterNames()
			for _, e := range pattern.All() {
				names = append(names, e.Name)
			}
			return names, cobra.ShellCompDirectiveNoFileComp
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
	return cmd
}

func (o *showOptions) run() error {
	if r := timing.Lookup(o.Words[0]); r != nil {
		if len(o.Words) > 1 {
			return usagef("%s is a raster and takes no options; %q is one word too many", r.Name, o.Words[1])
		}
		if o.Picked {
			return usagef("%s is a raster: only --json and --csv apply to it", r.Name)
		}
		rec := rasterRecord(r)
		if o.JSON || o.CSV {
			rec.Tables = append(rec.Tables, rowTable(r))
		}
		return o.print(o.Streams, rec)
	}
	e, err := pattern.Find(o.Words[0])
	if err != nil {
		var names []string
		for _, e := range pattern.All() {
			names = append(names, e.Name)
		}
		return usagef("%q is neither a pattern nor a raster%s; `backporch list patterns` and `backporch list rasters` name them", o.Words[0], pattern.Suggest(o.Words[0], append(names, rasterNames()...)))
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
	if err != nil {
		return err
	}
	q := render.Request{Pattern: p, Raster: pic.Raster, Edges: pic.Edges, Aspect: pic.Aspect, Single: pic.Single, Plan: pic.Plan, Format: f, Clip: true}
	job, err := q.Layout()
	if err != nil {
		return &usageError{err: err}
	}
	return o.print(o.Streams, patternRecord(e, strings.Join(o.Words, " "), job))
}

func patternRecord(e pattern.Entry, spec string, job *render.Job) *table.Record {
	rec := &table.Record{Name: "pattern", Fields: []table.Field{
		{Name: "Pattern", Value: spec},
		{Name: "Job", Value: e.Group},
		{Name: "Use", Value: e.Use},
		{Name: "Source", Value: e.Source},
		{Name: "Raster", Value: job.Raster.Name},
		{Name: "Setup", Value: render.SetupName(job.Plan)},
		{Name: "Example", Value: e.Example},
	}}
	rec.Tables = []*table.Table{patchTable(job)}
	if t := optionTable(e); t.Len() > 0 {
		rec.Tables = append(rec.Tables, t)
	}
	rec.Notes = append(rec.Notes, job.Scene.Notes...)
	if e.Still != "" {
		rec.Notes = append(rec.Notes, "Caution: "+e.Still)
	}
	if names, reason := lost(job.Lost, false); names != "" {
		rec.Notes = append(rec.Notes, fmt.Sprintf("Absent: %s (%s).", names, reason))
	}
	if names, reason := lost(job.Lost, true); names != "" {
		rec.Notes = append(rec.Notes, fmt.Sprintf("Clipped: %s. Codes and levels are those of the file.", clippedText(names, reason)))
	}
	return rec
}

func patchTable(job *render.Job) *table.Table {
	list := readings.Of(job.Scene, job.View, job.Plan)
	t := &table.Table{Name: "patches", Title: "Patches, and their BT.601 codes in the file", Columns: []table.Column{
		{Name: "Patch"}, {Name: "Kind"},
		{Name: "R'", Unit: "%", Key: "r_percent", Decimals: 1}, {Name: "G'", Unit: "%", Key: "g_percent", Decimals: 1}, {Name: "B'", Unit: "%", Key: "b_percent", Decimals: 1},
		{Name: "Y CB CR", Unit: "8 bit", Key: "codes_8_bit"}, {Name: "Y CB CR", Unit: "10 bit", Key: "codes_10_bit"},
		{Name: "Line"}, {Name: "At", Unit: "us", Key: "at_us", Decimals: 2},
	}}
	// The level on the cable is known only once the wire or the player is.
	wire := len(list) > 0 && list[0].Luma != nil
	if wire {
		t.Columns = append(t.Columns, table.Column{Name: "Luma", Unit: "mV", Decimals: 1})
	}
	for _, r := range list {
		c8, c10 := triple(r.Codes8), triple(r.Codes10)
		if word, two := r.Ends(); two {
			c8, c10 = c8+word+triple(r.To8), c10+word+triple(r.To10)
		}
		cells := []any{r.Patch.Name, string(r.Patch.Kind), r.RGB[0], r.RGB[1], r.RGB[2], c8, c10, r.Line.Number, r.Microseconds}
		if wire {
			cells = append(cells, float64(*r.Luma))
		}
		t.Add(cells...)
	}
	return t
}

func triple(c [3]uint16) string { return fmt.Sprintf("%d %d %d", c[0], c[1], c[2]) }

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

func rasterRecord(r *timing.Raster) *table.Record {
	left, right := r.Window()
	one, two := r.FieldRows()
	rational := func(v timing.Ratio) table.Rational { return table.Rational(v.String()) }
	rec := &table.Record{Name: "raster", Fields: []table.Field{
		{Name: "Raster", Value: r.Name},
		{Name: "Use", Value: r.Note},
		{Name: "System", Value: r.Scan.System.Name},
		{Name: "Scan", Value: r.Scan.Name},
		{Name: "Lines", Value: r.Scan.Lines},
		{Name: "Samples", Value: r.Width},
		{Name: "Rows", Value: r.Height()},
		{Name: "Rows of field 1", Value: one},
		{Name: "Rows of field 2", Value: two},
		{Name: "Order", Value: r.Order().String()},
		{Name: "Top row is line", Value: r.Lines[0].Number},
		{Name: "Bottom row is line", Value: r.Lines[r.Height()-1].Number},
		{Name: "Frame rate, exact", Unit: "Hz", Value: rational(r.FrameRate())},
		{Name: "Frame rate", Unit: "Hz", Decimals: 6, Value: r.FrameRate().Float64()},
		{Name: "Field rate", Unit: "Hz", Decimals: 6, Value: r.Scan.FieldRate().Float64()},
		{Name: "Line rate", Unit: "Hz", Decimals: 6, Value: r.Scan.LineRate().Float64()},
		{Name: "Line period", Unit: "us", Decimals: 6, Value: r.Scan.LinePeriod().Float64()},
		{Name: "Subcarrier", Unit: "Hz", Decimals: 4, Value: r.Scan.System.Subcarrier.Float64()},
		{Name: "Subcarrier cycles in a line", Value: rational(r.Scan.Cycles)},
		{Name: "Sample clock", Unit: "Hz", Value: rational(r.Clock)},
		{Name: "Samples in a line", Value: rational(r.SamplesPerLine())},
		{Name: "Pixel shape", Value: rational(r.PixelShape())},
		{Name: "Picture begins at sample", Decimals: 4, Value: left.Float64()},
		{Name: "Picture ends at sample", Decimals: 4, Value: right.Float64()},
		{Name: "Picture begins", Unit: "us after 0H", Key: "picture_begins_us_after_0h", Decimals: 4, Value: r.Scan.System.Left.Float64()},
		{Name: "Picture ends", Unit: "us after 0H", Key: "picture_ends_us_after_0h", Decimals: 4, Value: r.Scan.System.Right.Float64()},
		{Name: "Nyquist limit", Unit: "MHz", Decimals: 4, Value: r.Nyquist().Float64()},
	}}
	rec.Tables = []*table.Table{sampleTable(r), tvLineTable(r)}
	rec.Notes = []string{rowsInWords(r) + " --json lists every row."}
	return rec
}

// sampleTable gives the times of some places in a row.
func sampleTable(r *timing.Raster) *table.Table {
	t := &table.Table{Name: "places", Title: "Places in a row", Columns: []table.Column{
		{Name: "Place"}, {Name: "Sample", Decimals: 4}, {Name: "After 0H", Unit: "us", Key: "after_0h_us", Decimals: 4},
	}}
	left, right := r.Window()
	for _, p := range []struct {
		name string
		at   timing.Ratio
	}{
		{"first sample", timing.Int(0)},
		{"picture begins", left},
		{"middle of the picture", left.Add(right).Div(timing.Int(2))},
		{"picture ends", right},
		{"last sample", timing.Int(int64(r.Width - 1))},
	} {
		t.Add(p.name, p.at.Float64(), r.TimeOf(p.at).Float64())
	}
	return t
}

func tvLineTable(r *timing.Raster) *table.Table {
	t := &table.Table{Name: "tv_lines", Title: "TV lines and frequency", Columns: []table.Column{
		{Name: "TV lines"}, {Name: "4:3 screen", Unit: "MHz", Key: "aspect_4_3_mhz", Decimals: 3}, {Name: "Held", Key: "held_4_3"},
		{Name: "16:9 screen", Unit: "MHz", Key: "aspect_16_9_mhz", Decimals: 3}, {Name: "Held", Key: "held_16_9"},
	}}
	held := func(mhz float64) string {
		switch {
		case mhz > r.Nyquist().Float64():
			return "no: beyond Nyquist"
		case mhz > 5.75: // end of the BT.601 pass band: memory
			return "barely: above 5.75 MHz"
		}
		return "yes"
	}
	for n := 100; n <= 600; n += 50 {
		normal, wide := r.Scan.System.Frequency(float64(n), aspect4x3), r.Scan.System.Frequency(float64(n), timing.R(16, 9))
		t.Add(n, normal, held(normal), wide, held(wide))
	}
	return t
}

// rowsInWords says the same as rowTable.
func rowsInWords(r *timing.Raster) string {
	first, last := r.Lines[0], r.Lines[r.Height()-1]
	if !r.Scan.Interlaced() {
		return fmt.Sprintf("Rows 0 to %d are lines %d to %d.", r.Height()-1, first.Number, last.Number)
	}
	return fmt.Sprintf("Even rows are lines %d to %d of field %d, odd rows are lines %d to %d of field %d.",
		first.Number, r.Lines[r.Height()-2].Number, first.Field, r.Lines[1].Number, last.Number, last.Field)
}

// rowTable says which line each row is.
func rowTable(r *timing.Raster) *table.Table {
	t := &table.Table{Name: "row_lines", Title: "Rows and analog lines", Columns: []table.Column{
		{Name: "Row"}, {Name: "Line"}, {Name: "Field"},
	}}
	for j, l := range r.Lines {
		t.Add(j, l.Number, l.Field)
	}
	return t
}
