package report

import (
	"math"
	"strings"

	"backporch/internal/job"
)

// A pair is one kind of measurement at two states; either may be missing.
type pair struct {
	what  job.What
	input string
	r     [2]*Result
	// oneJob: both are readings of one job, so that a meter without a name is
	// taken for that of the bench.
	oneJob bool
}

// title of a pair, with its input.
func (p *pair) title() string {
	for _, r := range p.r {
		if r != nil {
			return r.title()
		}
	}
	return whatTitle(p.what)
}

// pairs are in order of work.
type pairs []pair

// pairUp lays the results of two states side by side.
func pairUp(first, second []*Result) (list pairs) {
	for _, w := range job.Whats() {
		for i, side := range [][]*Result{first, second} {
			for _, r := range side {
				if r.M.What != w {
					continue
				}
				p := list.find(w, chromaInput(r.M))
				if p == nil {
					list = append(list, pair{what: w, input: chromaInput(r.M)})
					p = &list[len(list)-1]
				}
				p.r[i] = r
			}
		}
	}
	return list
}

// chromaInput is the input that tells measurements of a kind apart: chroma is
// of each input, the rest of the set.
func chromaInput(m *job.Measurement) string {
	if m.What == job.WhatChroma {
		return m.Input
	}
	return ""
}

// without leaves a kind out.
func (l pairs) without(w job.What) (rest pairs) {
	for _, p := range l {
		if p.what != w {
			rest = append(rest, p)
		}
	}
	return rest
}

func (l pairs) find(w job.What, input string) *pair {
	for i := range l {
		if l[i].what == w && l[i].input == input {
			return &l[i]
		}
	}
	return nil
}

// keys are those of the findings of a pair, in order.
func (p *pair) keys() (list []string) {
	for _, r := range p.r {
		if r == nil {
			continue
		}
		for _, j := range r.Judged {
			if !contains(list, j.Key) {
				list = append(list, j.Key)
			}
		}
	}
	return list
}

// grid is every finding at both states, beside its tolerance.
func (l pairs) grid(first, second string) grid {
	g := newGrid("", "Quantity", "#"+first, "|judged", "#"+second, "|judged", "|Unit", "|Tolerance")
	l.rows(&g, false)
	return g
}

// minor is the further figures.
func (l pairs) minor() grid {
	g := newGrid("Further figures", "Quantity", "#Before", "#After", "|Unit")
	l.rows(&g, true)
	g.Notes = []string{"Terms of geometry and convergence that are no larger than what readings tell are left out."}
	return g
}

func (l pairs) rows(g *grid, minor bool) {
	for i := range l {
		p := &l[i]
		started := false
		for _, key := range p.keys() {
			a, b := p.r[0].find(key), p.r[1].find(key)
			any := b
			if any == nil {
				any = a
			}
			if any.Minor != minor || minor && p.small(a) && p.small(b) {
				continue
			}
			if !started {
				g.Rows = append(g.Rows, gridRow{Part: p.title() + p.marks()})
				started = true
			}
			if minor { // none has a tolerance
				g.add(any.Name, a.figure(), b.figure(), any.Unit)
				continue
			}
			g.add(any.Name, a.figure(), a.readVerdict(), b.figure(), b.readVerdict(), any.Unit, bounds(any.Min, any.Max, ""))
			if a != nil && (a.Out || a.Untold) {
				g.strong(1, 2)
			}
			if b != nil && (b.Out || b.Untold) {
				g.strong(0, 3, 4)
			}
		}
	}
}

// small reports a term of geometry or convergence that readings cannot tell from
// none, or that was not read.
func (p *pair) small(j *Judged) bool {
	if p.what != job.WhatGeometry && p.what != job.WhatConvergence {
		return false
	}
	return j == nil || math.Abs(j.Value) <= 2*j.Sigma
}

// marks say which of the two were made up.
func (p *pair) marks() string {
	switch a, b := p.invented(0), p.invented(1); {
	case a && b, a && p.r[1] == nil, b && p.r[0] == nil:
		return " [INVENTED readings]"
	case a:
		return " [INVENTED readings before]"
	case b:
		return " [INVENTED readings after]"
	}
	return ""
}

func (p *pair) invented(i int) bool { return p.r[i] != nil && p.r[i].M.Invented }

// figures are the drawings of two states under their names.
func (l pairs) figures(g *Given, first, second string) (list []figure) {
	add := func(f figure, ok bool) {
		if ok {
			list = append(list, f)
		}
	}
	names := [2]string{first, second}
	if p := l.find(job.WhatGray, ""); p != nil {
		var all [2]series
		for i, name := range names {
			all[i] = series{name: name}
			if p.r[i] != nil {
				all[i].steps = p.r[i].Gray
			}
		}
		if o, err := g.options(); err == nil {
			add(plotChromaticity(o.Target, g.most(job.LimitWhitePoint), all))
			add(plotTracking(g.most(job.LimitGrayTracking), all))
			add(plotGamma(g.limit(job.LimitGamma), all))
			add(plotGuns(o.Target.Name, all))
		}
	}
	if p := l.find(job.WhatUniformity, ""); p != nil {
		add(plotZones(g.aspect(), g.limit(job.LimitUniformityLuminance), names, p.r))
	}
	if p := l.find(job.WhatGeometry, ""); p != nil {
		var all [2]shape
		for i, name := range names {
			all[i] = shape{name: name}
			if p.r[i] != nil && p.r[i].Fit != nil {
				all[i].fit, all[i].height = p.r[i].Fit, p.r[i].Fit.PictureMM
			}
		}
		add(plotArrows(g.aspect(), all))
	}
	if p := l.find(job.WhatConvergence, ""); p != nil {
		var all [2]spread
		for i, name := range names {
			all[i] = spread{name: name}
			if p.r[i] != nil {
				all[i].offsets = p.r[i].Offsets
			}
		}
		add(plotConvergence(g.aspect(), all))
	}
	return list
}

// limitGrid is where the tolerances of those keys are from: a row for each
// source, as the ranges stand beside the values.
func limitGrid(g *Given, used map[string]bool) grid {
	t := newGrid("", "Source", "Tolerance")
	if g.Plan == nil {
		return t
	}
	var sources []string
	names := map[string][]string{}
	for _, limit := range g.Plan.Limits {
		if !used[limit.Key] {
			continue
		}
		source := limitSource(limit)
		if names[source] == nil {
			sources = append(sources, source)
		}
		names[source] = append(names[source], limit.Name)
	}
	for _, source := range sources {
		t.add(source, strings.Join(names[source], "; "))
	}
	return t
}

// limitSource is where a tolerance is from, in words.
func limitSource(l job.Limit) string {
	if l.Own {
		return or(l.Source, "the workshop's own")
	}
	return l.Source
}

// limits are the keys of the tolerances that findings were held to.
func (l pairs) limits() map[string]bool {
	used := map[string]bool{}
	for i := range l {
		for _, r := range l[i].r {
			if r == nil {
				continue
			}
			for _, j := range r.Judged {
				used[j.Limit] = true
			}
		}
	}
	return used
}
