package check

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"encoding/csv"
	"fmt"
	"html/template"
	"image/png"
	"io"
	"strings"

	"backporch/internal/table"
)

//go:embed page.html
var pageText string

// pageData is what the page shows.
type pageData struct {
	Title, Verdict, Sentence string
	Facts                    [][2]string
	Picture                  template.URL
	Alt                      string
	Findings                 []pageFinding
	Tables                   []pageTable
	Notes                    []string
	Caution                  string
	Program                  string
}

type pageFinding struct {
	Sure  string
	Words string
}

type pageTable struct {
	Title string
	Heads []string
	Rows  [][]string
}

// Page writes the report as one file that needs no other.
func (r *Report) Page(w io.Writer, caution string) error {
	var b bytes.Buffer
	if err := png.Encode(&b, r.Annotated()); err != nil {
		return err
	}
	d := &pageData{
		Title: "Check of " + r.File, Verdict: titles()[r.Verdict.Outcome], Sentence: r.Verdict.Sentence,
		Picture: template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(b.Bytes())),
		Alt:     fmt.Sprintf("The capture of %s with the measured patches outlined and numbered", r.Spec),
		Notes:   append(r.notes(), "Where each tolerance comes from: backporch list classes."), Caution: caution, Program: r.Program,
	}
	rec := r.Record()
	for _, f := range rec.Fields {
		if f.Name == "Verdict" || f.Name == "In words" || f.Name == "Faults found" {
			continue
		}
		d.Facts = append(d.Facts, [2]string{f.Name, fieldText(f)})
	}
	for _, t := range rec.Tables {
		if t.Name == "findings" { // in words
			rows, err := cells(t)
			if err != nil {
				return err
			}
			for _, row := range rows[1:] {
				d.Findings = append(d.Findings, pageFinding{row[0], row[1]})
			}
			continue
		}
		p, err := pageOf(t)
		if err != nil {
			return err
		}
		d.Tables = append(d.Tables, p)
	}
	t, err := template.New("page").Parse(pageText)
	if err != nil {
		return err
	}
	return t.Execute(w, d)
}

func titles() map[Outcome]string {
	return map[Outcome]string{Fit: "Fit", FitWithCorrection: "Fit with a correction", NotFit: "Not fit", CannotTell: "Cannot tell"}
}

// fieldText is a fact as text, in the digits that the table package gives it.
func fieldText(f table.Field) string {
	var b strings.Builder
	one := &table.Record{Name: "field", Fields: []table.Field{f}}
	if err := one.Write(&b, table.Text, 0); err != nil {
		return ""
	}
	return strings.TrimSpace(strings.TrimPrefix(b.String(), f.Name))
}

// pageOf is a table as the page has it; the digits are those of its CSV.
func pageOf(t *table.Table) (pageTable, error) {
	rows, err := cells(t)
	if err != nil {
		return pageTable{}, err
	}
	return pageTable{Title: t.Title, Heads: rows[0], Rows: rows[1:]}, nil
}

func cells(t *table.Table) ([][]string, error) {
	var b bytes.Buffer
	if err := t.Write(&b, table.CSV, 0); err != nil {
		return nil, err
	}
	return csv.NewReader(&b).ReadAll()
}
