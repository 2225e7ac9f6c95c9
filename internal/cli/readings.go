package cli

import (
	"fmt"
	"slices"
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
		Use:   "readings PATTERN [NAME=VALUE]...",
		Short: "Say what a scope, a vectorscope and a light meter must read",
		Long: `Say what each patch of a pattern must read: on the wire in mV and IRE, its color
as amplitude and angle of the subcarrier or as PB and PR, its codes in a file,
and the light of an aligned tube. Line and microseconds say where to trigger and
look. Options of the pattern follow its name as NAME=VALUE.

Without --wire, --setup or --player the player is not known: at 525 lines both
setups are shown side by side. With --wire alone the readings are those of the
standard; with --player they are what that player makes of the file.

` + caution,
		Example:           "  backporch readings bars-full\n  backporch readings bars-full set=100/0/75/0 --wire yc-m\n  backporch readings pluge --raster 576i --white D93 --json",
		GroupID:           "know",
		Args:              spelled("PATTERN"),
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

func (o *readingsOptions) run() error {
	d, err := o.document()
	if err != nil {
		return err
	}
	return o.print(o.Streams, d)
}

// document is what the flags ask for: all of it, or for a CSV the patches.
func (o *readingsOptions) document() (table.Document, error) {
	spec := strings.Join(o.Words, " ")
	pt, err := pattern.Parse(spec)
	if err != nil {
		return nil, &usageError{err: err}
	}
	pic, wire, err := o.onWire(pt)
	if err != nil {
		return nil, err
	}
	glow, err := o.glow(pic.Raster.Scan.System)
	if err != nil {
		return nil, &usageError{err: err}
	}
	job, err := pic.layout(pt, spec, wire)
	if err != nil {
		return nil, err
	}
	wires := []*composite.Wire{wire}
	switch {
	case wire != nil:
	case pic.Raster.Scan.System == timing.System525:
		wires = []*composite.Wire{composite.Lookup("composite-m"), composite.Lookup("composite-j")}
	default:
		wires[0] = composite.Usual(pic.Raster.Scan)
	}
	list := readings.Of(job.Scene, job.View, job.Plan)
	spots, err := spotsOf(list, job)
	if err != nil {
		return nil, &usageError{err: err}
	}
	if o.CSV && !o.JSON {
		return dataTable(spots, wires, glow, job), nil // a CSV is one table
	}
	rec := o.record(spec, job, wires, glow)
	rec.Tables = []*table.Table{interfaceTable(wires, job)}
	if o.JSON {
		rec.Tables = append(rec.Tables, dataTable(spots, wires, glow, job))
	} else {
		rec.Tables = append(rec.Tables, wireTables(spots, wires)...)
		rec.Tables = append(rec.Tables, tubeTable(spots, glow), placeTable(spots, wires, job))
	}
	rec.Notes = append(o.notes(job, list, wires, glow), job.Scene.Notes...)
	return rec, nil
}

// record is what the readings are of, without the readings.
func (o *readingsOptions) record(spec string, job *render.Job, wires []*composite.Wire, glow readings.Glow) *table.Record {
	var names, titles []string
	for _, w := range wires {
		names, titles = append(names, w.Name), append(titles, w.Title)
	}
	var on any = names
	if !o.JSON {
		on = strings.Join(titles, ", or ")
	}
	rec := &table.Record{Name: "readings", Fields: []table.Field{
		{Name: "Pattern", Value: spec},
		{Name: "Raster", Value: job.Raster.Name},
		{Name: "Wire", Value: on},
		{Name: "Levels", Value: render.SetupName(job.Plan)},
		{Name: "White", Value: glow.White.Title},
		{Name: "White x", Decimals: 4, Value: glow.White.X},
		{Name: "White y", Decimals: 4, Value: glow.White.Y},
		{Name: "Primaries", Value: glow.Primaries.Title},
		{Name: "White luminance", Unit: "cd/m2", Key: "white_cd_m2", Decimals: 1, Value: glow.Tube.White},
		{Name: "Black luminance", Unit: "cd/m2", Key: "black_cd_m2", Decimals: 3, Value: glow.Tube.Black},
		{Name: "Gamma", Decimals: 2, Value: glow.Tube.Gamma},
	}}
	if job.Device != nil {
		rec.Fields = slices.Insert(rec.Fields, 2, table.Field{Name: "Device", Value: job.Device.Name})
	}
	return rec
}

// notes are what holds for every reading.
func (o *readingsOptions) notes(job *render.Job, list []readings.Reading, wires []*composite.Wire, glow readings.Glow) (notes []string) {
	if l := job.Lost.Clipped(true); len(l) > 0 && job.Plan.Player != nil {
		notes = append(notes, fmt.Sprintf("Clipped: %s. Levels are those that the player makes of the file.", clippedText(l)))
	}
	for _, l := range job.Lost.Clipped(false).ByWay() {
		notes = append(notes, fmt.Sprintf("Absent: %s (%s); the levels are those of what stands in its place.", l.Names(), l[0].Reason))
	}
	if job.Pixels() {
		notes = append(notes, fmt.Sprintf("Levels are those of the colors that %s really has, the nearest to those of the pattern, and so is R'G'B'. `backporch show device %s` says how far they are off.", job.Device.Name, o.Device))
	}
	if e := job.Plan.SyncError(); e != 0 {
		notes = append(notes, fmt.Sprintf("Sync stays the player's, %+.1f mV against %s.", float64(e), job.Plan.Wire.Name))
	}
	if len(wires) > 1 {
		notes = append(notes, "The player is not known: its own encoder decides which of the two setups it is. Black tells: 7.5 IRE (53.6 mV) above blanking, or at it. Once known, give --player-setup.")
	}
	if !codesKnown(job) && job.Device == nil {
		notes = append(notes, "What a file must hold depends on the player: name its levels with --player, or its setup with --player-setup, to see the codes.")
	}
	notes = append(notes, "Levels are above blanking, with one termination of 75 ohm. Where it is missing all of them double; with two they fall to two thirds.",
		"Put the probe on the connector: the chassis of a picture-tube set may be at mains voltage, and inside it are lethal voltages, also after it is unplugged.")
	if len(list) > 0 {
		r := list[0]
		notes = append(notes, fmt.Sprintf("Times count from 0H, the half-way point of the leading edge of sync: for %q trigger on line %d and look %.2f us later.%s", r.Patch.Name, r.Line.Number, r.Microseconds, fieldNote(job.Raster.Scan)))
	}
	if job.Aspect.Cmp(aspect4x3) != 0 {
		notes = append(notes, "The pattern is laid out for a screen switched to 16:9; the cable carries no signal for it.")
	}
	switch w := wires[0]; w.Kind {
	case composite.YC:
		notes = append(notes, "Luma is on Y, with sync; the subcarrier and its burst are on C.")
	case composite.RGB:
		notes = append(notes, "Sync is on green.")
	}
	if w := wires[0]; w.Subcarrier() && w.Family == colorimetry.PAL {
		notes = append(notes, "Angles are those of lines with positive V, whose burst is at 135 degrees; the others have 360 degrees minus them, and the burst at 225.")
	} else if w.Subcarrier() {
		notes = append(notes, "Angles count from +(B'-Y') toward +(R'-Y'); the burst is at 180 degrees.")
	}
	curve := "by ITU-R BT.1886"
	if glow.Tube.Gamma != 2.4 {
		curve = fmt.Sprintf("by the equation of ITU-R BT.1886 with a gamma of %g", glow.Tube.Gamma)
	}
	return append(notes, "Light is that of a set whose levels match the wire, "+curve+"; x and y of gray patches are the white to align to.")
}

// fieldNote says which lines belong to which field.
func fieldNote(s *timing.Scan) string {
	if !s.Interlaced() {
		return ""
	}
	return fmt.Sprintf(" Lines 1 to %d are of field 1, those above %d of field 2.", s.Lines/2, s.Lines/2+1)
}
