package cli

import (
	"fmt"
	"strconv"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/readings"
	"backporch/internal/table"
)

// A quantity is one column of readings: a figure of a level on a family.
type quantity struct {
	name, unit, key string
	decimals        int
	of              func(l readings.Level) float64
	needsColor      bool // has no meaning where there is no subcarrier
}

func millivolts(name, key string, of func(readings.Level) colorimetry.Millivolt) quantity {
	return quantity{name: name, unit: "mV", key: key + "_mv", decimals: 1, of: func(l readings.Level) float64 { return float64(of(l)) }}
}

func ires(name, key string, of func(readings.Level) colorimetry.Millivolt) quantity {
	return quantity{name: name, unit: "IRE", key: key + "_ire", decimals: 1, of: func(l readings.Level) float64 { return float64(of(l).IRE()) }}
}

// quantities lists what can be read on a wire. IRE are the scale of 525-line
// composite; people get both scales of luma and chroma.
func quantities(w *composite.Wire) (list []quantity) {
	luma := func(l readings.Level) colorimetry.Millivolt { return l.Luma }
	chroma := func(l readings.Level) colorimetry.Millivolt { return l.Chroma }
	switch w.Kind {
	case composite.RGB:
		return []quantity{
			millivolts("R", "r", func(l readings.Level) colorimetry.Millivolt { return l.R }),
			millivolts("G", "g", func(l readings.Level) colorimetry.Millivolt { return l.G }),
			millivolts("B", "b", func(l readings.Level) colorimetry.Millivolt { return l.B }),
		}
	case composite.YPbPr:
		return []quantity{
			millivolts("Y", "luma", luma),
			millivolts("PB", "pb", func(l readings.Level) colorimetry.Millivolt { return l.PB }),
			millivolts("PR", "pr", func(l readings.Level) colorimetry.Millivolt { return l.PR }),
		}
	}
	name, other := "Luma", "Chroma p-p"
	if w.Kind == composite.YC {
		name, other = "Y", "C p-p"
	}
	low := func(l readings.Level) colorimetry.Millivolt { return l.Low }
	high := func(l readings.Level) colorimetry.Millivolt { return l.High }
	if w.Family.Lines == 525 {
		list = append(list, ires(name, "luma", luma))
	}
	list = append(list, millivolts(name, "luma", luma))
	if w.Family.Lines == 525 {
		list = append(list, ires(other, "chroma_pp", chroma))
	}
	list = append(list, millivolts(other, "chroma_pp", chroma))
	list = append(list, quantity{name: "Angle", unit: "deg", key: "angle_deg", decimals: 2, needsColor: true, of: func(l readings.Level) float64 { return l.Degrees }})
	if w.Kind == composite.Composite {
		if w.Family.Lines == 525 {
			return append(list, ires("Lowest", "lowest", low), ires("Highest", "highest", high))
		}
		return append(list, millivolts("Lowest", "lowest", low), millivolts("Highest", "highest", high))
	}
	return list
}

// figure is a reading as a cell: nil where it has no meaning.
func (q quantity) figure(l readings.Level) any {
	if q.needsColor && l.Chroma == 0 {
		return nil
	}
	return q.of(l) + 0 // no negative zero
}

// tie sends figures that lie on a half in the last digit, such as 94.85, up on
// every machine.
const tie = 1e-9

// words is a reading as people read it, of a patch with one level or two.
func (q quantity) words(r readings.Reading, f *colorimetry.Family) string {
	one := func(s colorimetry.Signal) string {
		v := q.figure(readings.On(f, s))
		if v == nil {
			return "-"
		}
		text := strconv.FormatFloat(v.(float64)+tie, 'f', q.decimals, 64)
		if zero := strconv.FormatFloat(0, 'f', q.decimals, 64); text == "-"+zero {
			return zero
		}
		return text
	}
	from, to := one(r.Held), one(r.HeldTo)
	if word, two := r.Ends(); two && from != to {
		return from + word + to
	}
	return from
}

