package table

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
)

// Field is one fact of a Record.
type Field struct {
	Name     string // label, such as "Line rate"
	Unit     string // stands behind the value in text; "" for none
	Key      string // for JSON; "" makes it of name and unit
	Decimals int    // of a float; Shortest for all that are needed
	Value    any    // of the same types as a cell
}

// Record is a list of facts about one thing, and tables that belong to it.
type Record struct {
	Name   string // of the schema
	Title  string // stands above the text; "" for none
	Fields []Field
	Tables []*Table // each under its Name in JSON; the first is the CSV
	Notes  []string // stand below the text, and under "notes" in JSON
}

// Check is [Table.Check] for a record and its tables. A value of a type that no
// form can show is an error too.
func (r *Record) Check() error {
	if snake(r.Name) == "" {
		return fmt.Errorf("table: the record %q has no name", r.Title)
	}
	seen := map[string]bool{"schema": true}
	for _, f := range r.Fields {
		if err := checkKey(f.Key, f.Name, f.Unit, seen); err != nil {
			return err
		}
		if _, ok := normal(f.Value); !ok {
			return fmt.Errorf("table: the field %q has a value of type %T, which no form can show", f.Name, f.Value)
		}
	}
	for _, t := range r.Tables {
		if err := checkKey(snake(t.Name), t.Name, "", seen); err != nil {
			return err
		}
		if err := t.Check(); err != nil {
			return err
		}
	}
	if len(r.notes()) > 0 {
		return checkKey("notes", "notes", "", seen)
	}
	return nil
}

// notes are those of the record and of its tables.
func (r *Record) notes() []string {
	var n []string
	for _, t := range r.Tables {
		n = append(n, t.Notes...)
	}
	return append(n, r.Notes...)
}

// Write implements [Document]. A CSV holds one table: that of a record is its
// first table, the main one, without the facts, the other tables and the notes,
// which JSON has. Without tables it is the facts: the columns name and value,
// and unit if any of them has one.
func (r *Record) Write(w io.Writer, f Format, width int) error {
	if err := r.Check(); err != nil {
		return err
	}
	switch f {
	case Text:
		_, err := io.WriteString(w, r.text(width))
		return err
	case CSV:
		return r.writeCSV(w)
	case JSON:
		_, err := w.Write(r.json())
		return err
	}
	return fmt.Errorf("table: there is no form %v", f)
}

// json starts with the schema, without a space, so that a program can tell what
// it reads by a fixed prefix.
func (r *Record) json() []byte {
	out := []byte(`{"schema":`)
	out = appendString(out, "backporch/"+strings.ReplaceAll(snake(r.Name), "_", "-")+"/1")
	put := func(key string) {
		out = append(out, ",\n  "...)
		out = appendString(out, key)
		out = append(out, ':')
	}
	for _, f := range r.Fields {
		put(keyOf(f.Key, f.Name, f.Unit))
		out = appendJSON(out, mustNormal(f.Name, f.Value), f.Decimals)
	}
	for _, t := range r.Tables {
		put(snake(t.Name))
		out = t.appendJSON(out, "  ")
	}
	if n := r.notes(); len(n) > 0 {
		put("notes")
		out = appendJSON(out, n, 0)
	}
	return append(out, "\n}\n"...)
}

func (r *Record) writeCSV(w io.Writer) error {
	if len(r.Tables) > 0 {
		return r.Tables[0].writeCSV(w)
	}
	columns := 2
	for _, f := range r.Fields {
		if f.Unit != "" {
			columns = 3
		}
	}
	head := []string{"name", "value", "unit"}
	lines := [][]string{head[:columns]}
	for _, f := range r.Fields {
		line := []string{f.Name, csvOf(mustNormal(f.Name, f.Value), f.Decimals), f.Unit}
		lines = append(lines, line[:columns])
	}
	return csv.NewWriter(w).WriteAll(lines)
}

// text writes the labels as a column and the values, with their units, as
// another, and the tables below.
func (r *Record) text(width int) string {
	var b strings.Builder
	if r.Title != "" {
		writeLines(&b, wrap(clean(r.Title), width))
	}
	labels := 0
	for _, f := range r.Fields {
		labels = max(labels, cellWidth(clean(f.Name)))
	}
	room := 0
	if width > 0 {
		room = max(minWidth, width-labels-len(gap))
	}
	for _, f := range r.Fields {
		v := mustNormal(f.Name, f.Value)
		s := textOf(v, f.Decimals)
		if f.Unit != "" && v != nil {
			s += " " + clean(f.Unit)
		}
		label := clean(f.Name)
		for _, line := range wrap(s, room) {
			b.WriteString(strings.TrimRight(pad(label, labels, Left)+gap+line, " "))
			b.WriteByte('\n')
			label = ""
		}
	}
	for _, t := range r.Tables {
		if b.Len() > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(t.text(width))
	}
	if len(r.Notes) > 0 && b.Len() > 0 {
		b.WriteByte('\n')
	}
	for _, n := range r.Notes {
		writeLines(&b, wrap(clean(n), width))
	}
	return b.String()
}
