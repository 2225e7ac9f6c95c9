package cli

import (
	"fmt"
	"math"
	"strings"

	"backporch/internal/table"
	"backporch/internal/trace"
	"backporch/timing"
)

// A scopeReport is a measured record as a document.
type scopeReport struct {
	*trace.Report
	raster *timing.Raster
	file   string
	spec   string
}

// document is the report in the form of the flags: a CSV has the patches alone.
func (d scopeReport) document(f *tableFlags) table.Document {
	if f.CSV && !f.JSON {
		return d.patchData()
	}
	rec := d.record()
	if f.JSON {
		rec.Tables = []*table.Table{d.factData(), d.patchData(), d.rowData()}
	} else {
		rec.Tables = append(rec.Tables, d.factText())
		if len(d.Patches) > 0 {
			rec.Tables = append(rec.Tables, d.patchText()...)
		}
	}
	for _, f := range d.Faults {
		rec.Notes = append(rec.Notes, strings.ToUpper(f.Name[:1])+f.Name[1:]+": "+f.Text)
	}
	rec.Notes = append(rec.Notes, d.Notes...)
	if d.Scale != 1 {
		rec.Notes = append(rec.Notes, fmt.Sprintf("Levels are those of the record divided by %.4g, so that the rest can be judged.", d.Scale))
	}
	rec.Notes = append(rec.Notes, d.notes(f.JSON)...)
	return rec
}

// notes are what holds for every record.
func (d scopeReport) notes(data bool) []string {
	list := []string{"Levels are above the blanking behind the burst; times count from 0H, the half-way point of the leading edge of sync."}
	if !data {
		list = append(list, d.sources()...)
	}
	return append(list, "Put the probe on the connector: the chassis of a picture-tube set may be at mains voltage, and inside it are lethal voltages, also after it is unplugged.")
}

// verdict is all in one line.
func (d scopeReport) verdict() string {
	var parts []string
	for _, f := range d.Faults {
		parts = append(parts, f.Name)
	}
	out := d.Out()
	if len(out) > 0 {
		parts = append(parts, "out of tolerance: "+strings.Join(out, ", "))
	} else if len(d.Patches) > 0 {
		parts = append(parts, "within tolerance")
	} else {
		parts = append(parts, "what does not depend on the picture is within tolerance")
	}
	return strings.Join(parts, "; ")
}

// record is the facts about the record as a whole.
func (d scopeReport) record() *table.Record {
	t := d.Target
	rec := &table.Record{Name: "check scope", Fields: []table.Field{
		{Name: "File", Value: d.file},
		{Name: "Pattern", Value: d.spec},
		{Name: "Raster", Value: d.raster.Name},
		{Name: "Wire", Value: t.Wire.Name},
		{Name: "Signal", Value: d.Signal},
		{Name: "Fit", Value: d.Fit()},
		{Name: "Verdict", Value: d.verdict()},
		{Name: "Rate", Unit: "MS/s", Key: "rate_ms_s", Decimals: 3, Value: d.Rate / 1e6},
		{Name: "Samples", Value: d.Points},
		{Name: "First 0H", Unit: "us", Key: "first_0h_us", Decimals: 3, Value: d.At},
		{Name: "Blanking", Unit: "mV", Decimals: 1, Value: d.Blanking},
		{Name: "Lines", Value: d.Lines},
		{Name: "Left out", Value: d.Left},
	}}
	add := func(f table.Field) { rec.Fields = append(rec.Fields, f) }
	if len(d.Bands) > 0 {
		b := d.Bands[0]
		text := fmt.Sprintf("that of %s (%s)", b.Lines, b.Sure)
		if len(d.Bands) > 1 {
			text = fmt.Sprintf("%d rows, most often %s", len(d.Bands), text)
		}
		add(table.Field{Name: "Row", Value: text})
	}
	add(table.Field{Name: "Scale", Decimals: 4, Value: d.Scale})
	if d.Setup.Word != "" {
		add(table.Field{Name: "Setup", Value: setupText(d.Setup)})
		add(table.Field{Name: "Black", Unit: "IRE", Decimals: 2, Value: ire(d.Setup.MV)})
	}
	if d.Gain.LumaOK {
		add(table.Field{Name: "Luma gain", Decimals: 4, Value: d.Gain.Luma})
		add(table.Field{Name: "Luma offset", Unit: "mV", Decimals: 2, Value: d.Gain.Offset})
	}
	if d.Gain.ChromaOK {
		add(table.Field{Name: "Chroma gain", Decimals: 4, Value: d.Gain.Chroma})
		add(table.Field{Name: "Phase error", Unit: "deg", Decimals: 2, Value: d.Gain.Phase})
	}
	if d.Bursts > 0 {
		add(table.Field{Name: "Subcarrier", Unit: "MHz", Decimals: 6, Value: d.MHz})
		add(table.Field{Name: "Bursts", Value: d.Bursts})
	}
	return rec
}

