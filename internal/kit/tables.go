package kit

import (
	"fmt"
	"io"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/device"
	"backporch/internal/readings"
	"backporch/internal/table"
)

// A level is one level of a spot: the patch, or one of its two ends.
type level struct {
	spot
	end  string // "" or which of the two
	held colorimetry.Signal
	off  *deviation
}

// levels splits the spots with two levels.
func levels(spots []spot) (list []level) {
	for _, s := range spots {
		word, two := s.Ends()
		ends := [2]string{"first", "second"}
		if word == " to " {
			ends = [2]string{"from", "to"}
		}
		if !two {
			ends[0] = ""
		}
		list = append(list, level{s, ends[0], s.held[0], s.deviations[0]})
		if two {
			list = append(list, level{s, ends[1], s.held[1], s.deviations[1]})
		}
	}
	return list
}

// name is the patch as people read it.
func (l level) name() string {
	name := l.Patch.Name
	if l.end != "" {
		name += ", " + l.end
	}
	return name
}

// tie sends figures that lie on a half in the last digit up on every machine.
const tie = 1e-9

// columns of the table of readings; a cell that has no meaning is empty.
func (r *run) columns() []table.Column {
	list := []table.Column{
		{Name: "Picture"}, {Name: "Pattern"}, {Name: "Wire"}, {Name: "Patch"}, {Name: "End"}, {Name: "Kind"}, {Name: "Absent"},
		{Name: "Line"}, {Name: "At", Unit: "us", Decimals: 3},
		{Name: "Luma", Unit: "mV", Decimals: 2}, {Name: "Luma", Unit: "IRE", Decimals: 2},
		{Name: "Chroma p-p", Unit: "mV", Key: "chroma_pp_mv", Decimals: 2}, {Name: "Angle", Unit: "deg", Decimals: 2},
		{Name: "PB", Unit: "mV", Decimals: 2}, {Name: "PR", Unit: "mV", Decimals: 2},
		{Name: "R", Unit: "mV", Decimals: 2}, {Name: "G", Unit: "mV", Decimals: 2}, {Name: "B", Unit: "mV", Decimals: 2},
	}
	if r.Device != nil {
		unit := device.Unit(r.wires()[0])
		list = append(list, table.Column{Name: "Luma off", Unit: unit, Decimals: 2}, table.Column{Name: "Chroma off", Unit: "%", Decimals: 2},
			table.Column{Name: "Color in gray", Unit: unit, Decimals: 2}, table.Column{Name: "Hue off", Unit: "deg", Decimals: 2}, table.Column{Name: "Beyond"})
	}
	return list
}

// readingsTable is every patch of every picture, for programs and sheets.
func (r *run) readingsTable(all []*made) *table.Table {
	t := &table.Table{Name: "readings", Columns: r.columns()}
	for _, f := range r.wires() {
		for _, m := range all {
			for _, l := range levels(m.spots) {
				t.Add(r.cells(f, m, l)...)
			}
		}
	}
	return t
}

func (r *run) cells(f *colorimetry.Family, m *made, l level) []any {
	cells := []any{m.Number, m.Spec, f.Name, l.Patch.Name, l.end, string(l.Patch.Kind), l.Patch.Absent != "", l.Line.Number, l.Microseconds,
		nil, nil, nil, nil, nil, nil, nil, nil, nil}
	x := readings.On(f, l.held)
	put := func(at int, v float64) { cells[at] = v + tie }
	switch f.Interface {
	case colorimetry.ComponentRGB:
		put(15, float64(x.R))
		put(16, float64(x.G))
		put(17, float64(x.B))
	case colorimetry.ComponentYPbPr:
		put(9, float64(x.Luma))
		put(13, float64(x.PB))
		put(14, float64(x.PR))
	default:
		put(9, float64(x.Luma))
		if r.Raster.Scan.System.Lines() == 525 {
			put(10, float64(x.Luma.IRE()))
		}
		put(11, float64(x.Chroma))
		if x.Chroma != 0 {
			put(12, x.Degrees)
		}
	}
	if r.Device == nil {
		return cells
	}
	d := l.off
	switch {
	case d == nil:
		return append(cells, nil, nil, nil, nil, nil)
	case d.Neutral:
		return append(cells, d.Error.Luma+tie, nil, d.Error.Chroma+tie, nil, d.Beyond())
	}
	return append(cells, d.Error.Luma+tie, d.Error.Chroma+tie, nil, d.Error.Hue+tie, d.Beyond())
}

