package check

import (
	"fmt"
	"math"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/measure"
	"backporch/internal/table"
	"backporch/pattern"
)

// Record is the report for people: words first.
func (r *Report) Record() *table.Record {
	rec := r.facts()
	if len(r.Result.Findings) > 0 {
		rec.Tables = append(rec.Tables, r.findingWords())
	} else if r.placed() {
		rec.Fields = append(rec.Fields, table.Field{Name: "Faults found", Value: "none"})
	}
	if c := r.Change; c != nil {
		rec.Fields = append(rec.Fields, c.Fields...)
		rec.Tables = append(rec.Tables, c.Patches)
	}
	if !r.placed() { // what was measured is not of the pattern
		rec.Tables, rec.Notes = nil, r.Notes
		return rec
	}
	if len(r.Items) > 0 {
		rec.Tables = append(rec.Tables, r.itemTable())
	}
	if len(r.Result.Patches) > 0 {
		rec.Tables = append(rec.Tables, r.patchPage())
	}
	if len(r.Result.Luma)+len(r.Result.Chroma) > 0 {
		rec.Tables = append(rec.Tables, r.responseTable())
	}
	if len(r.Result.Unseen) > 0 {
		rec.Tables = append(rec.Tables, r.unseenPage())
	}
	rec.Notes = r.notes()
	return rec
}

// Data is the report for programs: numbers as numbers.
func (r *Report) Data() *table.Record {
	rec := r.facts()
	rec.Fields = append(rec.Fields, r.dataFields()...)
	rec.Tables = []*table.Table{r.PatchTable(), r.findingTable(), r.itemData(), r.responseTable(), r.unseenTable()}
	if c := r.Change; c != nil {
		rec.Fields = append(rec.Fields, c.Fields...)
		rec.Tables = append(rec.Tables, c.Patches)
	}
	rec.Notes = r.notes()
	return rec
}

// facts are the lines on top of both.
func (r *Report) facts() *table.Record {
	p, v := r.Request.Picture, &r.Verdict
	at := &r.Result.Place
	right, down := r.shift()
	rec := &table.Record{Name: "check", Fields: []table.Field{
		{Name: "Verdict", Value: v.Outcome.String()},
		{Name: "In words", Value: v.Sentence},
		{Name: "File", Value: r.File},
		{Name: "Kind", Value: r.Kind},
		{Name: "Pattern", Value: r.Spec},
		{Name: "Raster", Value: r.Request.Raster.Name},
		{Name: "Class", Value: r.Class.String()},
		{Name: "Capture device", Value: r.Via.Words()},
		{Name: "Samples", Value: p.Width}, {Name: "Rows", Value: p.Height},
		{Name: "Frames averaged", Value: p.Frames},
		{Name: "Field order", Value: orderName(r.Order)},
	}}
	add := func(f ...table.Field) { rec.Fields = append(rec.Fields, f...) }
	if n, ok := r.noise(); ok {
		add(table.Field{Name: "Noise, rms", Unit: "IRE", Key: "noise_ire", Decimals: 2, Value: 100 * n})
	}
	if r.Request.Region != [4]float64{} {
		add(table.Field{Name: "Place", Value: "as given with --region"})
	} else {
		add(table.Field{Name: "Place", Value: r.placeWords()})
	}
	if r.exact() {
		if at.XKnown {
			add(table.Field{Name: "Shift to the right", Unit: "samples", Key: "shift_samples", Decimals: 2, Value: zero(right, 2)},
				table.Field{Name: "Shift in time", Unit: "us", Key: "shift_us", Decimals: 3, Value: zero(r.microseconds(right), 3)})
		}
		if at.YKnown {
			add(table.Field{Name: "Shift down", Unit: "rows", Key: "shift_rows", Decimals: 2, Value: zero(down, 2)})
		}
		_, _, wider, higher := at.Against(r.Result.Nominal)
		add(table.Field{Name: "Wider than nominal", Unit: "%", Key: "wider_percent", Decimals: 2, Value: zero(100*wider, 2)},
			table.Field{Name: "Higher than nominal", Unit: "%", Key: "higher_percent", Decimals: 2, Value: zero(100*higher, 2)})
	}
	if r.Motion != nil {
		add(table.Field{Name: "Movement", Value: r.Motion.words()})
	}
	return rec
}

