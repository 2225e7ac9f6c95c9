package compare

import (
	"math"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/table"
)

// Record returns the numbers of the comparison. The first table, which is also
// the CSV, has a row for each variant; others have the steps, the bars and the
// bars of one gun.
func (r *Result) Record() *table.Record {
	rec := &table.Record{Name: "compare", Fields: []table.Field{
		{Name: "Pattern", Value: r.Spec},
		{Name: "Axis", Value: r.Axis.String()},
		{Name: "Raster", Value: r.View.Shown.Name},
		{Name: "White", Unit: "cd/m²", Value: r.Set.Curve.White, Decimals: table.Shortest},
		{Name: "Black", Unit: "cd/m²", Value: r.Set.Curve.Black, Decimals: table.Shortest},
		{Name: "Gamma", Value: r.Set.Curve.Gamma, Decimals: table.Shortest},
		{Name: "Phosphors", Value: r.Set.Primaries.Title},
		{Name: "White point", Value: r.Set.White.Title},
		{Name: "Guns", Value: r.Gun.String()},
	}}
	rec.Tables = []*table.Table{r.variantTable()}
	for _, t := range []*table.Table{r.stepTable(), r.barTable(), r.gunTable(), r.sensitivityTable()} {
		if t != nil && t.Len() > 0 {
			rec.Tables = append(rec.Tables, t)
		}
	}
	rec.Notes = r.Notes()
	rec.Notes = rec.Notes[:len(rec.Notes)-1] // the last speaks of pictures
	return rec
}

func (r *Result) variantTable() *table.Table {
	t := &table.Table{Name: "variants", Columns: []table.Column{
		{Name: "Variant"},
		{Name: "Verdict"},
		{Name: "Black", Unit: "cd/m²", Decimals: 4},
		{Name: "50 %", Key: "half_cd_m2", Unit: "cd/m²", Decimals: 3},
		{Name: "White", Unit: "cd/m²", Decimals: 3},
		{Name: "Contrast", Decimals: 1},
		{Name: "Color", Key: "color_percent", Unit: "%", Decimals: 2},
		{Name: "Hue", Key: "hue_deg", Unit: "°", Decimals: 2},
	}}
	alternating := r.alternates()
	if alternating {
		t.Columns = append(t.Columns, table.Column{Name: "Lines ±", Key: "hue_swing_deg", Unit: "°", Decimals: 2})
	}
	switch r.Axis {
	case TVLines:
		t.Columns = append(t.Columns, table.Column{Name: "Edges", Unit: "ns", Decimals: 0})
	case ColorTemperature:
		t.Columns = append(t.Columns, table.Column{Name: "White x", Decimals: 4}, table.Column{Name: "White y", Decimals: 4},
			table.Column{Name: "Red light", Key: "red_light_percent", Unit: "%", Decimals: 1}, table.Column{Name: "Blue light", Key: "blue_light_percent", Unit: "%", Decimals: 1})
	}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		cells := []any{o.Name, r.Verdict(o), o.Black.Nits, o.Half.Nits, o.White.Nits, o.Contrast(), o.Chroma(), o.Hue()}
		if alternating {
			cells = append(cells, o.Alternation())
		}
		switch r.Axis {
		case TVLines:
			cells = append(cells, o.RiseTime)
		case ColorTemperature:
			x, y := o.Set.WhiteXY()
			p := o.Set.Against(colorimetry.D65)
			cells = append(cells, x, y, 100*(p[0]-1), 100*(p[2]-1))
		}
		t.Add(cells...)
	}
	return t
}

// alternates reports whether hue can swing from line to line.
func (r *Result) alternates() bool {
	return r.Axis != Component && r.alternating()
}

func (r *Result) stepTable() *table.Table {
	t := &table.Table{Name: "steps", Title: "Steps of gray", Columns: []table.Column{
		{Name: "Variant"}, {Name: "Step"},
		{Name: "Wanted", Unit: "%", Decimals: 2},
		{Name: "Decoded", Unit: "%", Decimals: 2},
		{Name: "Light", Unit: "cd/m²", Decimals: 4},
		{Name: "State"},
	}}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		for _, s := range o.Steps {
			t.Add(o.Name, s.Name, 100*s.Want, 100*s.Drive, s.Nits, s.State.String())
		}
	}
	return t
}