// writeCSV writes readings.csv.
func (r *run) writeCSV(w io.Writer, all []*made) error {
	return r.readingsTable(all).Write(w, table.CSV, 0)
}

// writeText writes readings.txt: a table for each picture, to print and lay
// beside the scope.
func (r *run) writeText(w io.Writer, all []*made) error {
	var t textPage
	t.title(r.title() + ": what must be read")
	t.para(fmt.Sprintf("Levels are mV above blanking at one termination of 75 ohm. %s Times count from 0H, the half-way point of the leading edge of sync. %s", r.wiresInWords(), r.offInWords()))
	t.para("Put the probe on the connector: the chassis of a picture-tube set may be at mains voltage, and inside it are lethal voltages, also after it is unplugged.")
	if _, err := io.WriteString(w, t.String()); err != nil {
		return err
	}
	for _, m := range all {
		if len(m.spots) == 0 {
			continue
		}
		x := &table.Table{Name: "readings", Title: fmt.Sprintf("\n%02d %s", m.Number, m.Spec),
			Columns: []table.Column{{Name: "Patch"}, {Name: "Line"}, {Name: "At", Unit: "us", Decimals: 2}}}
		for _, f := range r.wires() {
			x.Columns = append(x.Columns, wireColumns(f, len(r.wires()) > 1)...)
		}
		if r.Device != nil {
			x.Columns = append(x.Columns, table.Column{Name: "Off"})
		}
		for _, l := range levels(m.spots) {
			name := l.name()
			if l.Patch.Absent != "" {
				name += " (absent)"
			}
			cells := []any{name, l.Line.Number, l.Microseconds}
			for _, f := range r.wires() {
				for _, c := range onWire(f, l.held) {
					cells = append(cells, c)
				}
			}
			if r.Device != nil {
				cells = append(cells, l.off.verdict())
			}
			x.Add(cells...)
		}
		if err := x.Write(w, table.Text, 0); err != nil {
			return err
		}
	}
	return nil
}

// wireColumns are the columns of onWire. With several wires their setup stands
// in the head.
func wireColumns(f *colorimetry.Family, several bool) (list []table.Column) {
	names := []string{"Luma", "Chroma", "Angle"}
	switch f.Interface {
	case colorimetry.ComponentRGB:
		names = []string{"R G B"}
	case colorimetry.ComponentYPbPr:
		names = []string{"Luma", "PB", "PR"}
	}
	for _, n := range names {
		c := table.Column{Name: n, Unit: "mV", Align: table.Right}
		switch n {
		case "Chroma":
			c.Unit = "mV p-p"
		case "Angle":
			c.Unit = "deg"
		}
		c.Key = strings.ToLower(strings.NewReplacer(" ", "_", "-", "_").Replace(n + "_" + c.Unit))
		if several {
			setup := "0"
			if f.Setup() > 0 {
				setup = "7.5"
			}
			c.Name += " " + setup
			c.Key = "setup_" + strings.ReplaceAll(setup, ".", "_") + "_" + c.Key
		}
		list = append(list, c)
	}
	return list
}

// wiresInWords says which levels stand in the tables.
func (r *run) wiresInWords() string {
	if len(r.wires()) > 1 {
		return "The player is not known: columns with 7.5 hold where its encoder adds 7.5 IRE of setup, those with 0 where it adds none."
	}
	return "They are those of " + r.wires()[0].Title + "."
}

func (r *run) offInWords() string {
	if r.Device == nil {
		return ""
	}
	return "They are what the device really gives; the last column says how far patches are from what the standard wants, with (!) beyond " + limitsInWords(device.Unit(r.wires()[0])) + "."
}
