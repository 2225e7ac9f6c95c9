package table

import (
	"strings"
)

// text lays the table out in at most width cells where the words allow; 0 is
// no limit. Name and unit stand above each other in the head.
func (t *Table) text(width int) string {
	var b strings.Builder
	if t.Title != "" {
		writeLines(&b, wrap(clean(t.Title), width))
	}
	g := t.grid()
	if width > 0 {
		shrink(g.widths, g.words, g.fixed, width)
	}
	g.head(&b, t.Columns)
	for _, row := range g.cells {
		g.row(&b, row)
	}
	if len(t.rows) == 0 {
		b.WriteString("(none)\n")
	}
	for _, n := range t.Notes {
		writeLines(&b, wrap(clean(n), width))
	}
	return b.String()
}

// grid is a table as strings, with what is known of each column.
type grid struct {
	cells         [][]string
	widths, words []int
	fixed         []bool // never wrapped: numbers
	align         []Align
}

func (t *Table) grid() *grid {
	n := len(t.Columns)
	g := &grid{widths: make([]int, n), words: make([]int, n), fixed: make([]bool, n), align: make([]Align, n)}
	for i, c := range t.Columns {
		head := max(cellWidth(clean(c.Name)), cellWidth(clean(c.Unit)))
		g.widths[i] = head
		g.words[i] = max(longestWord(clean(c.Name)), longestWord(clean(c.Unit)))
		g.fixed[i] = true
		numbers := false
		for _, row := range t.rows {
			switch v := row[i]; {
			case numeric(v):
				numbers = true
			case v != nil:
				g.fixed[i] = false
			}
		}
		g.align[i] = c.Align
		if c.Align == Auto {
			g.align[i] = Left
			if numbers && g.fixed[i] {
				g.align[i] = Right
			}
		}
	}
	for _, row := range t.rows {
		cells := make([]string, n)
		for i, v := range row {
			cells[i] = textOf(v, t.Columns[i].Decimals)
			for _, line := range strings.Split(cells[i], "\n") {
				g.widths[i] = max(g.widths[i], cellWidth(line))
			}
			g.words[i] = max(g.words[i], longestWord(cells[i]))
		}
		g.cells = append(g.cells, cells)
	}
	return g
}

// head writes the names, the units if there are any, and a rule.
func (g *grid) head(b *strings.Builder, columns []Column) {
	names, units, rules := make([]string, len(columns)), make([]string, len(columns)), make([]string, len(columns))
	any := false
	for i, c := range columns {
		names[i], units[i] = clean(c.Name), clean(c.Unit)
		any = any || c.Unit != ""
		rules[i] = strings.Repeat("-", g.widths[i])
	}
	g.row(b, names)
	if any {
		g.row(b, units)
	}
	g.row(b, rules)
}

// row writes one row, on as many lines as its longest cell needs.
func (g *grid) row(b *strings.Builder, cells []string) {
	wrapped := make([][]string, len(cells))
	height := 1
	for i, s := range cells {
		wrapped[i] = wrap(s, g.widths[i])
		height = max(height, len(wrapped[i]))
	}
	for y := range height {
		var line strings.Builder
		for i, w := range wrapped {
			if i > 0 {
				line.WriteString(gap)
			}
			s := ""
			if y < len(w) {
				s = w[y]
			}
			line.WriteString(pad(s, g.widths[i], g.align[i]))
		}
		b.WriteString(strings.TrimRight(line.String(), " "))
		b.WriteByte('\n')
	}
}

func writeLines(b *strings.Builder, lines []string) {
	for _, l := range lines {
		b.WriteString(strings.TrimRight(l, " "))
		b.WriteByte('\n')
	}
}
