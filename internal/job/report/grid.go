package report

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"

	"backporch/internal/table"
)

// A grid is a table of a page.
type grid struct {
	Title  string
	Groups []headGroup // over the heads; none: no such line
	Heads  []cell
	Rows   []gridRow
	Notes  []string
}

// A headGroup stands over that many heads.
type headGroup struct {
	Text string
	Span int
}

// Short reports a table that is not broken over pages: nine zones and a remark.
// Longer ones keep three rows together at each end.
func (g grid) Short() bool { return len(g.Rows) <= 10 }

// A gridRow is cells, or a heading over the rows that follow.
type gridRow struct {
	Part  string
	Cells []cell
}

type cell struct {
	Text   string
	Number bool // stands on the right
	Whole  bool // a head that is never broken
	Keep   bool // words that are never broken
	Strong bool // stands out: out of tolerance
	First  bool // of a group, set apart from the one before
}

// Class is its names in the style of the page.
func (c cell) Class() string {
	var list []string
	if c.Number {
		list = append(list, "n")
	}
	if c.Number && len(c.Text) > short { // words in a column of numbers
		list = append(list, "w")
	}
	if c.Whole && c.Number || c.Keep && !c.Number {
		list = append(list, "k")
	}
	if c.Strong {
		list = append(list, "o")
	}
	if c.First {
		list = append(list, "g")
	}
	return strings.Join(list, " ")
}

// short is how many letters a word or figure may have that is not broken.
const short = 14

// newGrid is a table under heads: # before one is for a column of numbers, | for
// one whose words are not broken.
func newGrid(title string, heads ...string) grid {
	g := grid{Title: title}
	for _, h := range heads {
		g.Heads = append(g.Heads, cell{Text: strings.TrimLeft(h, "#|"), Number: strings.HasPrefix(h, "#"), Whole: len(h) <= 12, Keep: strings.HasPrefix(h, "|")})
	}
	return g
}

// add appends a row; it panics if the number of cells is not that of the heads.
func (g *grid) add(texts ...string) {
	if len(texts) != len(g.Heads) {
		panic("report: a row of another number of cells than heads")
	}
	var row gridRow
	for i, t := range texts {
		row.Cells = append(row.Cells, cell{Text: t, Number: g.Heads[i].Number, Keep: g.Heads[i].Keep || i == 0 && len(t) <= short, First: g.Heads[i].First})
	}
	g.Rows = append(g.Rows, row)
}

// strong makes cells of the last row stand out.
func (g *grid) strong(columns ...int) {
	for _, i := range columns {
		g.Rows[len(g.Rows)-1].Cells[i].Strong = true
	}
}

// gridOf is a table as the page has it; the digits are those of its CSV.
// Columns that are empty throughout are left out.
func gridOf(t *table.Table) (grid, error) {
	var b bytes.Buffer
	if err := t.Write(&b, table.CSV, 0); err != nil {
		return grid{}, err
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		return grid{}, err
	}
	g := ofTexts(t.Title, rows[0], rows[1:], 0)
	g.Notes = t.Notes
	return g, nil
}

// ofTexts is a grid of texts without its empty columns. From the second column
// on they belong to two groups where half says how many columns one has: before
// and after.
func ofTexts(title string, heads []string, rows [][]string, half int) grid {
	g := grid{Title: title}
	var kept []int
	groups := [2]headGroup{{Text: "Before"}, {Text: "After"}}
	for i, h := range heads {
		if i > 0 && !anyText(rows, i) {
			continue
		}
		c := cell{Text: h, Number: numbersIn(rows, i), Keep: shortIn(rows, i)}
		if i > 0 && half > 0 {
			n := (i - 1) / half
			c.First = groups[n].Span == 0
			groups[n].Span++
		}
		kept = append(kept, i)
		g.Heads = append(g.Heads, c)
	}
	if half > 0 {
		g.Groups = append(g.Groups, headGroup{Span: 1})
		for _, gr := range groups {
			if gr.Span > 0 {
				g.Groups = append(g.Groups, gr)
			}
		}
	}
	for _, r := range rows {
		var texts []string
		for _, i := range kept {
			texts = append(texts, r[i])
		}
		g.add(texts...)
	}
	return g
}

func anyText(rows [][]string, i int) bool {
	for _, r := range rows {
		if r[i] != "" {
			return true
		}
	}
	return false
}

// shortIn reports whether a column has short words alone.
func shortIn(rows [][]string, i int) bool {
	for _, r := range rows {
		if len(r[i]) > short {
			return false
		}
	}
	return true
}

// numbersIn reports whether a column has figures alone, and one at least.
func numbersIn(rows [][]string, i int) bool {
	n := 0
	for _, r := range rows {
		if r[i] == "" {
			continue
		}
		if _, err := strconv.ParseFloat(r[i], 64); err != nil {
			return false
		}
		n++
	}
	return n > 0
}