// wireTable is what people read on the wire; with two wires, both setups side
// by side.
func wireTable(list []readings.Reading, wires []*composite.Wire) *table.Table {
	t := &table.Table{Name: "patches", Title: "On the wire", Columns: []table.Column{{Name: "Patch"}}}
	type column struct {
		q quantity
		f *colorimetry.Family
	}
	var columns []column
	if len(wires) == 1 {
		for _, q := range quantities(wires[0]) {
			columns = append(columns, column{q, wires[0].Family})
		}
	} else {
		t.Title = "On the wire, with 7.5 IRE of setup and with none; p-p is chroma, peak to peak"
		for _, q := range quantities(wires[0]) {
			switch q.key {
			case "luma_ire", "luma_mv", "chroma_pp_ire":
				for _, w := range wires {
					c := q
					c.name += setupWord(w)
					columns = append(columns, column{c, w.Family})
				}
			case "angle_deg":
				columns = append(columns, column{q, wires[0].Family})
			}
		}
	}
	for i, c := range columns {
		t.Columns = append(t.Columns, table.Column{Name: c.q.name, Unit: c.q.unit, Key: "c" + strconv.Itoa(i) + "_" + c.q.unitKey(), Align: table.Right})
	}
	t.Columns = append(t.Columns, table.Column{Name: "Line"}, table.Column{Name: "At", Unit: "us", Decimals: 2})
	for _, r := range list {
		cells := []any{r.Patch.Name}
		for _, c := range columns {
			cells = append(cells, c.q.words(r, c.f))
		}
		t.Add(append(cells, r.Line.Number, r.Microseconds)...)
	}
	return t
}

func (q quantity) unitKey() string { return strings.ToLower(q.unit) }

// setupWord tells the two setups apart in a head.
func setupWord(w *composite.Wire) string {
	if w.Family.Setup() > 0 {
		return " 7.5"
	}
	return " 0"
}

// fileTable is what stands in the file, and what the tube makes of it.
func fileTable(list []readings.Reading, glow readings.Glow) *table.Table {
	t := &table.Table{Name: "tube", Title: "In the file, and on an aligned tube", Columns: []table.Column{
		{Name: "Patch"}, {Name: "R'G'B'", Unit: "%", Key: "rgb_percent"},
		{Name: "Y CB CR", Unit: "8 bit", Key: "codes_8_bit"}, {Name: "Y CB CR", Unit: "10 bit", Key: "codes_10_bit"},
		{Name: "Light", Unit: "%", Key: "light_percent", Align: table.Right}, {Name: "x", Decimals: 4}, {Name: "y", Decimals: 4},
	}}
	for _, r := range list {
		light, xy, lit := glow.Light(r.Held)
		text := lightText(light)
		rgb := percents(r.RGB)
		word, two := r.Ends()
		if two {
			rgb += word + percents(r.ToRGB)
			to, _, _ := glow.Light(r.HeldTo)
			text += word + lightText(to)
		}
		cells := []any{r.Patch.Name, rgb, r.Words(r.Codes8, r.To8), r.Words(r.Codes10, r.To10), text, nil, nil}
		if lit && !two {
			cells[5], cells[6] = xy.X, xy.Y
		}
		t.Add(cells...)
	}
	return t
}

// lightText keeps three digits of small light.
func lightText(percent float64) string {
	switch {
	case percent == 0:
		return "0"
	case percent < 1:
		return strconv.FormatFloat(percent, 'g', 2, 64)
	}
	return strconv.FormatFloat(percent, 'f', 1, 64)
}

// fillPatches is all of it for programs: a row for each patch and wire, numbers
// as numbers; columns with _to_ are the far end of a patch with two levels.
func fillPatches(t *table.Table, list []readings.Reading, wires []*composite.Wire, glow readings.Glow) {
	number := func(key string, decimals int) {
		t.Columns = append(t.Columns, table.Column{Name: strings.ReplaceAll(key, "_", " "), Key: key, Decimals: decimals})
	}
	text := func(key string) { number(key, 0) }
	for _, key := range []string{"wire", "patch", "kind", "field", "line"} {
		text(key)
	}
	number("at_us", 3)
	number("frequency_mhz", 4)
	all := quantities(wires[0])
	for _, end := range []string{"", "to_"} {
		for _, q := range all {
			number(end+q.key, q.decimals+2)
		}
	}
	for _, end := range []string{"", "to_"} {
		for _, c := range []string{"r", "g", "b"} {
			number(end+c+"_percent", 2)
		}
		for _, bits := range []string{"8", "10"} {
			for _, c := range []string{"y", "cb", "cr"} {
				number(end+c+"_code_"+bits, 0)
			}
		}
		number(end+"light_percent", 5)
		number(end+"x", 5)
		number(end+"y", 5)
	}
	text("clipped")
	for _, w := range wires {
		for _, r := range list {
			t.Add(patchCells(r, w, all, glow)...)
		}
	}
}

