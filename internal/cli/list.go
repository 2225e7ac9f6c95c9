package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"backporch/colorimetry"
	"backporch/internal/check"
	"backporch/internal/composite"
	"backporch/internal/format"
	"backporch/internal/table"
	"backporch/internal/typo"
	"backporch/pattern"
	"backporch/timing"
)

// lists are what list can list.
var lists = []struct {
	name, short string
	data        func() table.Document // for programs
	page        func() table.Document // for people
}{
	{"patterns", "the catalogue, by the job it serves",
		func() table.Document { return patternTable() }, func() table.Document { return patternPage() }},
	{"rasters", "the rasters: lines, samples, rates and pixel shapes",
		func() table.Document { return rasterTable() }, func() table.Document { return rasterPage() }},
	{"formats", "the file formats and their extensions",
		func() table.Document { return formatTable() }, func() table.Document { return formatTable() }},
	{"levels", "the level families of --wire and --player",
		func() table.Document { return levelTable() }, func() table.Document { return levelPage() }},
	{"wires", "the wires that carry a raster: signals, levels, sampling",
		func() table.Document { return wireList() }, func() table.Document { return wireList() }},
	{"devices", "the playing devices of --device",
		func() table.Document { return deviceTable() }, func() table.Document { return devicePage() }},
	{"device-keys", "what a device profile of your own can say",
		func() table.Document { return keyTable() }, func() table.Document { return keyPage() }},
	{"targets", "the files for players that deliver makes",
		func() table.Document { return targetTable() }, func() table.Document { return targetPage() }},
	{"classes", "the tolerances of check, by class",
		func() table.Document { return check.ClassData() }, func() table.Document { return check.ClassTable() }},
}

func newList(s *Streams) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List patterns, rasters, formats, levels, wires, devices, targets or tolerances",
		Long: `List patterns, rasters, file formats, levels, wires, playing devices, the keys of
device profiles, the targets of deliver, or the tolerances of check as a table;
--json and --csv print the same for programs.`,
		Example: "  backporch list patterns\n  backporch list rasters --json",
		GroupID: "know",
		Args:    cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			var names []string
			for _, l := range lists {
				names = append(names, l.name)
			}
			all := strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
			if len(args) == 0 {
				return &usageError{fmt.Errorf("what to list is missing; use %s", all), cmd.CommandPath()}
			}
			return &usageError{fmt.Errorf("cannot list %q%s; use %s", args[0], typo.Suggest(args[0], names), all), cmd.CommandPath()}
		},
	}
	for _, l := range lists {
		t := &tableFlags{}
		sub := &cobra.Command{
			Use:     l.name,
			Short:   "List " + l.short,
			Long:    "List " + l.short + ".",
			Example: "  backporch list " + l.name,
			Args:    exactly(0, ""),
			RunE: func(*cobra.Command, []string) error {
				if t.JSON || t.CSV {
					return t.print(s, l.data())
				}
				return t.print(s, l.page())
			},
		}
		t.add(sub)
		cmd.AddCommand(sub)
	}
	return cmd
}

// patternTable has a row for each pattern, with its job.
func patternTable() *table.Table {
	t := &table.Table{Name: "patterns", Columns: []table.Column{{Name: "Job"}, {Name: "Pattern"}, {Name: "Use"}}}
	for _, e := range byJob() {
		t.Add(e.Group, e.Name, e.Use)
	}
	return t
}

// byJob returns the catalogue in the order of the jobs.
func byJob() (list []pattern.Entry) {
	for _, g := range pattern.Groups() {
		for _, e := range pattern.All() {
			if e.Group == g {
				list = append(list, e)
			}
		}
	}
	return list
}

// patternPage is the same for people: the jobs are headings.
func patternPage() *table.Record {
	rec := &table.Record{Name: "patterns", Notes: []string{"`backporch show PATTERN` tells more, `backporch render PATTERN --help` how to make it."}}
	for i, g := range pattern.Groups() {
		t := &table.Table{Name: fmt.Sprintf("job_%d", i+1), Title: g, Columns: []table.Column{{Name: "Pattern"}, {Name: "Use"}}}
		for _, e := range byJob() {
			if e.Group == g {
				t.Add(e.Name, e.Use)
			}
		}
		rec.Tables = append(rec.Tables, t)
	}
	return rec
}

// rasterTable has every column; rasterPage leaves room for words.
func rasterTable() *table.Table {
	t := &table.Table{Name: "rasters", Columns: []table.Column{
		{Name: "Raster"}, {Name: "Samples"}, {Name: "Rows"}, {Name: "Order"},
		{Name: "Lines"}, {Name: "Field rate", Unit: "Hz", Decimals: 6}, {Name: "Frame rate, exact", Unit: "Hz"},
		{Name: "Line rate", Unit: "Hz", Decimals: 6}, {Name: "Pixel shape"}, {Name: "Use"},
	}}
	for _, r := range timing.Rasters() {
		t.Add(r.Name, r.Width, r.Height(), r.Order().String(), r.Scan.Lines, r.Scan.FieldRate().Float64(),
			table.Rational(r.FrameRate().String()), r.Scan.LineRate().Float64(), table.Rational(r.PixelShape().String()), r.Note)
	}
	return t
}

