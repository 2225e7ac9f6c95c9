package report

import (
	"math"
	"slices"
	"strings"

	"backporch/internal/job"
	"backporch/internal/table"
)

// Text is the result for people at a terminal of 80 columns: without keys, with
// tolerances in words, short heads, and of the terms of a raster only those that
// the readings tell. [Result.Record] has all of it for programs.
func (r *Result) Text() *table.Record {
	rec := r.Record()
	rec.Tables = nil
	if len(r.Judged) > 0 {
		rec.Tables = append(rec.Tables, r.valueText())
	}
	for _, t := range r.Tables {
		switch {
		case t.Name == "terms" && r.Fit != nil:
			rec.Tables = append(rec.Tables, r.termText()...)
		case t.Name == "steps" && r.Gray != nil:
			rec.Tables = append(rec.Tables, r.shortHeads(grayTable(r.Gray, false)))
		default:
			rec.Tables = append(rec.Tables, r.shortHeads(t))
		}
	}
	rec.Notes = append(slices.Clone(rec.Notes), r.sourceWords()...)
	return rec
}

// valueText is the findings against their tolerances in words.
func (r *Result) valueText() *table.Table {
	t := &table.Table{Name: "values", Columns: []table.Column{{Name: "Quantity"}, {Name: "Value", Decimals: table.Shortest, Align: table.Right}, {Name: "Unit"}}}
	held := slices.ContainsFunc(r.Judged, func(j Judged) bool { return j.verdict() != "" })
	if held {
		t.Columns = append(t.Columns, table.Column{Name: "Tolerance"}, table.Column{Name: "Judged"})
	}
	left := 0
	for i := range r.Judged {
		j := &r.Judged[i]
		if j.Minor && r.Fit != nil { // stands among the terms
			continue
		}
		if j.Minor && r.M.What == job.WhatConvergence && math.Abs(j.Value) <= 2*j.Sigma {
			left++
			continue
		}
		cells := []any{j.Name, j.number(), orNil(j.Unit)}
		if held {
			cells = append(cells, orNil(bounds(j.Min, j.Max, "")), orNil(j.verdict()))
		}
		t.Add(cells...)
	}
	if left > 0 {
		t.Notes = []string{plural(left, "term") + " of convergence no larger than what readings tell: --json has them."}
	}
	return t
}

// termText is the terms of the raster that readings tell, and what moves them.
func (r *Result) termText() []*table.Table {
	terms := &table.Table{Name: "terms", Title: "Terms of the raster", Columns: []table.Column{{Name: "Term"}, {Name: "Value", Decimals: 2}, {Name: "Sigma", Decimals: 2}, {Name: "Unit"}}}
	moves := &table.Table{Name: "controls", Title: "What moves them", Columns: []table.Column{{Name: "Term"}, {Name: "Control"}}}
	left := 0
	told := map[string]bool{}
	for _, term := range r.Fit.Terms {
		switch {
		case !term.Known:
			continue
		case math.Abs(term.Value) <= 2*term.Sigma:
			left++
			continue
		}
		terms.Add(term.Name, term.Value, term.Sigma, term.Unit)
		if term.Controls != "" && !told[term.Name] {
			told[term.Name] = true
			moves.Add(term.Name, term.Controls)
		}
	}
	if left > 0 {
		terms.Notes = []string{plural(left, "term") + " no larger than what readings tell: --json has them."}
	}
	var list []*table.Table
	if terms.Len() > 0 || left > 0 {
		list = append(list, terms)
	}
	if moves.Len() > 0 {
		list = append(list, moves)
	}
	return list
}

// sourceWords are where the tolerances are from, once for those that share it.
// A column for it would be too narrow to read.
func (r *Result) sourceWords() (notes []string) {
	var sources []string
	names := map[string][]string{}
	for i := range r.Judged {
		j := &r.Judged[i]
		if j.Source == "" {
			continue
		}
		if names[j.Source] == nil {
			sources = append(sources, j.Source)
		}
		names[j.Source] = append(names[j.Source], lower(j.Name))
	}
	for _, s := range sources {
		notes = append(notes, sentence("Tolerance of "+strings.Join(names[s], "; ")+": "+s))
	}
	return notes
}

// shortHeads is a table with heads that fit 80 columns, and what they mean.
func (r *Result) shortHeads(t *table.Table) *table.Table {
	type head struct{ name, unit string }
	var heads map[head]head
	var note string
	switch {
	case r.M.What == job.WhatConvergence && t.Name == "zones":
		heads = map[head]head{{"Red right", "mm"}: {"R right", "mm"}, {"Red down", "mm"}: {"R down", "mm"}, {"Blue right", "mm"}: {"B right", "mm"}, {"Blue down", "mm"}: {"B down", "mm"},
			{"Farthest pair", ""}: {"Farthest", ""}, {"Apart", "% of height"}: {"Apart", "%"}}
		note = "R and B: the red and the blue lines against the green ones. Farthest: the pair that lies farthest apart; %: of picture height."
	case r.M.What == job.WhatGray && t.Name == "steps":
		heads = map[head]head{{"From target", "du*v*"}: {"Target", "du*v*"}, {"CIEDE2000", ""}: {"dE00", ""}, {"From own white", "du*v*"}: {"White", "du*v*"}}
		note = "Target: how far from the target white; dE00: the same by CIEDE2000; White: how far from the set's own white; R/G, B/G: light of the guns, 100 % at the target."
	default:
		return t
	}
	short := *t
	short.Columns = slices.Clone(t.Columns)
	for i := range short.Columns {
		c := &short.Columns[i]
		if h, ok := heads[head{c.Name, c.Unit}]; ok {
			c.Name, c.Unit, c.Key = h.name, h.unit, "" // text has no keys
		}
	}
	short.Notes = append(slices.Clone(t.Notes), note)
	return &short
}
