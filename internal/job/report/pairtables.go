package report

import (
	"bytes"
	"encoding/csv"
	"slices"

	"backporch/internal/job"
	"backporch/internal/table"
)

// mostColumns of a table in which before and after stand side by side: more are
// not readable across a page.
const mostColumns = 11

// details are the tables behind the findings. Before and after are one table
// where the page is wide enough for both.
func (l pairs) details() (list []grid, err error) {
	for i := range l {
		p := &l[i]
		var names []string
		for _, r := range p.r {
			if r == nil {
				continue
			}
			for _, t := range r.Tables {
				if t.Name != "terms" && !contains(names, t.Name) { // terms stand among the further figures
					names = append(names, t.Name)
				}
			}
		}
		for _, name := range names {
			grids, err := p.detail(name)
			if err != nil {
				return nil, err
			}
			list = append(list, grids...)
		}
	}
	return list, nil
}

// detail is one of the tables of a pair, or two where they do not fit beside
// each other.
func (p *pair) detail(name string) ([]grid, error) {
	var tables [2]*table.Table
	var texts [2][][]string
	for n, r := range p.r {
		if r == nil {
			continue
		}
		at := slices.IndexFunc(r.Tables, func(t *table.Table) bool { return t.Name == name })
		if at < 0 {
			continue
		}
		tables[n] = r.Tables[at]
		var b bytes.Buffer
		if err := tables[n].Write(&b, table.CSV, 0); err != nil {
			return nil, err
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			return nil, err
		}
		texts[n] = rows
	}
	a, b := tables[0], tables[1]
	if a != nil && b != nil && slices.Equal(texts[0][0], texts[1][0]) && 2*len(a.Columns)-1 <= mostColumns && single(texts[0]) && single(texts[1]) {
		heads, rows := beside(texts[0], texts[1])
		g := ofTexts(p.titleOf(a)+p.marks(), heads, rows, len(a.Columns)-1)
		g.Notes = a.Notes
		for _, note := range b.Notes {
			if !contains(g.Notes, note) {
				g.Notes = append(g.Notes[:len(g.Notes):len(g.Notes)], note)
			}
		}
		return []grid{g}, nil
	}
	var list []grid
	for n, when := range []string{"before", "after"} {
		if tables[n] == nil {
			continue
		}
		title := p.titleOf(tables[n]) + ", " + when
		if p.invented(n) {
			title += " [INVENTED readings]"
		}
		g := ofTexts(title, texts[n][0], texts[n][1:], 0)
		g.Notes = tables[n].Notes
		list = append(list, g)
	}
	return list, nil
}

func (p *pair) titleOf(t *table.Table) string {
	title := or(t.Title, whatTitle(p.what))
	if p.what == job.WhatChroma && p.input != "" {
		title += ", " + p.input
	}
	return title
}

// single reports whether the first column tells all rows apart.
func single(rows [][]string) bool {
	seen := map[string]bool{}
	for _, r := range rows {
		if seen[r[0]] {
			return false
		}
		seen[r[0]] = true
	}
	return true
}

// beside puts the rows of two tables with equal heads side by side, by their
// first column; a row that one of them lacks is empty there.
func beside(a, b [][]string) (heads []string, rows [][]string) {
	rest := len(a[0]) - 1
	heads = append(append(heads, a[0]...), b[0][1:]...)
	at := map[string]int{}
	for _, r := range a[1:] {
		at[r[0]] = len(rows)
		rows = append(rows, append(slices.Clone(r), make([]string, rest)...))
	}
	for _, r := range b[1:] {
		i, ok := at[r[0]]
		if !ok {
			i = len(rows)
			rows = append(rows, append([]string{r[0]}, make([]string, 2*rest)...))
		}
		copy(rows[i][1+rest:], r[1:])
	}
	return heads, rows
}