func rasterPage() *table.Table {
	t := &table.Table{Name: "rasters", Columns: []table.Column{
		{Name: "Raster"}, {Name: "Size"}, {Name: "First field"}, {Name: "Lines"},
		{Name: "Field rate", Unit: "Hz", Decimals: 3}, {Name: "Pixel shape"}, {Name: "Use"},
	}, Notes: []string{"Pixel shape is width over height of a sample on a 4:3 tube. `backporch show RASTER` tells more."}}
	first := map[timing.Order]string{timing.TopFirst: "top", timing.BottomFirst: "bottom", timing.Progressive: "-"}
	for _, r := range timing.Rasters() {
		t.Add(r.Name, fmt.Sprintf("%dx%d", r.Width, r.Height()), first[r.Order()], r.Scan.Lines,
			r.Scan.FieldRate().Float64(), table.Rational(r.PixelShape().String()), r.Note)
	}
	return t
}

func formatTable() *table.Table {
	t := &table.Table{Name: "formats", Columns: []table.Column{
		{Name: "Format"}, {Name: "Extension"}, {Name: "Holds"}, {Name: "What it is"},
	}}
	for _, n := range format.Names() {
		f, err := format.Resolve(format.Choice{Name: n})
		if err != nil {
			continue // cannot be: a format resolves by its own name
		}
		t.Add(f.Name, f.Extension, f.Coding.Name, f.Title)
	}
	return t
}

// levelTable has every column; levelPage has the sources below.
func levelTable() *table.Table {
	t := &table.Table{Name: "levels", Columns: []table.Column{
		{Name: "Levels"}, {Name: "Lines"},
		{Name: "Black", Unit: "mV", Decimals: 2}, {Name: "White", Unit: "mV", Decimals: 2}, {Name: "Sync", Unit: "mV", Decimals: 2},
		{Name: "Chroma", Unit: "mV", Decimals: 2}, {Name: "Burst", Unit: "mV", Decimals: 2},
		{Name: "Black", Unit: "IRE", Decimals: 1}, {Name: "White", Unit: "IRE", Decimals: 1}, {Name: "Sync", Unit: "IRE", Decimals: 1},
		{Name: "Source"},
	}, Notes: levelNotes}
	for _, f := range colorimetry.Families() {
		t.Add(append(levelCells(f), f.Source)...)
	}
	return t
}

func levelPage() *table.Table {
	full := levelTable()
	t := &table.Table{Name: full.Name, Columns: full.Columns[:len(full.Columns)-1], Notes: levelNotes}
	for _, f := range colorimetry.Families() {
		t.Add(levelCells(f)...)
		t.Notes = append(t.Notes, f.Name+": "+f.Source+".")
	}
	return t
}

// wireList has a row for each wire and system that it carries.
func wireList() *table.Table {
	t := &table.Table{Name: "wires", Columns: []table.Column{
		{Name: "Wire"}, {Name: "System"}, {Name: "Signals"},
		{Name: "Rate", Unit: "MHz", Decimals: 6}, {Name: "Line", Key: "samples_per_line"}, {Name: "Frames", Key: "sequence_frames"}, {Name: "What it is"},
	}, Notes: []string{
		"Rate, and samples in a line, are those of wave files: four times the subcarrier, or 27 MHz. Frames are how many interlaced ones make a whole sequence, after which a still picture repeats.",
		"A screen switched to 16:9 gets the same signal: no signaling is added for it.",
	}}
	for _, w := range composite.Wires() {
		for _, s := range []*timing.Scan{timing.Scan525i, timing.Scan625i} {
			if w.Check(s) != nil {
				continue
			}
			base := w.Timebase(s)
			t.Add(w.Name, s.System.Name, strings.Join(w.Channels(), " "), base.Rate.Float64()/1e6, table.Rational(base.SamplesPerLine().String()), w.Sequence(s), w.Title)
		}
	}
	return t
}

var levelNotes = []string{
	"Above blanking, into 75 ohm. Chroma is peak to peak for 100 % PB or PR; on composite it follows from luma and the subcarrier factors, on RGB from the three signals. IRE are 140 to the volt and belong to 525 lines.",
}

func levelCells(f *colorimetry.Family) []any {
	lines := "525, 625"
	if f.Lines != 0 {
		lines = fmt.Sprint(f.Lines)
	}
	var chroma, burst, black, white, sync any
	if f.Chroma > 0 {
		chroma = float64(f.Chroma)
	}
	if f.Burst > 0 {
		burst = float64(f.Burst)
	}
	if f.Lines == 525 {
		black, white, sync = float64(f.Black.IRE()), float64(f.White.IRE()), float64(f.Sync.IRE())
	}
	return []any{f.Name, lines, float64(f.Black), float64(f.White), float64(f.Sync), chroma, burst, black, white, sync}
}
