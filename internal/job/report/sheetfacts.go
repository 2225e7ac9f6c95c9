package report

import (
	"fmt"
	"strings"

	"backporch/internal/job"
	"backporch/internal/table"
)

// sheetFacts are what page and record say alike.
type sheetFacts struct {
	label    string
	pairs    pairs
	missing  []string // what was not measured, sentences
	invented string
	patterns []string
	source   *job.Check
}

func (s *Sheet) facts() (*sheetFacts, error) {
	if s.Job == nil || s.Given == nil {
		panic("report: a sheet without a job or what it is held against")
	}
	f := &sheetFacts{label: s.Job.Name}
	if s.Given.Set != nil && s.Given.Set.Label != "" {
		f.label = s.Given.Set.Label
	}
	before, bad := Collect(s.Job, s.Given, job.Before)
	after, more := Collect(s.Job, s.Given, job.After)
	f.pairs = pairUp(before, after).without(job.WhatSource)
	f.invented = inventedWords(s.Job)
	for _, e := range s.Job.Counting() {
		if e.Measure == nil {
			continue
		}
		if p := e.Measure.Pattern; p != "" && !contains(f.patterns, p) {
			f.patterns = append(f.patterns, p)
		}
		if e.Measure.Source != nil {
			f.source = e.Measure.Source
		}
	}
	f.missing = s.missing(f.pairs)
	for _, err := range append(bad, more...) {
		f.missing = append(f.missing, sentence("Readings that say nothing: "+err.Error()))
	}
	return f, nil
}

// inventedWords names the readings that no set gave.
func inventedWords(j *job.Job) string {
	var list []string
	all := true
	for _, e := range j.Counting() {
		if e.Measure == nil {
			continue
		}
		if !e.Measure.Invented {
			all = false
			continue
		}
		name := lower(whatTitle(e.Measure.What))
		if e.Measure.Stage != "" {
			name += " " + string(e.Measure.Stage)
		}
		if !contains(list, name) {
			list = append(list, name)
		}
	}
	switch {
	case len(list) == 0:
		return ""
	case all:
		return "all readings here were made up for an example. No set was measured."
	}
	return "these readings were made up for an example, no set was measured for them: " + strings.Join(list, ", ") + "."
}

// verdict is the line on top and what explains it.
func (f *sheetFacts) verdict() (string, []string) {
	var out, untold []string
	n, held := 0, 0
	for i := range f.pairs {
		r := f.pairs[i].r[1]
		if r == nil {
			continue
		}
		n++
		for k := range r.Judged {
			j := &r.Judged[k]
			if j.verdict() != "" {
				held++
			}
			at := ""
			if r.M.Input != "" && r.M.What == job.WhatChroma {
				at = ", " + r.M.Input
			}
			if j.Untold {
				untold = append(untold, fmt.Sprintf("%s%s: cannot be told (%s).", j.Name, at, j.Text))
			}
			if j.Out {
				out = append(out, fmt.Sprintf("%s%s: %s (tolerance %s).", j.Name, at, j.value(), or(bounds(j.Min, j.Max, j.Unit), j.Source)))
			}
		}
	}
	var title string
	var words []string
	switch {
	case n == 0:
		title, words = "Not measured after the work", []string{"Nothing can be said of how the set stands now."}
	case held == 0:
		title = "Measured, and nothing of it has a tolerance"
	case len(out) > 0:
		title, words = fmt.Sprintf("Out of tolerance: %d of %s after the work", len(out), plural(held, "value")), append(out, untold...)
	case len(untold) == held:
		title, words = "Cannot be told: no reading after the work says how the set stands to its tolerances", untold
	case len(untold) > 0:
		title, words = fmt.Sprintf("Within tolerance: %d of %s after the work; %d cannot be told", held-len(untold), plural(held, "value"), len(untold)), untold
	default:
		title = fmt.Sprintf("Within tolerance: %s after the work", allOf(held))
	}
	if f.source != nil && !fit(f.source.Verdict) {
		words = append(words, "The source of the patterns was not found fit ("+strings.ReplaceAll(f.source.Verdict, "-", " ")+"): what was set with it rests on that.")
	}
	if n > 0 && len(f.missing) > 0 {
		words = append(words, "Not everything was measured: see below.")
	}
	return title, words
}

// fit reports whether the source was good, with a correction or without.
func fit(verdict string) bool {
	return verdict == "fit" || strings.ReplaceAll(verdict, " ", "-") == "fit-with-correction"
}

// words are what the last readings point to where something is out.
func (f *sheetFacts) words() (list []string) {
	for i := range f.pairs {
		if r := f.pairs[i].r[1]; r != nil && r.Out() {
			for _, w := range r.Words {
				list = append(list, r.title()+": "+w)
			}
		}
	}
	return list
}

