package report

import (
	"fmt"
	"math"
	"strings"

	"backporch/internal/table"
)

// words say one difference in a sentence.
func (c *Comparison) words(d *Difference) string {
	if d.A != nil && d.B != nil && d.A.Text != "" {
		return sentence(fmt.Sprintf("%s: %s on %s, %s on %s", d.Name, d.A.Text, c.A.Name, d.B.Text, c.B.Name))
	}
	unit := d.Unit
	if strings.HasPrefix(unit, ":") { // the difference of two ratios is none
		unit = ""
	}
	change := withUnit(trimmed(math.Abs(d.Value), d.Decimals), unit)
	limit := withUnit(trimmed(d.Noise, d.Decimals+1), unit)
	if d.A == nil || d.B == nil {
		return sentence(fmt.Sprintf("%s: %s (readings tell %s)", d.Name, change, limit))
	}
	return sentence(fmt.Sprintf("%s: %s on %s, %s on %s, %s apart (readings tell %s)", d.Name, d.A.shared(), c.A.Name, d.B.value(), c.B.Name, change, limit))
}

// verdict is the line on top.
func (c *Comparison) verdict() (string, []string) {
	differ, same := c.in(Differs), c.in(Noise)
	title := fmt.Sprintf("%s and %s differ in %s", c.A.Name, c.B.Name, plural(len(differ), "value"))
	if len(differ) == 0 {
		title = fmt.Sprintf("%s and %s do not differ by more than readings can tell", c.A.Name, c.B.Name)
	}
	var words []string
	words = append(words, sentence(fmt.Sprintf("%s within what readings can tell", plural(len(same), "value"))))
	if hidden := c.hidden(); len(hidden) > 0 {
		words = append(words, fmt.Sprintf("The source at hand cannot show %s of the differences: see below.", plural(len(hidden), "one")))
	}
	return title, words
}

// sentences say the differences that have a tolerance or stand for a whole: the
// rest is in the table.
func (c *Comparison) sentences() (list []string) {
	for _, d := range c.in(Differs) {
		if !d.Minor && (d.Limit != "" || d.A == nil || d.A.Text != "") {
			list = append(list, c.words(d))
		}
	}
	return list
}

// key is unique among all inputs: chroma-gain@video-1.
func (d *Difference) key() string {
	if d.Input != "" {
		return d.Key + "@" + d.Input
	}
	return d.Key
}

// hidden are the differences that the source at hand cannot show.
func (c *Comparison) hidden() (list []*Difference) {
	for _, d := range c.in(Differs) {
		if d.Blind != nil {
			list = append(list, d)
		}
	}
	return list
}

// Record is the comparison for programs.
func (c *Comparison) Record() *table.Record {
	rec := c.record(c.dataTable())
	if len(c.Options.Blind) > 0 {
		t := &table.Table{Name: "blind", Title: "What the source at hand cannot show", Columns: []table.Column{{Name: "Quantity"}, {Name: "Name"}, {Name: "Finer than", Decimals: table.Shortest}, {Name: "Unit"},
			{Name: "Hides"}, {Name: "Why"}, {Name: "Way out"}}}
		for i := range c.Options.Blind {
			b := &c.Options.Blind[i]
			name, unit := c.quantity(b)
			var less any
			if b.Less > 0 {
				less = b.Less
			}
			t.Add(b.Quantity, name, less, orNil(unit), c.hides(*b), b.Why, b.Way)
		}
		rec.Tables = append(rec.Tables, t)
	}
	return rec
}

// Text is the comparison for people: what differs, and then the rest.
func (c *Comparison) Text() *table.Record {
	rec := c.record(c.textTable("differences", "What differs by more than readings can tell", Differs),
		c.textTable("not-known", "What may differ: how well it was read is not known", Unsure),
		c.textTable("within-noise", "What lies within what readings can tell", Noise), c.inWords())
	rec.Notes = append(rec.Notes, c.blindWords()...)
	return rec
}

func (c *Comparison) record(tables ...*table.Table) *table.Record {
	verdict, words := c.verdict()
	rec := &table.Record{Name: "compare-jobs", Title: verdict, Fields: []table.Field{
		{Name: "First", Value: c.A.Name}, {Name: "Second", Value: c.B.Name},
		{Name: "Differ", Value: c.Differ()},
		{Name: "Quantities that differ", Value: len(c.in(Differs))},
		{Name: "Quantities within noise", Value: len(c.in(Noise))},
		{Name: "Quantities not compared", Value: len(c.in(OnlyOne))},
	}}
	rec.Notes = append(c.sentences(), words...)
	for _, t := range tables {
		if t.Len() > 0 || len(tables) == 1 {
			rec.Tables = append(rec.Tables, t)
		}
	}
	if list := c.in(OnlyOne); len(list) > 0 {
		t := &table.Table{Name: "not-compared", Title: "Not compared", Columns: []table.Column{{Name: "What"}, {Name: "Why"}, {Name: "Keys"}}}
		for _, g := range grouped(list) {
			var keys []string
			for _, d := range g {
				keys = append(keys, d.key())
			}
			t.Add(g[0].Title, g[0].Why, keys)
		}
		rec.Tables = append(rec.Tables, t)
	}
	rec.Notes = append(rec.Notes, "Noise is twice the standard deviation of a difference: what lies within it may be equal. "+c.bases())
	rec.Notes = append(rec.Notes, c.Notes...)
	return rec
}

