package report

import (
	"strings"

	"backporch/internal/table"
)

// Record is the result for printing at once: values against tolerances, what
// they point to, and the figures behind them.
func (r *Result) Record() *table.Record {
	rec := &table.Record{Name: "reading", Title: r.title(), Fields: []table.Field{{Name: "What", Value: string(r.M.What)}}}
	add := func(name, value string) {
		if value != "" {
			rec.Fields = append(rec.Fields, table.Field{Name: name, Value: value})
		}
	}
	if r.Entry != nil {
		rec.Fields = append(rec.Fields, table.Field{Name: "Entry", Value: r.Entry.ID}, table.Field{Name: "Time", Value: minute(r.Entry.Time) + " UTC"})
	}
	add("Stage", string(r.M.Stage))
	add("Input", r.M.Input)
	add("Pattern", r.M.Pattern)
	add("Instrument", r.M.Instrument)
	if r.M.Invented {
		add("Invented", "yes: made up for an example, no set was measured")
	}
	add("Verdict", r.verdict())
	if len(r.Judged) > 0 {
		rec.Tables = append(rec.Tables, r.valueTable())
	}
	rec.Tables = append(rec.Tables, r.Tables...)
	if t := r.limitTable(); t.Len() > 0 {
		rec.Tables = append(rec.Tables, t)
	}
	rec.Notes = r.Words
	return rec
}

// verdict says in a sentence how the readings stand to the tolerances.
func (r *Result) verdict() string {
	var out, untold []string
	held := 0
	for i := range r.Judged {
		j := &r.Judged[i]
		if j.verdict() != "" {
			held++
		}
		switch {
		case j.Out:
			out = append(out, lower(j.Name))
		case j.Untold:
			untold = append(untold, lower(j.Name))
		}
	}
	var parts []string
	if len(out) > 0 {
		parts = append(parts, "out of tolerance: "+strings.Join(out, "; "))
	}
	if len(untold) > 0 {
		parts = append(parts, "cannot be told: "+strings.Join(untold, "; "))
	}
	switch {
	case held == 0:
		return "nothing here has a tolerance"
	case len(parts) == 0:
		return "all within tolerance"
	}
	return strings.Join(parts, ". ")
}

// lower is a name within a sentence.
func lower(s string) string {
	if len(s) > 1 && s[1] >= 'A' && s[1] <= 'Z' { // an abbreviation
		return s
	}
	return strings.ToLower(s[:min(1, len(s))]) + s[min(1, len(s)):]
}

// valueTable is the findings against their tolerances. The terms of a raster
// that have none stand in a table of their own.
func (r *Result) valueTable() *table.Table {
	t := &table.Table{Name: "values", Columns: []table.Column{{Name: "Quantity"}, {Name: "Key"}, {Name: "Value", Decimals: table.Shortest, Align: table.Right},
		{Name: "Unit"}, {Name: "Least", Decimals: table.Shortest}, {Name: "Most", Decimals: table.Shortest}, {Name: "Judged"}}}
	for i := range r.Judged {
		if j := &r.Judged[i]; !j.Minor || r.Fit == nil {
			t.Add(j.Name, j.Key, j.number(), orNil(j.Unit), bound(j.Min), bound(j.Max), orNil(j.verdict()))
		}
	}
	return t
}

// limitTable is the tolerances that were applied and where they are from.
func (r *Result) limitTable() *table.Table {
	t := &table.Table{Name: "tolerances", Title: "Tolerances", Columns: []table.Column{{Name: "Quantity"}, {Name: "Range"}, {Name: "Source"}}}
	for i := range r.Judged {
		if j := &r.Judged[i]; j.Source != "" {
			t.Add(j.Name, orNil(bounds(j.Min, j.Max, j.Unit)), j.Source)
		}
	}
	return t
}

// number is a value for a table whose rows have decimals of their own.
func (j *Judged) number() any {
	if j.Text != "" {
		return j.Text
	}
	return rounded(j.Value, j.Decimals)
}

func bound(v *float64) any {
	if v == nil {
		return nil
	}
	return plain(*v)
}

func orNil(s string) any {
	if s == "" {
		return nil
	}
	return s
}
