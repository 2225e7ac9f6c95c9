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
	rec.Notes = r.Words
	return rec
}

// verdict says in a sentence how the readings stand to the tolerances.
func (r *Result) verdict() string {
	var out []string
	held := 0
	for i := range r.Judged {
		j := &r.Judged[i]
		if j.verdict() != "" {
			held++
		}
		if j.Out {
			out = append(out, lower(j.Name))
		}
	}
	switch {
	case held == 0:
		return "nothing here has a tolerance"
	case len(out) == 0:
		return "all within tolerance"
	}
	return "out of tolerance: " + strings.Join(out, ", ")
}

// lower is a name within a sentence.
func lower(s string) string {
	if len(s) > 1 && s[1] >= 'A' && s[1] <= 'Z' { // an abbreviation
		return s
	}
	return strings.ToLower(s[:min(1, len(s))]) + s[min(1, len(s)):]
}

// valueTable is the findings against their tolerances.
func (r *Result) valueTable() *table.Table {
	t := &table.Table{Name: "values", Columns: []table.Column{{Name: "Quantity"}, {Name: "Key"}, {Name: "Value", Decimals: table.Shortest, Align: table.Right},
		{Name: "Unit"}, {Name: "Least", Decimals: table.Shortest}, {Name: "Most", Decimals: table.Shortest}, {Name: "Judged"}, {Name: "Source of the tolerance", Key: "source"}}}
	for i := range r.Judged {
		j := &r.Judged[i]
		t.Add(j.Name, j.Key, j.number(), j.Unit, bound(j.Min), bound(j.Max), orNil(j.verdict()), orNil(j.Source))
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
	return *v
}

func orNil(s string) any {
	if s == "" {
		return nil
	}
	return s
}
