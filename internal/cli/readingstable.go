package cli

import (
	"fmt"
	"strconv"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/readings"
	"backporch/internal/render"
	"backporch/internal/table"
)

// wireTables are what people read on the wire: one table, or with two wires
// that differ by their setup one for each scale, with both setups side by side.
func wireTables(spots []spot, wires []*composite.Wire) (tables []*table.Table) {
	if len(wires) == 1 {
		t := &table.Table{Name: "on wire", Title: "On the wire", Columns: []table.Column{{Name: "Patch"}}}
		all := quantities(wires[0])
		for _, q := range all {
			t.Columns = append(t.Columns, column(q, ""))
		}
		for _, s := range spots {
			cells := []any{s.name()}
			for _, q := range all {
				cells = append(cells, q.figure(wires[0].Family, s.held))
			}
			t.Add(cells...)
		}
		return append(tables, t)
	}
	for _, unit := range []string{"IRE", "mV"} {
		t := &table.Table{Name: "on wire " + unit, Title: "On the wire in " + unit + ", with 7.5 IRE of setup and with 0; chroma is peak to peak", Columns: []table.Column{{Name: "Patch"}}}
		var all []quantity
		for _, q := range quantities(wires[0]) {
			if q.unit != unit {
				continue
			}
			all = append(all, q)
			for _, w := range wires {
				t.Columns = append(t.Columns, column(q, setupWord(w)))
			}
		}
		for _, s := range spots {
			cells := []any{s.name()}
			for _, q := range all {
				for _, w := range wires {
					cells = append(cells, q.figure(w.Family, s.held))
				}
			}
			t.Add(cells...)
		}
		tables = append(tables, t)
	}
	return tables
}

// column has a narrow head: p-p goes to the unit; where there are two setups
// they take its place.
func column(q quantity, setup string) table.Column {
	c := table.Column{Name: q.name, Unit: q.unit, Key: q.key, Decimals: q.decimals, Align: table.Right}
	if n := len(c.Name) - len(" p-p"); n > 0 && c.Name[n:] == " p-p" {
		c.Name = c.Name[:n]
		c.Unit, c.Key = q.unit+" p-p", c.Key+"_p_p"
	}
	if setup != "" {
		c.Unit, c.Key = setup, ""
	}
	return c
}

// setupWord tells the two setups apart in a head.
func setupWord(w *composite.Wire) string {
	if w.Family.Setup() > 0 {
		return "7.5"
	}
	return "0"
}

// tubeTable is what an aligned tube makes of the signal.
func tubeTable(spots []spot, glow readings.Glow) *table.Table {
	t := &table.Table{Name: "tube", Title: "On an aligned tube", Columns: []table.Column{
		{Name: "Patch"}, {Name: "R'G'B'", Unit: "%", Key: "rgb_percent"},
		{Name: "Light", Unit: "%", Key: "light_percent", Align: table.Right}, {Name: "Light", Unit: "cd/m2", Key: "light_cd_m2", Align: table.Right},
		{Name: "x", Decimals: 4}, {Name: "y", Decimals: 4},
	}}
	for _, s := range spots {
		light, xy, lit := glow.Light(s.held)
		cells := []any{s.name(), percents(s.rgb), lightText(light), lightText(light / 100 * glow.Tube.White), nil, nil}
		if lit {
			cells[4], cells[5] = xy.X, xy.Y
		}
		t.Add(cells...)
	}
	return t
}

// lightText keeps two digits of small light.
func lightText(v float64) string {
	switch {
	case v < 1e-9:
		return "0"
	case v < 0.1:
		return strconv.FormatFloat(v, 'g', 2, 64)
	case v < 1:
		return strconv.FormatFloat(v, 'f', 2, 64)
	}
	return strconv.FormatFloat(v+tie, 'f', 1, 64)
}

