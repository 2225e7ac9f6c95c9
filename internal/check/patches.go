package check

import (
	"backporch/colorimetry"
	"backporch/internal/measure"
	"backporch/internal/table"
	"backporch/pattern"
)

// PatchTable is every measured patch for programs. A ramp has two rows, told
// apart by End.
func (r *Report) PatchTable() *table.Table {
	t := &table.Table{Name: "patches", Columns: []table.Column{
		{Name: "Patch"}, {Name: "Kind"}, {Name: "End"}, {Name: "Samples"},
		{Name: "Want Y", Unit: "IRE", Decimals: 3}, {Name: "Want CB", Unit: "%", Decimals: 3}, {Name: "Want CR", Unit: "%", Decimals: 3},
		{Name: "Got Y", Unit: "IRE", Decimals: 3}, {Name: "Got CB", Unit: "%", Decimals: 3}, {Name: "Got CR", Unit: "%", Decimals: 3},
		{Name: "Sigma Y", Unit: "IRE", Decimals: 4}, {Name: "Sigma CB", Unit: "%", Decimals: 4}, {Name: "Sigma CR", Unit: "%", Decimals: 4},
		{Name: "Error", Unit: "IRE", Decimals: 3}, {Name: "Chroma gain error", Unit: "%", Decimals: 3}, {Name: "Hue error", Unit: "deg", Decimals: 3},
		{Name: "CIEDE2000", Decimals: 3},
		{Name: "Noise Y", Unit: "IRE", Decimals: 3}, {Name: "Noise CB", Unit: "%", Decimals: 3}, {Name: "Noise CR", Unit: "%", Decimals: 3},
		{Name: "Uneven Y", Unit: "IRE", Decimals: 3}, {Name: "Absent"},
	}}
	for i := range r.Result.Patches {
		p := &r.Result.Patches[i]
		if !p.Measured() {
			continue
		}
		end := ""
		if p.Kind != pattern.Level {
			end = "from"
		}
		r.patchRow(t, p, end, p.Expect, p.Got)
		if end != "" {
			r.patchRow(t, p, "to", p.ExpectTo, p.GotTo)
		}
	}
	return t
}

func (r *Report) patchRow(t *table.Table, p *measure.Patch, end string, want, got colorimetry.Signal) {
	q := *p
	q.Expect, q.Got = want, got
	gain, turn := percentAndTurn(&q)
	t.Add(p.Name, string(p.Kind), orNone(end), p.N,
		ire(want), 100*want.CB, 100*want.CR, ire(got), 100*got.CB, 100*got.CR,
		100*p.Sigma[0], 100*p.Sigma[1], 100*p.Sigma[2],
		ire(got)-ire(want), gain, turn, r.difference(&q),
		100*p.Noise[0], 100*p.Noise[1], 100*p.Noise[2], 100*p.Uneven[0], orNone(p.Absent))
}

func (r *Report) difference(p *measure.Patch) any {
	if d, ok := r.Difference(p); ok {
		return d
	}
	return nil
}

// patchPage is every measured patch for people. Figures have the number that
// stands in the picture of the page.
func (r *Report) patchPage() *table.Table {
	t := &table.Table{Name: "patches", Title: "Patches", Columns: []table.Column{
		{Name: "No"}, {Name: "Patch"}, {Name: "Want", Unit: "IRE", Decimals: 1}, {Name: "Got", Unit: "IRE", Decimals: 1}, {Name: "Error", Unit: "IRE", Decimals: 1},
		{Name: "Chroma", Unit: "%", Decimals: 1, Key: "chroma_percent"}, {Name: "Hue", Unit: "deg", Decimals: 1}, {Name: "CIEDE", Unit: "2000", Decimals: 1, Key: "ciede_2000"},
		{Name: "Noise", Unit: "IRE", Decimals: 2}, {Name: "Uneven", Unit: "IRE", Decimals: 1},
	}}
	for n, p := range r.measured() {
		add := func(name string, want, got colorimetry.Signal) {
			q := *p
			q.Expect, q.Got = want, got
			gain, turn := percentAndTurn(&q)
			t.Add(n+1, name, ire(want), zero(ire(got), 1), ire(got)-ire(want), gain, turn, r.difference(&q), 100*p.Noise[0], 100*p.Uneven[0])
		}
		if flat(p) {
			add(p.Name, p.Expect, p.Got)
			continue
		}
		add(p.Name+", from", p.Expect, p.Got)
		add(p.Name+", to", p.ExpectTo, p.GotTo)
	}
	return t
}

// measured are the patches that have numbers, in the order of the pattern.
func (r *Report) measured() (list []*measure.Patch) {
	for i := range r.Result.Patches {
		if p := &r.Result.Patches[i]; p.Measured() {
			list = append(list, p)
		}
	}
	return list
}
