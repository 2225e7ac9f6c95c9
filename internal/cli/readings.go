package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/readings"
	"backporch/internal/render"
	"backporch/internal/table"
	"backporch/pattern"
	"backporch/timing"
)

type readingsOptions struct {
	*Streams
	pictureFlags
	tableFlags
	tubeFlags

	Words []string // of the pattern's one-line spelling
}

// newReadings returns the readings command. Tests pass runF to see the parsed
// options without doing the work.
func newReadings(s *Streams, runF func(*readingsOptions) error) *cobra.Command {
	o := &readingsOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "readings PATTERN",
		Short: "Say what a scope, a vectorscope and a light meter must read",
		Long: `Say what each patch of a pattern must read: on the wire in mV and IRE, its color
as amplitude and angle of the subcarrier or as PB and PR, its codes in a file,
and the light of an aligned tube. Line and microseconds say where to trigger and
look. Options of the pattern follow its name as NAME=VALUE.

Without --wire, --setup or --player the player is not known: at 525 lines both
setups are shown side by side. With --wire alone the readings are those of the
standard; with --player they are what that player makes of the file.

` + caution,
		Example: "  backporch readings bars-full\n  backporch readings bars-full set=100/0/75/0 --wire yc-m\n  backporch readings pluge --raster 576i --white D93 --json",
		GroupID: "know",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return exactly(1, "PATTERN")(cmd, args)
			}
			return nil
		},
		ValidArgsFunction: completePattern,
		RunE: func(_ *cobra.Command, args []string) error {
			o.Words = args
			if runF != nil {
				return runF(o)
			}
			return o.run()
		},
	}
	cmd.Flags().SortFlags = false
	o.pictureFlags.add(cmd, cmd.Flags())
	o.tubeFlags.add(cmd)
	o.tableFlags.add(cmd)
	return cmd
}

// completePattern offers the names of patterns to the shell.
func completePattern(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	var names []string
	for _, e := range pattern.All() {
		names = append(names, e.Name)
	}
	return names, cobra.ShellCompDirectiveNoFileComp
}

func (o *readingsOptions) run() error {
	spec := strings.Join(o.Words, " ")
	pt, err := pattern.Parse(spec)
	if err != nil {
		return &usageError{err: err}
	}
	pic, wire, err := o.onWire(pt)
	if err != nil {
		return err
	}
	glow, err := o.glow(pic.Raster.Scan.System)
	if err != nil {
		return &usageError{err: err}
	}
	job, err := pic.layout(pt, spec)
	if err != nil {
		return err
	}
	wires := []*composite.Wire{wire}
	switch {
	case wire != nil:
	case pic.Raster.Scan.System == timing.System525:
		wires = []*composite.Wire{composite.Lookup("composite-m"), composite.Lookup("composite-j")}
	default:
		wires[0] = composite.Usual(pic.Raster.Scan)
	}
	for _, w := range wires {
		if err := w.Check(pic.Raster.Scan); err != nil {
			return &usageError{err: err}
		}
	}
	list := readings.Of(job.Scene, job.View, job.Plan)
	people := !o.JSON && !o.CSV
	patches := &table.Table{Name: "patches"}
	if people {
		patches = wireTable(list, wires)
	} else {
		fillPatches(patches, list, wires, glow)
	}
	if o.CSV && !o.JSON {
		return o.print(o.Streams, patches) // a CSV is one table: the patches
	}
	return o.print(o.Streams, o.record(spec, job, list, wires, glow, patches, people))
}

func (o *readingsOptions) record(spec string, job *render.Job, list []readings.Reading, wires []*composite.Wire, glow readings.Glow, patches *table.Table, people bool) *table.Record {
	var names, titles []string
	for _, w := range wires {
		names, titles = append(names, w.Name), append(titles, w.Title)
	}
	rec := &table.Record{Name: "readings", Fields: []table.Field{
		{Name: "Pattern", Value: spec},
		{Name: "Raster", Value: job.Raster.Name},
		{Name: "Wire", Value: names},
		{Name: "Setup", Value: render.SetupName(job.Plan)},
		{Name: "White", Value: glow.White.Title},
		{Name: "White x", Decimals: 4, Value: glow.White.X},
		{Name: "White y", Decimals: 4, Value: glow.White.Y},
		{Name: "Primaries", Value: glow.Primaries.Title},
		{Name: "White luminance", Unit: "cd/m2", Key: "white_cd_m2", Decimals: 1, Value: glow.Tube.White},
		{Name: "Black luminance", Unit: "cd/m2", Key: "black_cd_m2", Decimals: 3, Value: glow.Tube.Black},
	}}
	if people {
		rec.Fields[2].Value = strings.Join(titles, ", or ")
	}
	rec.Tables = []*table.Table{interfaceTable(wires, people), patches}
	if people {
		rec.Tables = append(rec.Tables, fileTable(list, glow))
	}
	rec.Notes = append(notes(job.Raster.Scan, list, wires), job.Scene.Notes...)
	if l := job.Lost.Clipped(true); len(l) > 0 {
		rec.Notes = append(rec.Notes, fmt.Sprintf("Clipped: %s. Levels are those that the player makes of the file.", clippedText(l)))
	}
	return rec
}

// notes are what holds for every reading.
func notes(scan *timing.Scan, list []readings.Reading, wires []*composite.Wire) (notes []string) {
	if len(wires) > 1 {
		notes = append(notes, "The player is not known: its own encoder decides which of the two it is. Black tells: 7.5 IRE (53.6 mV) above blanking, or at it. Once known, give --player-setup.")
	}
	notes = append(notes, "Levels are above blanking, with one termination of 75 ohm. Where it is missing all of them double; with two they fall to two thirds.")
	if len(list) > 0 {
		r := list[0]
		notes = append(notes, fmt.Sprintf("Times count from 0H, the half-way point of the leading edge of sync: for %q trigger on line %d and look %.2f us later.%s", r.Patch.Name, r.Line.Number, r.Microseconds, fieldNote(scan)))
	}
	for _, w := range wires[:1] {
		switch {
		case w.Kind == composite.YC:
			notes = append(notes, "Luma is on Y, with sync; the subcarrier and its burst are on C.")
		case w.Kind == composite.RGB:
			notes = append(notes, "Sync is on green.")
		}
		if w.Subcarrier() && w.Family == colorimetry.PAL {
			notes = append(notes, "Angles are those of lines with positive V, whose burst is at 135 degrees; the others have 360 degrees minus them, and the burst at 225.")
		} else if w.Subcarrier() {
			notes = append(notes, "Angles count from +(B'-Y') toward +(R'-Y'); the burst is at 180 degrees.")
		}
	}
	return append(notes, "Light is that of a set whose levels match the wire, by ITU-R BT.1886; x and y of gray patches are the white to align to.")
}

// fieldNote says which lines belong to which field.
func fieldNote(s *timing.Scan) string {
	if !s.Interlaced() {
		return ""
	}
	return fmt.Sprintf(" Lines 1 to %d are of field 1, those above %d of field 2.", s.Lines/2, s.Lines/2+1)
}
