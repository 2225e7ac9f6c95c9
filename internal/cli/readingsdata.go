package cli

import (
	"backporch/internal/composite"
	"backporch/internal/readings"
	"backporch/internal/render"
	"backporch/internal/table"
)

// dataTable is all readings for programs: a row for each wire and level, with
// numbers as numbers. A patch of two levels has two rows, told apart by End.
// What has no meaning is missing.
func dataTable(spots []spot, wires []*composite.Wire, glow readings.Glow, job *render.Job) *table.Table {
	t := &table.Table{Name: "patches", Columns: []table.Column{
		{Name: "Wire"}, {Name: "Patch"}, {Name: "Kind"}, {Name: "End"}, {Name: "Clipped"},
		{Name: "Line"}, {Name: "Field"}, {Name: "At", Unit: "us", Decimals: 3}, {Name: "Frequency", Unit: "MHz", Decimals: 4},
	}}
	all := quantities(wires[0])
	for _, q := range all {
		t.Columns = append(t.Columns, table.Column{Name: q.name, Unit: q.unit, Key: q.key, Decimals: q.decimals + 2})
	}
	for _, c := range []string{"R'", "G'", "B'"} {
		t.Columns = append(t.Columns, table.Column{Name: c, Unit: "%", Decimals: 2})
	}
	for _, bits := range []string{"8 bit", "10 bit"} {
		for _, c := range []string{"Y", "CB", "CR"} {
			t.Columns = append(t.Columns, table.Column{Name: c, Unit: bits})
		}
	}
	t.Columns = append(t.Columns, table.Column{Name: "Light", Unit: "%", Decimals: 5}, table.Column{Name: "Light", Unit: "cd/m2", Decimals: 5},
		table.Column{Name: "x", Decimals: 5}, table.Column{Name: "y", Decimals: 5}, table.Column{Name: "Absent"})
	for _, w := range wires {
		for _, s := range spots {
			t.Add(dataCells(s, w, all, glow, codesKnown(job))...)
		}
	}
	return t
}

func dataCells(s spot, w *composite.Wire, all []quantity, glow readings.Glow, codes bool) []any {
	var end any
	if s.end != "" {
		end = s.end
	}
	var absent any // why, where it is
	if s.Patch.Absent != "" {
		absent = s.Patch.Absent
	}
	cells := []any{w.Name, s.Patch.Name, string(s.Patch.Kind), end, s.clipped, s.Line.Number, s.Line.Field, s.Microseconds, megahertz(s.Reading)}
	for _, q := range all {
		cells = append(cells, q.figure(w.Family, s.held))
	}
	for _, v := range s.rgb {
		cells = append(cells, v+tie)
	}
	for _, three := range [][3]uint16{s.codes8, s.codes10} {
		for _, c := range three {
			if codes {
				cells = append(cells, int(c))
			} else {
				cells = append(cells, nil)
			}
		}
	}
	light, xy, lit := glow.Light(s.held)
	cells = append(cells, light, light/100*glow.Tube.White, nil, nil)
	if lit {
		cells[len(cells)-2], cells[len(cells)-1] = xy.X, xy.Y
	}
	return append(cells, absent)
}
