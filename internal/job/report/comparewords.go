package report

import (
	_ "embed"
	"fmt"
	"io"
	"math"
	"strings"

	"backporch/internal/job"
	"backporch/internal/table"
)

//go:embed compare.html
var compareText string

// words say one difference in a sentence.
func (c *Comparison) words(d *Difference) string {
	if d.A != nil && d.B != nil && d.A.Text != "" {
		return sentence(fmt.Sprintf("%s: %s on %s, %s on %s", d.Name, d.A.Text, c.A.Name, d.B.Text, c.B.Name))
	}
	change := withUnit(trimmed(math.Abs(d.Value), d.Decimals), d.Unit)
	limit := withUnit(trimmed(d.Noise, d.Decimals+1), d.Unit)
	if d.A == nil || d.B == nil {
		return sentence(fmt.Sprintf("%s: %s (readings tell %s)", d.Name, change, limit))
	}
	return sentence(fmt.Sprintf("%s: %s on %s, %s on %s, %s apart (readings tell %s)", d.Name, d.A.figure(), c.A.Name, d.B.value(), c.B.Name, change, limit))
}

// verdict is the line on top.
func (c *Comparison) verdict() (string, []string) {
	differ, same := c.in(Differs), c.in(Noise)
	title := fmt.Sprintf("%s and %s differ in %s", c.A.Name, c.B.Name, plural(len(differ), "reading"))
	if len(differ) == 0 {
		title = fmt.Sprintf("%s and %s do not differ by more than readings can tell", c.A.Name, c.B.Name)
	}
	var words []string
	words = append(words, sentence(fmt.Sprintf("%s within what readings can tell", plural(len(same), "reading"))))
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

// Record is the comparison for text, CSV and JSON.
func (c *Comparison) Record() *table.Record {
	verdict, words := c.verdict()
	rec := &table.Record{Name: "compare-jobs", Title: verdict, Fields: []table.Field{
		{Name: "First", Value: c.A.Name}, {Name: "Second", Value: c.B.Name},
		{Name: "Differ", Value: c.Differ()},
		{Name: "Quantities that differ", Value: len(c.in(Differs))},
		{Name: "Quantities within noise", Value: len(c.in(Noise))},
		{Name: "Quantities not compared", Value: len(c.in(OnlyOne))},
	}}
	rec.Notes = append(c.sentences(), words...)
	t := &table.Table{Name: "differences", Title: "What differs, and what does not", Columns: []table.Column{
		{Name: "Quantity"},
		{Name: "First", Decimals: table.Shortest, Align: table.Right}, {Name: "Second", Decimals: table.Shortest, Align: table.Right},
		{Name: "Difference", Decimals: table.Shortest}, {Name: "Noise", Decimals: table.Shortest}, {Name: "Unit"}, {Name: "State"},
		{Name: "Hidden"}, {Name: "What"}, {Name: "Key"}}}
	for _, s := range []State{Differs, Unsure, Noise} {
		for _, d := range c.in(s) {
			diff, noise := any(rounded(d.Value, d.Decimals)), any(rounded(d.Noise, d.Decimals+1))
			if d.A != nil && d.A.Text != "" {
				diff, noise = nil, nil
			}
			t.Add(d.Name, orNumber(d.A), orNumber(d.B), diff, noise, orNil(d.Unit), string(d.State), d.Blind != nil && s == Differs, string(d.What), d.key())
		}
	}
	rec.Tables = append(rec.Tables, t)
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
	if len(c.Options.Blind) > 0 {
		t := &table.Table{Name: "blind", Title: "What the source at hand cannot show", Columns: []table.Column{{Name: "Quantity"}, {Name: "Finer than", Decimals: table.Shortest},
			{Name: "Hides"}, {Name: "Why"}, {Name: "Way out"}}}
		for _, b := range c.Options.Blind {
			var less any
			if b.Less > 0 {
				less = b.Less
			}
			t.Add(b.Quantity, less, c.hides(b), b.Why, b.Way)
		}
		rec.Tables = append(rec.Tables, t)
	}
	rec.Notes = append(rec.Notes, "Noise is twice the standard deviation of a difference: what lies within it may be equal. "+c.bases())
	rec.Notes = append(rec.Notes, c.Notes...)
	return rec
}

func (c *Comparison) hides(b Blind) bool {
	for _, d := range c.hidden() {
		if d.Blind.Quantity == b.Quantity {
			return true
		}
	}
	return false
}

// compareData is what the page shows.
type compareData struct {
	frame
	Verdict   string
	Sentences []string
	Sides     grid
	Differ    grid
	Words     []string
	Same      grid
	Figures   []figure
	Single    []string
	Blind     grid
	Cautions  []job.Caution
}

// Page writes it as one HTML file that needs no other.
func (c *Comparison) Page(w io.Writer) error {
	d := &compareData{frame: newFrame(c.A.Name+" against "+c.B.Name, c.Options.Program, c.Options.Now), Cautions: c.Options.Cautions}
	d.Verdict, d.Sentences = c.verdict()
	d.Sides = c.sides()
	d.Words = c.sentences()
	d.Figures = c.pairs.figures(c.A.Given, c.A.Name, c.B.Name)
	heads := []string{"Quantity", "#" + c.A.Name, "#" + c.B.Name, "#Difference", "#Readings tell", "Unit", "Source shows it"}
	d.Differ = newGrid("", heads...)
	c.rows(&d.Differ, Differs)
	c.rows(&d.Differ, Unsure)
	d.Same = newGrid("", heads...)
	if n := c.rows(&d.Same, Noise); n > 0 {
		d.Same.Notes = []string{plural(n, "further figure") + " of shape and color within it are left out here."}
	}
	d.Single = c.single()
	d.Blind = newGrid("", "Quantity", "Finer than", "Hides a difference", "Why", "What would show it")
	for _, b := range c.Options.Blind {
		less := "at all"
		if b.Less > 0 {
			less = trimmed(b.Less, 2)
		}
		d.Blind.add(c.hides(b), b.Quantity, less, []string{"no", "YES"}[b2i(c.hides(b))], b.Why, b.Way)
	}
	var invented []string
	for _, n := range c.Notes {
		if text, ok := strings.CutPrefix(n, "INVENTED, "); ok {
			invented = append(invented, text)
			continue
		}
		d.Notes = append(d.Notes, n)
	}
	d.Invented = strings.Join(invented, " ")
	d.Notes = append(d.Notes, "Readings tell: twice the standard deviation of a difference. What lies within it may be equal. "+c.bases())
	return execute(w, compareText, d)
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

// rows are the quantities of a state, under the kind of measurement. Further
// figures within noise are only counted.
func (c *Comparison) rows(g *grid, s State) (left int) {
	last := ""
	for _, d := range c.in(s) {
		if s == Noise && d.Minor {
			left++
			continue
		}
		if d.Title != last {
			last = d.Title
			g.Rows = append(g.Rows, gridRow{Part: d.Title})
		}
		seen := "yes"
		if d.Blind != nil {
			seen = "no"
		}
		diff, tell := signed(d.Value, d.Decimals), trimmed(d.Noise, d.Decimals+1)
		if d.A == nil || d.B == nil {
			diff = strings.TrimPrefix(diff, "+")
		}
		switch {
		case d.A != nil && d.A.Text != "":
			diff, tell = "", ""
		case s == Unsure:
			tell = "not known"
		}
		g.add(false, d.Name, d.A.figure(), d.B.figure(), diff, tell, d.Unit, seen)
	}
	return left
}

func signed(v float64, decimals int) string {
	s := trimmed(v, decimals)
	if strings.HasPrefix(s, "-") || strings.Trim(s, "0.") == "" {
		return s
	}
	return "+" + s
}

// single says what was not compared, a line for each reason.
func (c *Comparison) single() (list []string) {
	for _, g := range grouped(c.in(OnlyOne)) {
		var names []string
		for _, d := range g {
			names = append(names, lower(d.Name))
		}
		if n := len(names); n > 4 {
			names = append(names[:3:3], fmt.Sprintf("and %d more", n-3))
		}
		list = append(list, sentence(g[0].Title+": "+g[0].Why+" ("+strings.Join(names, ", ")+")"))
	}
	return list
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

// sides says what each side is and when it was read.
func (c *Comparison) sides() grid {
	g := newGrid("", "", c.A.Name, c.B.Name)
	row := func(name string, of func(*Side) string) {
		a, b := of(c.A), of(c.B)
		if a != "" || b != "" {
			g.add(false, name, or(a, "-"), or(b, "-"))
		}
	}
	set := func(of func(*job.Set) string) func(*Side) string {
		return func(s *Side) string {
			if s.Given.Set == nil {
				return ""
			}
			return of(s.Given.Set)
		}
	}
	row("Set", set(func(s *job.Set) string { return s.Label }))
	row("Job", func(s *Side) string { return s.Job.Name })
	row("Tube", set(func(s *job.Set) string { return string(s.Tube) + ", " + string(s.Guns) + " guns" }))
	row("Target white", set(func(s *job.Set) string { return s.White }))
	row("Black level set to", set(func(s *job.Set) string { return setupWords(s.Setup) }))
	row("Raster", set(func(s *job.Set) string { return s.Raster }))
	for i := range c.pairs {
		p := &c.pairs[i]
		when := func(n int) string {
			r := p.r[n]
			if r == nil {
				return "not read"
			}
			text := or(string(r.M.Stage), "on the way")
			if r.Entry != nil {
				text = minute(r.Entry.Time) + ", " + text
			}
			if r.M.Instrument != "" {
				text += ", " + r.M.Instrument
			}
			if r.M.Invented {
				text += " [INVENTED]"
			}
			return text
		}
		g.add(false, p.title(), when(0), when(1))
	}
	return g
}
