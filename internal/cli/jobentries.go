package cli

import (
	"fmt"
	"strconv"
	"strings"

	"backporch/internal/job"
	"backporch/internal/table"
)

// entryTable is the whole record, with what no longer counts.
func entryTable(f *tableFlags, j *job.Job) *table.Table {
	t := &table.Table{Name: "job entries", Columns: []table.Column{
		{Name: "Entry"}, {Name: "When", Unit: "UTC"}, {Name: "Kind"}, {Name: "Corrected by"}, {Name: "By"}, {Name: "What"},
	}}
	corrected := map[int]int{}
	for _, e := range j.Entries {
		if e.Corrects > 0 {
			corrected[e.Corrects] = e.ID
		}
	}
	for i := range j.Entries {
		e := &j.Entries[i]
		var by, later any
		if e.By != "" {
			by = e.By
		}
		if n := corrected[e.ID]; n > 0 {
			later = n
		}
		what := entryWords(e)
		if e.Corrects > 0 {
			what = fmt.Sprintf("corrects entry %d: %s", e.Corrects, what)
		}
		t.Add(e.ID, f.stamp(e.Time), string(e.Kind), later, by, what)
	}
	return t
}

// entryWords says what an entry holds.
func entryWords(e *job.Entry) string {
	var s string
	switch {
	case e.Set != nil:
		s = fmt.Sprintf("%s, %s, %s, inputs %s, %s", e.Set.Label, e.Set.Tube, e.Set.Guns, strings.Join(inputNames(e.Set.Inputs), ", "), e.Set.Raster)
	case e.Done != nil:
		s = strings.TrimSpace(e.Done.Step + ": " + outcomeWords(e.Done.Outcome) + ". " + adjustedWords(e.Done))
	case e.Measure != nil:
		s = measureWords(e.Measure)
	case e.Step != nil:
		s = fmt.Sprintf("own step %s: %s", e.Step.Key, e.Step.Title)
	case e.Limit != nil:
		s = fmt.Sprintf("tolerance %s: %s (%s)", e.Limit.Key, limitWords(e.Limit), e.Limit.Source)
	case !e.Kind.Known():
		s = "a newer program's entry, which this one does not know and keeps"
	}
	if e.Text != "" && s != "" {
		return s + " Note: " + e.Text
	}
	return s + e.Text
}

func adjustedWords(d *job.Done) string {
	s := ""
	if d.Adjusted != "" {
		s = "Adjusted: " + sentence(d.Adjusted)
	}
	if d.Again {
		s += " Once more."
	}
	return strings.TrimSpace(s)
}

// measureWords says which readings an entry has.
func measureWords(m *job.Measurement) string {
	words := []string{string(m.What)}
	if m.Stage != "" {
		words = append(words, string(m.Stage))
	}
	if m.Input != "" {
		words = append(words, "input "+m.Input)
	}
	if n := len(m.Light) + len(m.Rulers) + len(m.Offsets) + len(m.Grades) + len(m.Bars) + len(m.Sizes); n > 0 {
		words = append(words, count(n, "reading"))
	}
	if m.Source != nil {
		words = append(words, m.Source.Sentence)
	}
	if m.Instrument != "" {
		words = append(words, "by "+m.Instrument)
	}
	if m.Invented {
		words = append(words, "INVENTED")
	}
	return strings.Join(words, ", ")
}

// limitTable lists tolerances.
func limitTable(list []job.Limit) *table.Table {
	t := &table.Table{Name: "limits", Columns: []table.Column{
		{Name: "Key"}, {Name: "Tolerance"}, {Name: "Min", Decimals: table.Shortest}, {Name: "Max", Decimals: table.Shortest}, {Name: "Unit"}, {Name: "Own"}, {Name: "Source"},
	}}
	for i := range list {
		l := &list[i]
		var least, most, unit any
		if l.Min != nil {
			least = *l.Min
		}
		if l.Max != nil {
			most = *l.Max
		}
		if l.Unit != "" {
			unit = l.Unit
		}
		t.Add(l.Key, l.Name, least, most, unit, l.Own, l.Source)
	}
	return t
}

// figure is a number with its decimals, without a negative zero.
func figure(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}
