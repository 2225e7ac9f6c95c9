package report

import (
	"fmt"
	"math"
	"strings"
	"time"

	"backporch/internal/job"
)

// A Side is one of two states that are compared.
type Side struct {
	Name  string // as it was asked for: "bench-a", "bench-a:before"
	Job   *job.Job
	Given *Given
	Stage job.Stage // "": after the work, or where there is none the last reading of any stage
}

// Blind is a quantity that the source at hand cannot show finely enough. Less
// is the smallest difference that it shows, in the quantity's unit; 0: none.
type Blind struct {
	Quantity string // key of a finding, or of its tolerance: "chroma-phase"
	Less     float64
	Why, Way string // sentences: the reason, and what would show it
}

// CompareOptions are what a comparison rests on.
type CompareOptions struct {
	Blind    []Blind
	Cautions []job.Caution
	Program  string
	Now      time.Time
}

// A State is how a quantity of two sides compares.
type State string

// The states.
const (
	Differs State = "differs"      // beyond what readings can tell apart
	Noise   State = "within noise" // may differ by less than readings tell
	Unsure  State = "noise not known"
	OnlyOne State = "not compared" // read on one side only, or held to unlike targets
)

// A Difference is one quantity of both sides.
type Difference struct {
	What     job.What
	Title    string // of the measurement, with its input
	Input    string // of chroma
	Key      string
	Limit    string
	Name     string
	Unit     string
	Decimals int
	A, B     *Judged // nil: not read, or the difference is of no single value
	Value    float64 // B less A; a distance where A and B are nil
	Noise    float64 // that readings cannot tell: twice the standard deviation of the difference
	Basis    string  // where the noise is from
	State    State
	Why      string // of what was not compared
	Blind    *Blind // the source at hand cannot show it
	Minor    bool
}

// A Comparison is what differs between two sides.
type Comparison struct {
	A, B        *Side
	Options     CompareOptions
	Differences []Difference
	Notes       []string

	pairs pairs
}

// Compare holds two sides against each other. The error says that they have
// nothing in common.
func Compare(a, b *Side, o CompareOptions) (*Comparison, error) {
	c := &Comparison{A: a, B: b, Options: o}
	var bad []error
	var results [2][]*Result
	for i, s := range []*Side{a, b} {
		r, errs := s.results()
		results[i], bad = r, append(bad, errs...)
	}
	c.pairs = pairUp(results[0], results[1])
	common := 0
	for i := range c.pairs {
		p := &c.pairs[i]
		p.oneJob = a.Job.Name == b.Job.Name
		if p.r[0] != nil && p.r[1] != nil {
			common++
		}
		c.values(p)
		if p.what == job.WhatGray {
			c.grays(p)
		}
	}
	if common == 0 {
		return nil, fmt.Errorf("nothing was read on both: %s has %s, %s has %s; take the same readings on both with `backporch job measure`", a.Name, readWords(results[0]), b.Name, readWords(results[1]))
	}
	for i := range c.Differences {
		c.Differences[i].Blind = blindOf(o.Blind, &c.Differences[i])
	}
	c.remark()
	for _, err := range bad {
		c.Notes = append(c.Notes, sentence("Left out: "+err.Error()))
	}
	return c, nil
}

// results are the readings of a side that count.
func (s *Side) results() (all []*Result, bad []error) {
	if s.Stage != "" {
		return Collect(s.Job, s.Given, s.Stage)
	}
	all, bad = Collect(s.Job, s.Given, job.After)
	last, more := Collect(s.Job, s.Given, "")
	if len(all) == 0 && len(bad) == 0 {
		return last, more
	}
	for _, r := range last {
		known := false
		for _, have := range all {
			known = known || have.M.What == r.M.What && chromaInput(have.M) == chromaInput(r.M)
		}
		if !known {
			all = append(all, r)
		}
	}
	return all, bad
}

func readWords(all []*Result) string {
	var list []string
	for _, r := range all {
		list = append(list, lower(r.title()))
	}
	if len(list) == 0 {
		return "no readings"
	}
	return strings.Join(list, ", ")
}

// values compares finding by finding.
func (c *Comparison) values(p *pair) {
	for _, key := range p.keys() {
		a, b := p.r[0].find(key), p.r[1].find(key)
		any := a
		if any == nil {
			any = b
		}
		d := Difference{What: p.what, Title: p.title(), Input: p.input, Key: key, Limit: any.Limit, Name: any.Name, Unit: any.Unit, Decimals: any.Decimals, A: a, B: b, Minor: any.Minor}
		switch {
		case a == nil || b == nil:
			d.State, d.Why = OnlyOne, c.onlyOne(p, a != nil)
		case a.Limit != "" && (a.Untold || b.Untold): // a verdict on the source is words all the same
			d.State, d.Why = OnlyOne, fmt.Sprintf("the readings of %s do not tell it", c.untoldOn(a, b))
		case (a.Text == "") != (b.Text == ""):
			d.State, d.Why = OnlyOne, "judged by eye on one and read by meter on the other"
		case any.Text != "":
			d.State, d.Why = Noise, "the same words"
			if a.Text != b.Text {
				d.State = Differs
			}
		case (key == "white-point") && c.target(c.A) != c.target(c.B):
			d.State, d.Why = OnlyOne, fmt.Sprintf("%s is held to %s and %s to %s: x and y are compared instead", c.A.Name, c.target(c.A), c.B.Name, c.target(c.B))
		default:
			d.Value = b.Value - a.Value
			d.Noise, d.Basis = noise(p, a, b)
			d.State = stateOf(math.Abs(d.Value), d.Noise)
		}
		c.Differences = append(c.Differences, d)
	}
}