// placeWords says whether and how the picture was found.
func (r *Report) placeWords() string {
	at := &r.Result.Place
	if r.Request.Picture.Raster != nil {
		return "known: the signal says where its lines are"
	}
	s := fmt.Sprintf("found, correlation %.3f, sure to %.0f %%, to %.2f samples and %.2f rows", at.Score, 100*at.Sure, at.SigmaX, at.SigmaY)
	switch {
	case !r.placed():
		return fmt.Sprintf("not found: the best has a correlation of %.2f, sure to %.0f %%", at.Score, 100*at.Sure)
	case !r.exact():
		return fmt.Sprintf("found, correlation %.3f, but the pattern looks alike at several places: shift and shape are not judged", at.Score)
	case !at.XKnown && !at.YKnown:
		return "nominal: the pattern has nothing to find it by"
	case !at.XKnown:
		return s + "; across nominal, the pattern has nothing to find it by"
	case !at.YKnown:
		return s + "; down nominal, the pattern has nothing to find it by"
	}
	return s
}

// dataFields are facts that people read in the tables.
func (r *Report) dataFields() []table.Field {
	at, l := &r.Result.Place, &r.Levels
	or := func(known bool, v float64) any {
		if !known {
			return nil
		}
		return v
	}
	return []table.Field{
		{Name: "Corrections", Value: r.Verdict.Corrections}, {Name: "Reasons", Value: r.Verdict.Reasons},
		{Name: "Program", Value: r.Program},
		{Name: "Place sure", Unit: "%", Decimals: 1, Value: 100 * at.Sure}, {Name: "Place correlation", Decimals: 4, Value: at.Score},
		{Name: "Place sigma across", Unit: "samples", Decimals: 3, Value: at.SigmaX}, {Name: "Place sigma down", Unit: "rows", Decimals: 3, Value: at.SigmaY},
		{Name: "Luma gain", Unit: "%", Decimals: 3, Value: or(l.LumaKnown, 100*l.Gain)}, {Name: "Black", Unit: "IRE", Decimals: 3, Value: or(l.LumaKnown, 100*l.Black)},
		{Name: "Chroma gain", Unit: "%", Decimals: 3, Value: or(l.ChromaKnown, 100*l.ChromaGain())}, {Name: "Chroma phase", Unit: "deg", Decimals: 3, Value: or(l.ChromaKnown, l.Phase())},
	}
}

// findingTable is the findings for programs.
func (r *Report) findingTable() *table.Table {
	t := &table.Table{Name: "findings", Columns: []table.Column{{Name: "Fault"}, {Name: "Confidence", Unit: "%", Decimals: 0},
		{Name: "Value", Decimals: 3}, {Name: "Sigma", Decimals: 3}, {Name: "Words"}, {Name: "Alike"}, {Name: "Play"}}}
	for _, f := range r.Result.Findings {
		t.Add(string(f.Fault), 100*f.Confidence, f.Value, f.Sigma, f.Words, names(f.Alike), orNone(f.Part))
	}
	return t
}

// findingWords is the findings for people.
func (r *Report) findingWords() *table.Table {
	t := &table.Table{Name: "findings", Title: "What was found", Columns: []table.Column{{Name: "Sure", Unit: "%", Decimals: 0}, {Name: "Finding"}}}
	for _, f := range r.Result.Findings {
		words := f.Words
		if len(f.Alike) > 0 {
			words += " It may as well be: " + strings.ReplaceAll(strings.Join(names(f.Alike), ", "), "-", " ") + "."
			if f.Part != "" {
				words += " Play " + f.Part + " to tell them apart."
			}
		}
		t.Add(100*f.Confidence, words)
	}
	return t
}

func names(list []measure.Fault) (s []string) {
	for _, f := range list {
		s = append(s, string(f))
	}
	return s
}

// orNone is a word, such as the pattern to play; nil for none.
func orNone(word string) any {
	if word == "" {
		return nil
	}
	return word
}