// setupText says where black lies in words.
func setupText(s trace.Setup) string {
	from := "the black patch"
	if s.From != "black" {
		from = "the other levels"
	}
	switch s.Word {
	case "between":
		return fmt.Sprintf("between 0 and 7.5 IRE, by %s: neither", from)
	case "outside":
		return fmt.Sprintf("neither 0 nor 7.5 IRE, by %s", from)
	}
	return s.Word + " IRE, by " + from
}

// factText is the facts as people read them, levels in the unit of the wire.
func (d scopeReport) factText() *table.Table {
	t := &table.Table{Name: "readings", Title: "Sync, burst and line", Columns: []table.Column{
		{Name: "Reading"}, {Name: "Wanted", Align: table.Right}, {Name: "Found", Align: table.Right}, {Name: "Unit"}}}
	if d.IRE {
		t.Columns = append(t.Columns, table.Column{Name: "Found", Unit: "mV", Decimals: 1})
	}
	t.Columns = append(t.Columns, table.Column{Name: "Allowed", Align: table.Right}, table.Column{Name: "Verdict"})
	for _, f := range d.Facts {
		want, got, low, high, unit := f.Want, f.Got, f.Low, f.High, f.Unit
		decimals := map[string]int{"mV": 1, "us": 3, "cycles": 2, "deg": 1, "cycles a line": 3}[unit]
		var mv any
		if unit == "mV" && d.IRE {
			mv = got
			want, got, low, high, unit = ire(want), ire(got), ire(low), ire(high), "IRE"
		}
		if unit == "cycles a line" {
			unit = "cycles"
		}
		n := func(v float64) string { return plainZero(fmt.Sprintf("%.*f", decimals, v+tie)) }
		cells := []any{f.Name, n(want), n(got), unit}
		if d.IRE {
			cells = append(cells, mv)
		}
		v := string(f.Verdict)
		if v == "" {
			v = "-"
		}
		t.Add(append(cells, n(low)+" to "+n(high), v)...)
	}
	return t
}