// placeTable says where to look and what a file holds there, and what the
// tables of two setups have no room for: the angle, which is the same in both.
func placeTable(spots []spot, wires []*composite.Wire, job *render.Job) *table.Table {
	t := &table.Table{Name: "places", Title: "Where to look", Columns: []table.Column{
		{Name: "Patch"}, {Name: "Line"}, {Name: "Field"}, {Name: "At", Unit: "us", Key: "at_us", Decimals: 2},
	}}
	packets, codes := false, codesKnown(job)
	for _, s := range spots {
		packets = packets || s.Patch.Hz > 0
	}
	if packets {
		t.Columns = append(t.Columns, table.Column{Name: "Frequency", Unit: "MHz", Decimals: 3})
	}
	if len(wires) > 1 {
		t.Columns = append(t.Columns, column(angle, ""))
	}
	if codes {
		t.Title += ", and what is in the file"
		t.Columns = append(t.Columns, table.Column{Name: "Y CB CR", Unit: "8 bit", Key: "codes_8_bit"}, table.Column{Name: "Y CB CR", Unit: "10 bit", Key: "codes_10_bit"})
	}
	for _, s := range spots {
		cells := []any{s.name(), s.Line.Number, s.Line.Field, s.Microseconds}
		if packets {
			cells = append(cells, megahertz(s.Reading))
		}
		if len(wires) > 1 {
			cells = append(cells, angle.figure(wires[0].Family, s.held))
		}
		if codes {
			cells = append(cells, triple(s.codes8), triple(s.codes10))
		}
		t.Add(cells...)
	}
	return t
}

func triple(c [3]uint16) string { return fmt.Sprintf("%d %d %d", c[0], c[1], c[2]) }

// megahertz is the frequency of a packet; nil for other patches.
func megahertz(r readings.Reading) any {
	if r.Patch.Hz > 0 {
		return r.Patch.Hz / 1e6
	}
	return nil
}

// codesKnown reports whether it is known what a file must hold: not so where a
// wire is wanted and nothing said of the player. Devices with colors of their
// own hold R'G'B'.
func codesKnown(job *render.Job) bool {
	return (job.Plan.Wire == nil || job.Plan.Player != nil) && !job.Pixels()
}

// interfaceTable is what to set the scope to before looking at patches. Sync
// and burst are those of the player, which no file can change, once it is
// known.
func interfaceTable(wires []*composite.Wire, job *render.Job) *table.Table {
	t := &table.Table{Name: "interface", Title: "The interface", Columns: []table.Column{{Name: "Level"}}}
	ire := wires[0].Subcarrier() && wires[0].Family.Lines == 525
	for _, w := range wires {
		suffix, key := "", ""
		if len(wires) > 1 {
			suffix, key = " "+setupWord(w), "setup_"+map[bool]string{true: "7_5", false: "0"}[w.Family.Setup() > 0]+"_"
		}
		if ire {
			t.Columns = append(t.Columns, table.Column{Name: "IRE" + suffix, Key: key + "ire", Decimals: 1})
		}
		t.Columns = append(t.Columns, table.Column{Name: "mV" + suffix, Key: key + "mv", Decimals: 1})
	}
	add := func(name string, of func(f *colorimetry.Family) colorimetry.Millivolt, players bool) {
		cells := []any{name}
		for _, w := range wires {
			f := w.Family
			if players && job.Plan.Player != nil {
				f = job.Plan.Player
			}
			m := of(f)
			if ire {
				cells = append(cells, float64(m.IRE())+tie)
			}
			cells = append(cells, float64(m)+tie)
		}
		t.Add(cells...)
	}
	add("sync tip", func(f *colorimetry.Family) colorimetry.Millivolt { return f.Sync }, true)
	add("blanking", func(*colorimetry.Family) colorimetry.Millivolt { return 0 }, false)
	add("black", func(f *colorimetry.Family) colorimetry.Millivolt { return f.Black }, false)
	add("white", func(f *colorimetry.Family) colorimetry.Millivolt { return f.White }, false)
	switch {
	case wires[0].Subcarrier():
		add("burst p-p", func(f *colorimetry.Family) colorimetry.Millivolt { return f.Burst }, true)
	case wires[0].Kind == composite.YPbPr:
		for _, percent := range []int{75, 100} {
			add(fmt.Sprintf("PB, PR p-p, %d %%", percent), func(f *colorimetry.Family) colorimetry.Millivolt {
				return f.Chroma * colorimetry.Millivolt(percent) / 100
			}, false)
		}
	}
	return t
}