// itemData is the tolerances for programs.
func (r *Report) itemData() *table.Table {
	t := &table.Table{Name: "tolerances", Columns: []table.Column{{Name: "Quantity"}, {Name: "Unit"}, {Name: "Value", Decimals: 4}, {Name: "Sigma", Decimals: 4},
		{Name: "At least"}, {Name: "Tolerance", Decimals: 3}, {Name: "Out"}, {Name: "Source"}}}
	limits := Limits()
	for _, i := range r.Items {
		l := limits[i.Quantity]
		t.Add(l.Name, orNone(l.Unit), i.Value, i.Sigma, i.AtLeast, l.Max[r.Class], i.Out, l.Source)
	}
	return t
}

// responseTable is what became of detail.
func (r *Report) responseTable() *table.Table {
	t := &table.Table{Name: "response", Title: "Detail", Columns: []table.Column{{Name: "Signal"}, {Name: "Frequency", Unit: "MHz", Decimals: 2},
		{Name: "Gain", Unit: "%", Decimals: 1}, {Name: "Gain", Unit: "dB", Decimals: 1, Key: "level_db"}, {Name: "Sigma", Unit: "%", Decimals: 1}, {Name: "Delay", Unit: "ns", Decimals: 0}}}
	for _, part := range []struct {
		name string
		list []measure.Response
	}{{"luma", r.Result.Luma}, {"chroma", r.Result.Chroma}} {
		for _, p := range part.list {
			var db any
			if p.Gain > 0.001 {
				db = 20 * math.Log10(p.Gain)
			}
			t.Add(part.name, p.MHz, 100*p.Gain, db, 100*p.Sigma, p.Delay)
		}
	}
	return t
}

// unseenTable is what the pattern does not show, for programs.
func (r *Report) unseenTable() *table.Table {
	t := &table.Table{Name: "cannot_tell", Columns: []table.Column{{Name: "Fault"}, {Name: "Seen"}, {Name: "Play"}}}
	for _, u := range r.Result.Unseen {
		t.Add(string(u.Fault), u.Seen.String(), orNone(u.Play))
	}
	return t
}

// unseenPage is the same in a few lines: what one pattern would show stands
// together.
func (r *Report) unseenPage() *table.Table {
	t := &table.Table{Name: "cannot_tell", Title: "What this pattern cannot tell", Columns: []table.Column{{Name: "Play"}, {Name: "To see"}, {Name: "Seen here only if gross"}}}
	var order []string
	faults := map[string]*[2][]string{}
	for _, u := range r.Result.Unseen {
		if faults[u.Play] == nil {
			order, faults[u.Play] = append(order, u.Play), &[2][]string{}
		}
		list := &faults[u.Play][u.Seen] // none or weak
		*list = append(*list, spoken(u.Fault))
	}
	for _, p := range order {
		f := faults[p]
		t.Add(p, orNone(strings.Join(f[0], ", ")), orNone(strings.Join(f[1], ", ")))
	}
	return t
}

// spoken is the name of a fault in a sentence.
func spoken(f measure.Fault) string { return strings.ReplaceAll(string(f), "-", " ") }

// notes are what holds for all of it.
func (r *Report) notes() (notes []string) {
	notes = append(notes, r.Notes...)
	for _, d := range r.Via.Doubts {
		notes = append(notes, "Doubt: "+d+".")
	}
	if s := r.Via.left(); s != "" {
		notes = append(notes, s)
	}
	return append(notes, "IRE counts from black, 0, to white, 100. Chroma gain and hue are those on a vectorscope of B'-Y' and R'-Y'; CIEDE2000 is reckoned for a set of the system's phosphors, white D65 and a gamma of 2.4. What stands behind s is a standard deviation.")
}

func orderName(order byte) string {
	switch order {
	case 'p':
		return "progressive"
	case 't':
		return "top field first"
	case 'b':
		return "bottom field first"
	}
	return "the file does not say"
}

// flat reports a patch whose numbers are those of one level.
func flat(p *measure.Patch) bool { return p.Measured() && p.Kind == pattern.Level }

// percentAndTurn are the errors of color of a patch, nil where it has none.
func percentAndTurn(p *measure.Patch) (gain, turn any) {
	g, d, ok := measure.Chroma(p.Expect, p.Got)
	if !ok {
		return nil, nil
	}
	return 100 * (g - 1), d
}

// luma and its fellows of a signal in IRE.
func ire(s colorimetry.Signal) float64 { return 100 * s.Y }