func patchCells(r readings.Reading, w *composite.Wire, all []quantity, glow readings.Glow) []any {
	cells := []any{w.Name, r.Patch.Name, string(r.Patch.Kind), r.Line.Field, r.Line.Number, r.Microseconds, nil}
	if r.Patch.Hz > 0 {
		cells[6] = r.Patch.Hz / 1e6
	}
	_, two := r.Ends()
	for i, s := range []colorimetry.Signal{r.Held, r.HeldTo} {
		for _, q := range all {
			if i == 1 && !two {
				cells = append(cells, nil)
				continue
			}
			cells = append(cells, q.figure(readings.On(w.Family, s)))
		}
	}
	for i, s := range []colorimetry.Signal{r.Held, r.HeldTo} {
		if i == 1 && !two {
			cells = append(cells, make([]any, 12)...)
			continue
		}
		rgb, c8, c10 := r.RGB, r.Codes8, r.Codes10
		if i == 1 {
			rgb, c8, c10 = r.ToRGB, r.To8, r.To10
		}
		for _, v := range rgb {
			cells = append(cells, v)
		}
		for _, c := range [][3]uint16{c8, c10} {
			for _, v := range c {
				cells = append(cells, int(v))
			}
		}
		light, xy, lit := glow.Light(s)
		cells = append(cells, light, nil, nil)
		if lit {
			cells[len(cells)-2], cells[len(cells)-1] = xy.X, xy.Y
		}
	}
	return append(cells, r.Clipped)
}

// interfaceTable is what to set the scope to before looking at patches.
func interfaceTable(wires []*composite.Wire, people bool) *table.Table {
	t := &table.Table{Name: "interface", Title: "The interface", Columns: []table.Column{{Name: "Level"}}}
	ire := wires[0].Subcarrier() && wires[0].Family.Lines == 525
	for _, w := range wires {
		suffix, key := "", ""
		if len(wires) > 1 {
			suffix, key = setupWord(w), w.Name+" "
		}
		key = strings.ReplaceAll(strings.ReplaceAll(key, "-", "_"), " ", "_")
		if ire {
			t.Columns = append(t.Columns, table.Column{Name: "IRE" + suffix, Key: key + "ire", Decimals: 1})
		}
		t.Columns = append(t.Columns, table.Column{Name: "mV" + suffix, Key: key + "mv", Decimals: 1})
	}
	add := func(name string, of func(f *colorimetry.Family) colorimetry.Millivolt) {
		cells := []any{name}
		for _, w := range wires {
			m := of(w.Family)
			if ire {
				cells = append(cells, float64(m.IRE()))
			}
			cells = append(cells, float64(m))
		}
		t.Add(cells...)
	}
	add("sync tip", func(f *colorimetry.Family) colorimetry.Millivolt { return f.Sync })
	add("blanking", func(*colorimetry.Family) colorimetry.Millivolt { return 0 })
	add("black", func(f *colorimetry.Family) colorimetry.Millivolt { return f.Black })
	add("white", func(f *colorimetry.Family) colorimetry.Millivolt { return f.White })
	switch {
	case wires[0].Subcarrier():
		add("burst p-p", func(f *colorimetry.Family) colorimetry.Millivolt { return f.Burst })
	case wires[0].Kind == composite.YPbPr:
		for _, percent := range []int{75, 100} {
			add(fmt.Sprintf("PB, PR p-p, %d %%", percent), func(f *colorimetry.Family) colorimetry.Millivolt {
				return f.Chroma * colorimetry.Millivolt(percent) / 100
			})
		}
	}
	return t
}