func (r *Result) barTable() *table.Table {
	t := &table.Table{Name: "bars", Title: "Colors", Columns: []table.Column{
		{Name: "Variant"}, {Name: "Bar"},
		{Name: "R'", Key: "r_percent", Unit: "%", Decimals: 1},
		{Name: "G'", Key: "g_percent", Unit: "%", Decimals: 1},
		{Name: "B'", Key: "b_percent", Unit: "%", Decimals: 1},
		{Name: "Light", Unit: "cd/m²", Decimals: 3},
		{Name: "Color", Key: "color_percent", Unit: "%", Decimals: 2},
		{Name: "Hue", Key: "hue_deg", Unit: "°", Decimals: 2},
	}}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		for _, b := range o.Bars {
			d := b.Got.Drive
			t.Add(o.Name, b.Name, 100*d[0], 100*d[1], 100*d[2], b.Got.Nits, b.Chroma, b.Hue)
		}
	}
	return t
}

// gunTable has the four bars of one gun and the mismatch of their pairs.
func (r *Result) gunTable() *table.Table {
	if r.Outcomes[0].Guns == nil {
		return nil
	}
	g := r.Outcomes[0].Guns
	t := &table.Table{Name: "gun", Title: "What drives the " + r.Gun.String() + " gun, per cent of white, and how far the pairs are apart, per cent of what all four should be",
		Columns: []table.Column{{Name: "Variant"}}}
	for _, n := range g.Names {
		t.Columns = append(t.Columns, table.Column{Name: n, Unit: "%", Decimals: 2})
	}
	t.Columns = append(t.Columns,
		table.Column{Name: g.Pair(false), Key: "outer_pair_percent", Unit: "%", Decimals: 2},
		table.Column{Name: g.Pair(true), Key: "inner_pair_percent", Unit: "%", Decimals: 2},
		table.Column{Name: "Outer pair in light", Key: "outer_pair_light_percent", Unit: "%", Decimals: 1},
		table.Column{Name: "Inner pair in light", Key: "inner_pair_light_percent", Unit: "%", Decimals: 1})
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		b := o.Guns
		t.Add(o.Name, 100*b.Drive[0], 100*b.Drive[1], 100*b.Drive[2], 100*b.Drive[3],
			b.Outer(), b.Inner(), b.OuterLight(&o.Set), b.InnerLight(&o.Set))
	}
	return t
}

func (r *Result) sensitivityTable() *table.Table {
	s := r.Sensitivity
	if s == nil {
		return nil
	}
	g := r.Outcomes[0].Guns
	t := &table.Table{Name: "sensitivity", Title: "What a small error does, per cent of what all four should be", Columns: []table.Column{
		{Name: "Bars"}, {Name: "1 % of color gain", Key: "gain_percent", Unit: "%", Decimals: 3}, {Name: "1° of phase", Key: "phase_percent", Unit: "%", Decimals: 3}, {Name: "Reads"},
	}}
	for k, n := range g.Names {
		t.Add(n, s.Gain[k], s.Phase[k], nil)
	}
	t.Add(g.Pair(false), s.OuterGain, s.OuterPhase, "gain")
	var inner any
	if s.ReadsPhase() {
		inner = "phase"
	}
	t.Add(g.Pair(true), s.InnerGain, s.InnerPhase, inner)
	return t
}

// Summary returns a line for each variant: its name, and what is to be said of
// it.
func (r *Result) Summary() string {
	wide := 0
	for i := range r.Outcomes {
		wide = max(wide, len([]rune(r.Outcomes[i].Name)))
	}
	var b strings.Builder
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		b.WriteString("  " + o.Name + strings.Repeat(" ", wide-len([]rune(o.Name))) + "  " + r.Verdict(o))
		if g := o.Guns; g != nil {
			b.WriteString("; " + g.Pair(false) + " " + percent(g.Outer()) + ", " + g.Pair(true) + " " + percent(g.Inner()))
		}
		if r.Axis == TVLines && !math.IsNaN(o.RiseTime) {
			b.WriteString("; edges " + figures(o.RiseTime) + " ns")
		}
		b.WriteByte('\n')
	}
	return b.String()
}
