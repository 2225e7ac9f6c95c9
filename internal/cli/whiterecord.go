package cli

import (
	"fmt"
	"strconv"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/meter"
	"backporch/internal/table"
	"backporch/internal/white"
)

// record is what moves and advice have in common.
func (w *whiteWork) record(name string) *table.Record {
	t := w.Options.Target
	return &table.Record{Name: name, Fields: []table.Field{
		{Name: "Caution", Value: whiteCaution},
		{Name: "Target", Value: fmt.Sprintf("%s (x %.4f, y %.4f)", t.Name, t.X, t.Y)},
		{Name: "Light of the guns from", Value: w.Tube},
		{Name: "Kept", Value: w.Options.Keep.String()},
	}}
}

// moves shows what the law of the tube asks for.
func (w *whiteWork) moves(s *white.Solution) (*table.Record, error) {
	rec := w.record("white-moves")
	how := "assumed"
	switch {
	case s.Fitted:
		how = "fitted to the steps"
	case w.Options.Gamma > 0:
		how = "as given"
	}
	rec.Fields = append(rec.Fields, table.Field{Name: "Gamma", Value: s.Gamma, Decimals: 2}, table.Field{Name: "Gamma is", Value: how})
	guns := &table.Table{Name: "moves", Title: "Moves", Columns: []table.Column{
		{Name: "Gun"}, {Name: "Drive", Unit: "%", Key: "drive_percent", Decimals: 1}, {Name: "Cutoff", Unit: "%", Key: "cutoff_percent", Decimals: 2},
		{Name: "Cutoff ahead of drive", Unit: "%", Key: "cutoff_ahead_percent", Decimals: 2}, {Name: "In words", Align: table.Left},
	}}
	for g, m := range s.Moves {
		words := "drive " + turn(m.Drive, 0.05) + ", cutoff " + turn(m.Cutoff, 0.02)
		if white.Gun(g) == w.Options.Keep {
			words = "stays"
		}
		guns.Add(white.Gun(g).String(), m.Drive, m.Cutoff, m.Ahead, words)
	}
	light, err := w.light()
	if err != nil {
		return nil, err
	}
	rec.Tables = append(rec.Tables, guns, light, predicted(s.Steps, false))
	rec.Notes = append(w.sentences(s.Notes),
		"Drive is per cent of the present drive. Cutoff is per cent of the range from black to white; where the set's cutoff acts ahead of its drive stage, the column ahead of drive counts.",
		"Cutoffs first, at the dark step, then drives at the light step; read both steps again and repeat until they stay.")
	return rec, nil
}

// turn says which way.
func turn(v, least float64) string {
	switch {
	case v > least:
		return "up"
	case v < -least:
		return "down"
	}
	return "stays"
}

// light shows the light of each gun as it is, beside the kept one; nil where it
// cannot be told.
func (w *whiteWork) light() (*table.Table, error) {
	t := &table.Table{Name: "guns", Title: "Light of each gun now; at the target all are 100", Columns: []table.Column{
		{Name: "Level", Unit: "%", Key: "level_percent", Decimals: 1}, {Name: "Red", Unit: "%", Key: "red_percent", Decimals: 1},
		{Name: "Green", Unit: "%", Key: "green_percent", Decimals: 1}, {Name: "Blue", Unit: "%", Key: "blue_percent", Decimals: 1},
	}}
	o := w.Options
	var samples []meter.Sample
	for _, s := range w.Steps {
		samples = append(samples, meter.Sample{Level: s.Level, XYZ: lessBlack(s.XYZ, o.Black)})
	}
	m := meter.Options{Target: o.Target, Primaries: o.Primaries}
	if o.Measured != nil {
		m.Measured = &[3]colorimetry.XYZ{}
		for g, c := range o.Measured {
			m.Measured[g] = lessBlack(c, o.Black)
		}
	}
	steps, err := meter.Analyze(samples, m)
	if err != nil {
		return nil, err
	}
	for _, s := range steps.Steps {
		k := 100 / s.Guns[o.Keep]
		t.Add(100*s.Level, k*s.Guns[0], k*s.Guns[1], k*s.Guns[2])
	}
	return t, nil
}

// lessBlack takes the light of the unlit screen off.
func lessBlack(c, black colorimetry.XYZ) colorimetry.XYZ {
	return colorimetry.XYZ{X: c.X - black.X, Y: c.Y - black.Y, Z: c.Z - black.Z}
}

