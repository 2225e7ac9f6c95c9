package report

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"fmt"
	"html/template"
	"io"
	"strconv"
	"strings"
	"time"

	"backporch/internal/table"
)

//go:embed page.css
var pageStyle string

//go:embed parts.html
var pageParts string

// frame is what every page has around it.
type frame struct {
	Title    string
	Style    template.CSS // with the title on top of every printed page
	Invented string
	Notes    []string
	Program  string
	Printed  string
}

func newFrame(title, program string, now time.Time) frame {
	f := frame{Title: title, Style: template.CSS(strings.Replace(pageStyle, "TITLE", cssText(title), 1)), Program: or(program, "backporch")}
	if !now.IsZero() {
		f.Printed = minute(now)
	}
	return f
}

// cssText is text inside a string of a style sheet: whatever is no letter or
// digit is escaped, so that it can end neither the string nor the style.
func cssText(s string) string {
	var b strings.Builder
	for _, r := range s {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == ' ' {
			b.WriteRune(r)
			continue
		}
		fmt.Fprintf(&b, "\\%06x", r)
	}
	return b.String()
}

// execute writes a page whose template stands in text.
func execute(w io.Writer, text string, data any) error {
	t, err := template.New("page").Parse(pageParts)
	if err != nil {
		return err
	}
	if _, err := t.Parse(text); err != nil {
		return err
	}
	var b bytes.Buffer // a page that fails halfway is not written
	if err := t.Execute(&b, data); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}

// A grid is a table of a page.
type grid struct {
	Title string
	Heads []cell
	Rows  []gridRow
	Notes []string
}

// Short reports a table that is not broken over pages.
func (g grid) Short() bool { return len(g.Rows) <= 14 }

// A gridRow is cells, or a heading over the rows that follow.
type gridRow struct {
	Part  string
	Out   bool
	Cells []cell
}

type cell struct {
	Text   string
	Number bool // stands on the right
	Whole  bool // a head that is never broken
	Keep   bool // words that are never broken
}

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
func (g *grid) add(out bool, texts ...string) {
	if len(texts) != len(g.Heads) {
		panic("report: a row of another number of cells than heads")
	}
	row := gridRow{Out: out}
	for i, t := range texts {
		row.Cells = append(row.Cells, cell{Text: t, Number: g.Heads[i].Number, Keep: g.Heads[i].Keep || i == 0 && len(t) <= 14})
	}
	g.Rows = append(g.Rows, row)
}

// gridOf is a table as the page has it; the digits are those of its CSV.
func gridOf(t *table.Table) (grid, error) {
	var b bytes.Buffer
	if err := t.Write(&b, table.CSV, 0); err != nil {
		return grid{}, err
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		return grid{}, err
	}
	g := newGrid(t.Title)
	g.Notes = t.Notes
	for i, h := range rows[0] {
		g.Heads = append(g.Heads, cell{Text: h, Number: numbersIn(rows[1:], i)})
	}
	for _, r := range rows[1:] {
		g.add(false, r...)
	}
	return g, nil
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
