package report

import (
	_ "embed"
	"fmt"
	"io"
	"strings"

	"backporch/internal/job"
)

//go:embed compare.html
var compareText string

// compareData is what the page shows.
type compareData struct {
	frame
	Verdict   string
	Sentences []string
	Sides     grid
	Differ    grid
	Words     []string
	Same      grid
	InWords   grid
	Figures   []figure
	Single    []string
	Blind     grid
	Rests     []string
	Cautions  []job.Caution
}

// Page writes it as one HTML file that needs no other.
func (c *Comparison) Page(w io.Writer) error {
	d := &compareData{frame: newFrame(c.title(), c.Options.Program, c.Options.Now), Cautions: c.Options.Cautions}
	d.Verdict, d.Sentences = c.verdict()
	d.Sides = c.sides()
	d.Words = c.sentences()
	d.Figures = c.pairs.figures(c.A.Given, c.A.Name, c.B.Name)
	heads := []string{"Quantity", "#" + c.A.Name, "#" + c.B.Name, "#Difference", "#Readings tell", "|Unit"}
	if c.blind() {
		heads = append(heads, "Source shows it")
	}
	d.Differ = newGrid("", heads...)
	c.rows(&d.Differ, Differs)
	c.rows(&d.Differ, Unsure)
	d.Same = newGrid("", heads...)
	if n := c.rows(&d.Same, Noise); n > 0 {
		d.Same.Notes = []string{plural(n, "further figure") + " of shape and color within it are left out here."}
	}
	d.InWords = c.wordRows()
	d.Single = c.single()
	d.Blind = newGrid("", "Quantity", "Finer than", "Hides a difference", "Why", "What would show it")
	for i := range c.Options.Blind {
		b := &c.Options.Blind[i]
		name, unit := c.quantity(b)
		d.Blind.add(name, or(b.finer(unit), "at all"), []string{"no", "YES"}[b2i(c.hides(*b))], b.Why, b.Way)
		if c.hides(*b) {
			d.Blind.strong(0, 2)
		}
	}
	var invented []string
	for _, n := range c.Notes {
		if text, ok := strings.CutPrefix(n, "INVENTED, "); ok {
			invented = append(invented, text)
			continue
		}
		d.Rests = append(d.Rests, n)
	}
	d.Invented = strings.Join(invented, " ")
	d.Rests = append(d.Rests, "Readings tell: twice the standard deviation of a difference. What lies within it may be equal. "+c.bases())
	return execute(w, compareText, d)
}

// rows are the quantities of a state, under the kind of measurement. Further
// figures within noise are only counted.
func (c *Comparison) rows(g *grid, s State) (left int) {
	list, left := c.shown(s)
	last := ""
	for _, d := range list {
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
		cells := []string{d.Name, d.A.figure(), d.B.figure(), diff, tell, d.Unit, seen}
		g.add(cells[:len(g.Heads)]...) // without the last where the source shows everything
	}
	return left
}

// wordRows are the findings in words, those that differ first.
func (c *Comparison) wordRows() grid {
	heads := []string{"Quantity", c.A.Name, c.B.Name, "Differs"}
	if c.blind() {
		heads = append(heads, "Source shows it")
	}
	g := newGrid("", heads...)
	for _, s := range []State{Differs, Noise} {
		for _, d := range c.in(s) {
			if !d.inWords() {
				continue
			}
			cells := []string{d.full(), d.A.Text, d.B.Text, []string{"no", "YES"}[b2i(s == Differs)], []string{"yes", "no"}[b2i(d.Blind != nil)]}
			g.add(cells[:len(heads)]...)
			if s == Differs {
				g.strong(0, 3)
			}
		}
	}
	return g
}

// title names the sets, and where that does not tell them apart the jobs.
func (c *Comparison) title() string {
	label := func(s *Side) string {
		if s.Given.Set == nil || s.Given.Set.Label == "" {
			return s.Name
		}
		return strings.TrimSuffix(s.Given.Set.Label+", "+string(s.Stage), ", ")
	}
	a, b := label(c.A), label(c.B)
	if a == b {
		a, b = c.A.Name, c.B.Name
	}
	return a + " against " + b
}

// blind reports whether the source hides a quantity that was compared.
func (c *Comparison) blind() bool {
	for i := range c.Differences {
		if d := &c.Differences[i]; d.Blind != nil && d.State != OnlyOne {
			return true
		}
	}
	return false
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

// sides says what each side is and when it was read.
func (c *Comparison) sides() grid {
	g := newGrid("", "", c.A.Name, c.B.Name)
	row := func(name string, of func(*Side) string) {
		a, b := of(c.A), of(c.B)
		if a != "" || b != "" {
			g.add(name, or(a, "-"), or(b, "-"))
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
		g.add(p.title(), when(0), when(1))
	}
	return g
}