// predicted shows the steps before and after.
func predicted(steps []white.Prediction, doubt bool) *table.Table {
	t := &table.Table{Name: "steps", Title: "Steps now, and after the moves", Columns: []table.Column{
		{Name: "Level", Unit: "%", Key: "level_percent", Decimals: 1}, {Name: "Y now", Unit: "cd/m2", Key: "now_cd_m2", Decimals: 2},
		{Name: "x now", Decimals: 4}, {Name: "y now", Decimals: 4}, {Name: "du'v' now", Key: "duv_now", Decimals: 4},
		{Name: "Y then", Unit: "cd/m2", Key: "then_cd_m2", Decimals: 2}, {Name: "x then", Decimals: 4}, {Name: "y then", Decimals: 4}, {Name: "du'v' then", Key: "duv_then", Decimals: 4},
	}}
	if doubt {
		t.Columns = append(t.Columns, table.Column{Name: "+-", Key: "duv_doubt", Decimals: 4})
	}
	for _, s := range steps {
		was, _ := s.Before.XY()
		is, _ := s.After.XY()
		cells := []any{100 * s.Level, s.Before.Y, was.X, was.Y, s.OffBefore, s.After.Y, is.X, is.Y, s.OffAfter}
		if doubt {
			cells = append(cells, s.Doubt)
		}
		t.Add(cells...)
	}
	return t
}

// advice shows the next setting; text is for people.
func (w *whiteWork) advice(a *white.Advice, text bool) *table.Record {
	rec := w.record("white-advice")
	next := "set the knobs, read the steps again, and come back with them"
	if a.Near {
		next = "stop: leave the knobs as they stand"
	}
	rec.Fields = append(rec.Fields, table.Field{Name: "Rounds so far", Value: len(w.Rounds)}, table.Field{Name: "Next", Value: next}, table.Field{Name: "Stop", Value: a.Near})
	knobs := &table.Table{Name: "knobs", Title: "Where to set the knobs", Columns: []table.Column{
		{Name: "Knob"}, {Name: "Stands at", Decimals: table.Shortest}, {Name: "First to", Decimals: table.Shortest}, {Name: "Then to", Decimals: table.Shortest}, {Name: "In words", Align: table.Left},
	}}
	last := w.Rounds[len(w.Rounds)-1]
	for i, c := range w.Knobs {
		now, past, to := last.Settings[i], rounded(a.Past[i], c), rounded(a.Settings[i], c)
		words := "stays"
		var first any
		switch {
		case now == a.Settings[i]:
			to = now
		case past != to:
			first, words = past, fmt.Sprintf("down to %g, then up to %g", past, to)
		case to > now:
			words = fmt.Sprintf("up to %g", to)
		default:
			words = fmt.Sprintf("down to %g", to)
		}
		knobs.Add(c.Name, now, first, to, words)
	}
	effects := &table.Table{Name: "effects", Title: "What one unit of each knob does to the light of the guns", Columns: []table.Column{
		{Name: "Knob"}, {Name: "Level", Unit: "%", Key: "level_percent", Decimals: 1}, {Name: "Red", Unit: "%", Key: "red_percent", Decimals: 2},
		{Name: "Green", Unit: "%", Key: "green_percent", Decimals: 2}, {Name: "Blue", Unit: "%", Key: "blue_percent", Decimals: 2},
		{Name: "Doubt, own gun", Unit: "%", Key: "doubt_percent", Decimals: 2}, {Name: "Known from"},
	}}
	for _, e := range a.Effects {
		from := "usual controls"
		if e.Moved {
			from = "its moves"
		}
		for i, l := range e.Light {
			if text && i > 0 && i < len(e.Light)-1 {
				continue // people read the ends: what lies between follows from them
			}
			effects.Add(e.Control, 100*a.Steps[i].Level, l[0], l[1], l[2], e.Doubt[i][e.Gun], from)
		}
	}
	rec.Tables = append(rec.Tables, knobs, predicted(a.Steps, true), effects)
	rec.Notes = w.sentences(a.Notes)
	return rec
}

// rounded is a setting as a hand can set it where the knob has no steps: to four
// figures, within its travel.
func rounded(v float64, c white.Control) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 4, 64), 64)
	if err != nil || c.Most > c.Least && (r < c.Least || r > c.Most) {
		return v
	}
	return r
}

// sentences are notes of the work and of white, which begin small and end bare.
func (w *whiteWork) sentences(notes []string) []string {
	out := append([]string(nil), w.Notes...)
	for _, n := range notes {
		n = strings.ToUpper(n[:1]) + n[1:]
		if !strings.HasSuffix(n, ".") {
			n += "."
		}
		out = append(out, n)
	}
	return out
}