// signal is what played the patterns.
func (f *sheetFacts) signal(s *Sheet) (facts [][2]string) {
	add := func(name, value string) { facts = append(facts, [2]string{name, value}) }
	add("Played by", or(s.Signal.Device, "not named in the record"))
	if s.Given.Set != nil {
		add("Raster", s.Given.Set.Raster)
	}
	if s.Signal.Setup != "" {
		add("Setup", s.Signal.Setup)
	}
	if len(f.patterns) > 0 {
		add("Patterns", strings.Join(f.patterns, "; "))
	}
	if f.source == nil {
		add("Checked", "no: what came out of the player was not captured and checked")
		return facts
	}
	add("Checked", checkedWords(f.source))
	if f.source.File != "" {
		add("Capture", f.source.File)
	}
	return facts
}

// allOf is how many values are within tolerance where all are.
func allOf(n int) string {
	if n == 1 {
		return "the only value that has one"
	}
	return "all of " + plural(n, "value")
}

// checkedWords are the verdict on the source, which its sentence mostly begins
// with.
func checkedWords(c *job.Check) string {
	verdict := strings.ReplaceAll(c.Verdict, "-", " ")
	if strings.HasPrefix(strings.ToLower(c.Sentence), strings.ToLower(verdict)) {
		return sentence(c.Sentence)
	}
	return strings.TrimSpace(sentence(verdict) + " " + c.Sentence)
}

// Record is the same facts for text, CSV and JSON.
func (s *Sheet) Record() *table.Record {
	rec := &table.Record{Name: "sheet"}
	f, err := s.facts()
	if err != nil { // facts never fail today; the words are kept all the same
		rec.Notes = []string{err.Error()}
		return rec
	}
	rec.Title = "Alignment of " + f.label
	verdict, sentences := f.verdict()
	rec.Fields = append(rec.Fields, table.Field{Name: "Verdict", Value: verdict})
	if len(sentences) > 0 {
		rec.Fields = append(rec.Fields, table.Field{Name: "In words", Value: strings.Join(sentences, " ")})
	}
	if f.invented != "" {
		rec.Fields = append(rec.Fields, table.Field{Name: "Invented", Value: f.invented})
	}
	for _, fact := range setFacts(s.Job, s.Given) {
		rec.Fields = append(rec.Fields, table.Field{Name: fact[0], Value: fact[1]})
	}
	for _, fact := range f.signal(s) {
		if fact[0] != "Raster" {
			rec.Fields = append(rec.Fields, table.Field{Name: fact[0], Value: fact[1]})
		}
	}
	rec.Fields = append(rec.Fields, table.Field{Name: "Next check", Value: strings.TrimPrefix(s.due(), "Next check due ")})
	if t := f.pairs.table(); t.Len() > 0 {
		rec.Tables = append(rec.Tables, t)
	}
	if t := logTable(s.workLog()); t.Len() > 0 {
		rec.Tables = append(rec.Tables, t)
	}
	if t := stepTable(s.States); t.Len() > 0 {
		rec.Tables = append(rec.Tables, t)
	}
	if len(f.missing) > 0 {
		t := &table.Table{Name: "missing", Title: "Not measured", Columns: []table.Column{{Name: "What"}}}
		for _, m := range f.missing {
			t.Add(m)
		}
		rec.Tables = append(rec.Tables, t)
	}
	rec.Notes = append(f.words(), remarks(s.Job)...)
	return rec
}

// table is every finding at both stages, with numbers as numbers.
func (l pairs) table() *table.Table {
	t := &table.Table{Name: "readings", Title: "Before and after", Columns: []table.Column{{Name: "What"}, {Name: "Quantity"}, {Name: "Key"},
		{Name: "Before", Decimals: table.Shortest, Align: table.Right}, {Name: "After", Decimals: table.Shortest, Align: table.Right}, {Name: "Unit"},
		{Name: "Least", Decimals: table.Shortest}, {Name: "Most", Decimals: table.Shortest}, {Name: "Before, judged"}, {Name: "After, judged"}, {Name: "Invented"}}}
	for i := range l {
		p := &l[i]
		for _, key := range p.keys() {
			a, b := p.r[0].find(key), p.r[1].find(key)
			any := b
			if any == nil {
				any = a
			}
			if any.Minor {
				continue
			}
			t.Add(p.title(), any.Name, key, orNumber(a), orNumber(b), orNil(any.Unit), bound(any.Min), bound(any.Max), orNil(a.verdict()), orNil(b.verdict()), p.invented(0) || p.invented(1))
		}
	}
	return t
}

func orNumber(j *Judged) any {
	if j == nil {
		return nil
	}
	return j.number()
}
