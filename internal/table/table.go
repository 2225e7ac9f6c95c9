package table

import (
	"encoding/csv"
	"fmt"
	"io"
)

// Align says to which side of its column a cell goes.
type Align int

// The sides. Auto is right for a column of numbers, and left for others.
const (
	Auto Align = iota
	Left
	Right
)

// Column describes one column.
type Column struct {
	Name     string // head, such as "Luma"
	Unit     string // such as "IRE"; "" for none
	Key      string // for JSON; "" makes it of name and unit: "luma_ire"
	Decimals int    // of floats; Shortest for all that are needed
	Align    Align
}

// Table is a list of columns and rows. Build it with Add; a table being built
// is not safe for concurrent use.
type Table struct {
	Name    string // of the schema, or the key of its rows within a Record
	Title   string // stands above the text; "" for none
	Columns []Column
	Notes   []string // stand below the text, and under "notes" in JSON

	rows [][]any
}

// Add appends a row. The types of cells are those of the package's list: nil,
// string, the integers, float64, bool, [Rational] and []string. It panics if the
// number of cells is not that of the columns or a type is another: both are
// mistakes of the program.
func (t *Table) Add(cells ...any) {
	if len(cells) != len(t.Columns) {
		panic(fmt.Sprintf("table: %d cells for the %d columns of %q", len(cells), len(t.Columns), t.Name))
	}
	row := make([]any, len(cells))
	for i, v := range cells {
		row[i] = mustNormal(t.Columns[i].Name, v)
	}
	t.rows = append(t.rows, row)
}

// Len returns the number of rows.
func (t *Table) Len() int { return len(t.rows) }

// Check says what is wrong with the description of the table, or nil: a name or
// key that is not lower-case words, that does not end in its unit, or that
// stands twice. Write does it too; tests of a command should.
func (t *Table) Check() error {
	if snake(t.Name) == "" || len(t.Columns) == 0 {
		return fmt.Errorf("table: %q has no name or no columns", t.Name)
	}
	seen := map[string]bool{}
	for _, c := range t.Columns {
		if err := checkKey(c.Key, c.Name, c.Unit, seen); err != nil {
			return err
		}
	}
	return nil
}

// Write implements [Document].
func (t *Table) Write(w io.Writer, f Format, width int) error {
	if err := t.Check(); err != nil {
		return err
	}
	switch f {
	case Text:
		_, err := io.WriteString(w, t.text(width))
		return err
	case CSV:
		return t.writeCSV(w)
	case JSON:
		alone := *t
		alone.Name = "rows"
		r := Record{Name: t.Name, Tables: []*Table{&alone}}
		return r.Write(w, JSON, width)
	}
	return fmt.Errorf("table: there is no form %v", f)
}

// writeCSV writes a head line of names with units, and the rows.
func (t *Table) writeCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	line := make([]string, len(t.Columns))
	for i, col := range t.Columns {
		line[i] = col.Name
		if col.Unit != "" {
			line[i] += " (" + col.Unit + ")"
		}
	}
	if err := c.Write(line); err != nil {
		return err
	}
	for _, row := range t.rows {
		for i, v := range row {
			line[i] = csvOf(v, t.Columns[i].Decimals)
		}
		if err := c.Write(line); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// appendJSON appends the rows as an array, one row a line.
func (t *Table) appendJSON(dst []byte, indent string) []byte {
	dst = append(dst, '[')
	for n, row := range t.rows {
		if n > 0 {
			dst = append(dst, ',')
		}
		dst = append(dst, '\n')
		dst = append(dst, indent...)
		dst = append(dst, "  {"...)
		for i, v := range row {
			if i > 0 {
				dst = append(dst, ',')
			}
			c := t.Columns[i]
			dst = appendString(dst, keyOf(c.Key, c.Name, c.Unit))
			dst = append(dst, ':')
			dst = appendJSON(dst, v, c.Decimals)
		}
		dst = append(dst, '}')
	}
	if len(t.rows) > 0 {
		dst = append(dst, '\n')
		dst = append(dst, indent...)
	}
	return append(dst, ']')
}