func (c *Comparison) onlyOne(p *pair, onA bool) string {
	have, lacks := c.A.Name, c.B.Name
	r := p.r[1]
	if !onA {
		have, lacks, r = lacks, have, p.r[0]
	}
	if r == nil {
		return fmt.Sprintf("read on %s only; read it on %s, too", have, lacks)
	}
	return fmt.Sprintf("the readings of %s do not tell it", lacks)
}

// untoldOn names the sides whose readings do not tell a finding.
func (c *Comparison) untoldOn(a, b *Judged) string {
	switch {
	case a.Untold && b.Untold:
		return "both"
	case a.Untold:
		return c.A.Name
	}
	return c.B.Name
}

func (c *Comparison) target(s *Side) string {
	if s.Given.Set == nil {
		return ""
	}
	return s.Given.Set.White
}

// noise is twice the standard deviation of a difference: readings that lie
// closer are taken for equal.
func noise(p *pair, a, b *Judged) (float64, string) {
	sa, sb, basis := a.Sigma, b.Sigma, a.Basis
	if !p.sameInstrument() && a.Across > 0 && b.Across > 0 && (a.Across != a.Sigma || b.Across != b.Sigma) {
		sa, sb, basis = a.Across, b.Across, acrossBasis
	}
	return 2 * rms(sa, sb), basis
}

const acrossBasis = "assumed: two meters agree to 2 % and 0.002 u'v' (common practice)"

// sameInstrument reports whether both sides were read with one meter: one that
// is named, or within one job, where none is, that of the bench.
func (p *pair) sameInstrument() bool {
	if p.r[0] == nil || p.r[1] == nil {
		return false
	}
	a, b := p.r[0].M.Instrument, p.r[1].M.Instrument
	return strings.EqualFold(a, b) && (a != "" || p.oneJob)
}

func stateOf(value, noise float64) State {
	switch {
	case noise == 0:
		return Unsure
	case value > noise:
		return Differs
	}
	return Noise
}

func blindOf(list []Blind, d *Difference) *Blind {
	for i := range list {
		b := &list[i]
		if b.Quantity == d.Key || b.Quantity == d.Limit && d.Limit != "" {
			if b.Less == 0 || math.Abs(d.Value) < b.Less {
				return b
			}
		}
	}
	return nil
}

// Differ reports whether anything differs beyond what readings can tell.
func (c *Comparison) Differ() bool { return len(c.in(Differs)) > 0 }

// in lists the differences of a state.
func (c *Comparison) in(s State) (list []*Difference) {
	for i := range c.Differences {
		if c.Differences[i].State == s {
			list = append(list, &c.Differences[i])
		}
	}
	return list
}

// remark says what the comparison rests on.
func (c *Comparison) remark() {
	for i := range c.pairs {
		p := &c.pairs[i]
		if p.r[0] == nil || p.r[1] == nil || p.r[0].Entry == nil || p.r[1].Entry == nil {
			continue
		}
		days := math.Abs(p.r[1].Entry.Time.Sub(p.r[0].Entry.Time).Hours()) / 24
		if days > 90 && absolute(p.what) {
			c.Notes = append(c.Notes, fmt.Sprintf("%s: the readings are %.0f days apart; what the instrument itself has drifted meanwhile is not in the noise.", p.title(), days))
		}
		if absolute(p.what) && !p.sameInstrument() {
			c.Notes = append(c.Notes, fmt.Sprintf("%s: not read with one and the same named instrument, so the noise is that between two meters. Read both with one meter, and name it with --instrument, to tell more.", p.title()))
		}
	}
	if w := inventedWords(c.A.Job); w != "" {
		c.Notes = append(c.Notes, "INVENTED, "+c.A.Name+": "+w)
	}
	if w := inventedWords(c.B.Job); w != "" && c.B.Job != c.A.Job && c.B.Job.Name != c.A.Job.Name {
		c.Notes = append(c.Notes, "INVENTED, "+c.B.Name+": "+w)
	}
}

// absolute reports whether a kind rests on what a light meter reads, and not on
// readings of one meter held against each other.
func absolute(w job.What) bool { return w == job.WhatGray || w == job.WhatGuns }
