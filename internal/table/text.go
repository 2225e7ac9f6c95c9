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
		shrink(g.columns, width)
	}
	g.head(&b, t.Columns)
	for _, row := range g.cells {
		g.row(&b, row)
	}
	if len(t.rows) == 0 {
		b.WriteString("(none)\n")
	}
	if len(t.Notes) > 0 {
		b.WriteByte('\n')
	}
	for _, n := range t.Notes {
		writeLines(&b, wrap(clean(n), width))
	}
	return b.String()
}

// grid is a table as strings, with what is known of each column.
type grid struct {
	cells   [][]string
	columns []extent
	align   []Align
}

func (t *Table) grid() *grid {
	n := len(t.Columns)
	g := &grid{columns: make([]extent, n), align: make([]Align, n)}
	for _, row := range t.rows {
		cells := make([]string, n)
		for i, v := range row {
			cells[i] = textOf(v, t.Columns[i].Decimals)
		}
		g.cells = append(g.cells, cells)
	}
	for i, c := range t.Columns {
		e := &g.columns[i]
		e.width = max(cellWidth(clean(c.Name)), cellWidth(clean(c.Unit)))
		e.word = max(longestWord(clean(c.Name)), longestWord(clean(c.Unit)))
		e.fixed = true
		numbers, text := false, false
		for y, row := range t.rows {
			s := g.cells[y][i]
			for _, line := range strings.Split(s, "\n") {
				e.width = max(e.width, cellWidth(line))
			}
			switch v := row[i]; {
			case v == nil:
			case numeric(v):
				numbers = true
			default:
				text = true
				if !isCode(s) {
					e.fixed = false
					e.word = max(e.word, longestWord(s))
					continue
				}
			}
			e.code = max(e.code, cellWidth(s))
		}
		e.word = max(e.word, e.code)
		g.align[i] = c.Align
		if c.Align == Auto {
			g.align[i] = Left
			if numbers && !text {
				g.align[i] = Right
			}
		}
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
		rules[i] = strings.Repeat("-", g.columns[i].width)
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
		wrapped[i] = wrap(s, g.columns[i].width)
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
			line.WriteString(pad(s, g.columns[i].width, g.align[i]))
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