// plainZero takes the sign from a figure that is rounded to nothing.
func plainZero(s string) string {
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// sources says where wanted levels and tolerances are from, a sentence for each
// source.
func (d scopeReport) sources() (list []string) {
	names := map[string][]string{}
	var order []string
	for _, f := range d.Facts {
		if names[f.Source] == nil {
			order = append(order, f.Source)
		}
		names[f.Source] = append(names[f.Source], f.Name)
	}
	for _, s := range order {
		list = append(list, fmt.Sprintf("%s: %s.", strings.Join(names[s], ", "), s))
	}
	if len(d.Patches) > 0 {
		list = append(list, "Patches: tolerances are common practice, a vectorscope's inner boxes for color.")
	}
	return list
}

// patchText is the patches as people read them: in the unit of the wire with the
// verdict, and on 525-line composite in mV as well.
func (d scopeReport) patchText() (tables []*table.Table) {
	units := []string{"mV"}
	if d.IRE {
		units = []string{"IRE", "mV"}
	}
	p := d.Patches[0]
	for i, unit := range units {
		of := func(mv float64) float64 {
			if unit == "IRE" {
				mv = ire(mv)
			}
			return mv + tie
		}
		t := &table.Table{Name: "patches " + unit, Title: "Patches in " + unit, Columns: []table.Column{{Name: "Patch"}}}
		add := func(name, what string, decimals int) {
			key := strings.ReplaceAll(strings.ToLower(name+" "+what), " ", "_")
			t.Columns = append(t.Columns, table.Column{Name: name, Unit: what, Key: key, Decimals: decimals, Align: table.Right})
		}
		if p.HasLevel {
			add("Level", "wanted", 1)
			add("Level", "found", 1)
		}
		if p.HasPP {
			add("Chroma", "wanted", 1)
			add("Chroma", "found", 1)
			if i == 0 {
				add("Angle", "wanted", 1)
				add("Angle", "found", 1)
			}
		}
		if i == 0 {
			t.Columns = append(t.Columns, table.Column{Name: "Verdict"})
		}
		for _, p := range d.Patches {
			cells := []any{p.Name}
			if p.HasLevel {
				cells = append(cells, of(p.Want), of(p.Got))
			}
			if p.HasPP {
				cells = append(cells, of(p.WantPP), of(p.GotPP))
				if i == 0 {
					cells = append(cells, angleOf(p, p.WantDegrees), angleOf(p, p.GotDegrees))
				}
			}
			if i == 0 {
				cells = append(cells, patchVerdict(p))
			}
			t.Add(cells...)
		}
		tables = append(tables, t)
	}
	if p.HasPP {
		tables[0].Title += "; chroma is peak to peak, angles count from +(B'-Y')"
	}
	return tables
}

// angleOf is an angle where the patch has one.
func angleOf(p trace.Patch, degrees float64) any {
	if !p.Colored {
		return nil
	}
	return degrees
}

// patchVerdict is "ok", or what is off: "chroma low, phase high".
func patchVerdict(p trace.Patch) string {
	var off []string
	for _, q := range []struct {
		name string
		v    trace.Verdict
	}{{"level", p.Level}, {"chroma", p.Chroma}, {"phase", p.Phase}} {
		if q.v == trace.Low || q.v == trace.High {
			off = append(off, q.name+" "+string(q.v))
		}
	}
	if len(off) == 0 {
		return "ok"
	}
	return strings.Join(off, ", ")
}

// factData is the facts for programs.
func (d scopeReport) factData() *table.Table {
	t := &table.Table{Name: "readings", Columns: []table.Column{
		{Name: "Reading"}, {Name: "Unit"}, {Name: "Wanted", Decimals: 4}, {Name: "Found", Decimals: 4}, {Name: "Spread", Decimals: 4},
		{Name: "Low", Decimals: 4}, {Name: "High", Decimals: 4}, {Name: "Lines"}, {Name: "Verdict"}, {Name: "Source"},
	}}
	for _, f := range d.Facts {
		t.Add(f.Name, f.Unit, f.Want, f.Got, f.Spread, f.Low, f.High, f.Count, word(f.Verdict), f.Source)
	}
	return t
}

// patchData is the patches for programs, in mV, and IRE where that is usual.
func (d scopeReport) patchData() *table.Table {
	t := &table.Table{Name: "patches", Columns: []table.Column{{Name: "Patch"}, {Name: "Lines"}}}
	for _, q := range []string{"Level", "Chroma p-p"} {
		for _, what := range []string{"wanted", "found", "spread"} {
			for _, unit := range []string{"mV", "IRE"} {
				t.Columns = append(t.Columns, table.Column{Name: q + " " + what, Unit: unit, Decimals: 3})
			}
		}
	}
	t.Columns = append(t.Columns, table.Column{Name: "Angle wanted", Unit: "deg", Decimals: 3}, table.Column{Name: "Angle found", Unit: "deg", Decimals: 3},
		table.Column{Name: "Level verdict"}, table.Column{Name: "Chroma verdict"}, table.Column{Name: "Phase verdict"})
	for _, p := range d.Patches {
		cells := []any{p.Name, p.Count}
		add := func(has bool, list ...float64) {
			for _, mv := range list {
				switch {
				case !has:
					cells = append(cells, nil, nil)
				case d.IRE:
					cells = append(cells, mv, ire(mv))
				default:
					cells = append(cells, mv, nil)
				}
			}
		}
		add(p.HasLevel, p.Want, p.Got, p.Spread)
		add(p.HasPP, p.WantPP, p.GotPP, p.SpreadPP)
		t.Add(append(cells, angleOf(p, p.WantDegrees), angleOf(p, p.GotDegrees), word(p.Level), word(p.Chroma), word(p.Phase))...)
	}
	return t
}

// rowData is which rows of the pattern the lines show.
func (d scopeReport) rowData() *table.Table {
	t := &table.Table{Name: "rows", Columns: []table.Column{{Name: "Lines of the frame"}, {Name: "Lines"}, {Name: "Sure"}, {Name: "Numbered"},
		{Name: "Misfit", Unit: "mV", Decimals: 2}, {Name: "Next misfit", Unit: "mV", Decimals: 2}}}
	for _, b := range d.Bands {
		var next any
		if !math.IsInf(b.Next, 0) {
			next = b.Next
		}
		t.Add(b.Lines, b.Count, b.Sure, b.Numbered, b.Misfit, next)
	}
	return t
}

// word is a verdict as a cell: nil where nothing is judged.
func word(v trace.Verdict) any {
	if v == trace.Unjudged {
		return nil
	}
	return string(v)
}