// dataTable has a row for each quantity of both sides.
func (c *Comparison) dataTable() *table.Table {
	t := &table.Table{Name: "differences", Title: "What differs, and what does not", Columns: []table.Column{
		{Name: "Quantity"},
		{Name: "First", Decimals: table.Shortest, Align: table.Right}, {Name: "Second", Decimals: table.Shortest, Align: table.Right},
		{Name: "Difference", Decimals: table.Shortest}, {Name: "Noise", Decimals: table.Shortest}, {Name: "Unit"}, {Name: "State"},
		{Name: "Hidden"}, {Name: "What"}, {Name: "Key"}}}
	for _, s := range []State{Differs, Unsure, Noise} {
		for _, d := range c.in(s) {
			diff, noise := d.figures()
			t.Add(d.Name, orNumber(d.A), orNumber(d.B), diff, noise, orNil(d.Unit), string(d.State), d.Blind != nil && s == Differs, string(d.What), d.key())
		}
	}
	return t
}

// figures are the difference and its noise for a table; nil of values in words.
func (d *Difference) figures() (diff, noise any) {
	if d.A != nil && d.A.Text != "" {
		return nil, nil
	}
	return rounded(d.Value, d.Decimals), rounded(d.Noise, d.Decimals+1)
}

// shown are the quantities of a state that stand in its table; further figures
// within noise are only counted.
func (c *Comparison) shown(s State) (list []*Difference, left int) {
	for _, d := range c.in(s) {
		switch {
		case d.inWords():
		case s == Noise && d.Minor:
			left++
		default:
			list = append(list, d)
		}
	}
	return list, left
}

// textTable has the quantities of a state; further figures within noise are
// counted only.
func (c *Comparison) textTable(name, title string, s State) *table.Table {
	t := &table.Table{Name: name, Title: title, Columns: []table.Column{{Name: "Quantity"},
		{Name: "First", Decimals: table.Shortest, Align: table.Right}, {Name: "Second", Decimals: table.Shortest, Align: table.Right},
		{Name: "Difference", Decimals: table.Shortest}, {Name: "Readings tell", Decimals: table.Shortest}}}
	hides := s == Differs && len(c.hidden()) > 0
	if hides {
		t.Columns = append(t.Columns, table.Column{Name: "Source shows it"})
	}
	list, left := c.shown(s)
	for _, d := range list {
		diff, noise := d.figures()
		name := d.full()
		if d.Unit != "" && !strings.HasPrefix(d.Unit, ":") { // a column of its own would be too narrow
			name += ", " + d.Unit
		}
		cells := []any{name, orNumber(d.A), orNumber(d.B), diff, noise}
		if hides {
			cells = append(cells, []string{"yes", "NO"}[b2i(d.Blind != nil)])
		}
		t.Add(cells...)
	}
	if left > 0 {
		t.Title += fmt.Sprintf(" (and %s of shape and color)", plural(left, "further figure"))
	}
	return t
}

// inWords reports a finding that is words on both sides, such as what an eye
// says: beside numbers its columns would be too wide. A word as short as "fit"
// may stand there.
func (d *Difference) inWords() bool {
	return d.A != nil && d.B != nil && d.A.Text != "" && d.B.Text != "" && max(len(d.A.Text), len(d.B.Text)) > short
}

// full is the name with the input.
func (d *Difference) full() string {
	if d.Input != "" {
		return d.Name + ", " + d.Input
	}
	return d.Name
}

// inWords are the findings in words, those that differ first.
func (c *Comparison) inWords() *table.Table {
	t := &table.Table{Name: "in-words", Title: "What is told in words", Columns: []table.Column{{Name: "Quantity"}, {Name: "First"}, {Name: "Second"}, {Name: "Differs"}}}
	hides := len(c.hidden()) > 0
	if hides {
		t.Columns = append(t.Columns, table.Column{Name: "Source shows it"})
	}
	for _, s := range []State{Differs, Noise} {
		for _, d := range c.in(s) {
			if !d.inWords() {
				continue
			}
			cells := []any{d.full(), d.A.Text, d.B.Text, s == Differs}
			if hides {
				cells = append(cells, []string{"yes", "NO"}[b2i(d.Blind != nil)])
			}
			t.Add(cells...)
		}
	}
	return t
}

// bases lists what the noise is taken from.
func (c *Comparison) bases() string {
	var list []string
	for i := range c.Differences {
		if b := c.Differences[i].Basis; b != "" && !contains(list, b) {
			list = append(list, b)
		}
	}
	if len(list) == 0 {
		return ""
	}
	return "It rests on what was measured or, where nothing was, " + strings.Join(list, "; ") + "."
}

// grouped puts together what was not compared for one reason.
func grouped(list []*Difference) (groups [][]*Difference) {
next:
	for _, d := range list {
		for i, g := range groups {
			if g[0].Title == d.Title && g[0].Why == d.Why {
				groups[i] = append(g, d)
				continue next
			}
		}
		groups = append(groups, []*Difference{d})
	}
	return groups
}
