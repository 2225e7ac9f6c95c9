package report_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"backporch/internal/job"
	"backporch/internal/job/report"
	"backporch/internal/table"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// page reads a page strictly, tag by tag, and holds it to what every page has
// to be: whole, in one file, with drawings whose every number is finite and
// whose words are told to those who do not see them.
func page(t testing.TB, b []byte) (text string, drawings int) {
	t.Helper()
	places := regexp.MustCompile(`^(x|y|r|d|[cr][xy]|[xy][12]|width|height|viewBox|transform)$`)
	d := xml.NewDecoder(bytes.NewReader(b))
	d.Strict, d.Entity = true, xml.HTMLEntity
	var all strings.Builder
	var open []string
	words := map[string]bool{}
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		switch tok := tok.(type) {
		case xml.StartElement:
			open = append(open, tok.Name.Local)
			if tok.Name.Local == "svg" {
				drawings++
				words = map[string]bool{}
			}
			words[tok.Name.Local] = true
			for _, a := range tok.Attr {
				assert.NotContains(t, []string{"src", "href", "onload", "onclick"}, a.Name.Local, "a page needs no other file and no script")
				if len(open) > 1 && words["svg"] && places.MatchString(a.Name.Local) {
					finiteNumbers(t, a.Value)
				}
			}
		case xml.EndElement:
			require.Equal(t, open[len(open)-1], tok.Name.Local)
			open = open[:len(open)-1]
			if tok.Name.Local == "svg" {
				assert.True(t, words["title"] && words["desc"], "a drawing says in words what it shows")
				delete(words, "svg")
			}
		case xml.CharData:
			if len(open) > 0 && open[len(open)-1] != "style" {
				all.Write(tok)
				all.WriteByte(' ')
			}
		}
	}
	require.Empty(t, open)
	text = strings.Join(strings.Fields(all.String()), " ")
	for _, bad := range []string{"ZgotmplZ", "NaN", "Inf", "%!", "<nil>", "0x"} {
		assert.NotContains(t, text, bad)
	}
	assert.NotContains(t, string(b), "http://www.w3.org/2000/svg\"></", "an empty drawing")
	assert.NotContains(t, string(b), "url(")
	assert.NotContains(t, string(b), "<script")
	return text, drawings
}

func finiteNumbers(t testing.TB, s string) {
	t.Helper()
	for _, n := range strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune("MLZ(), ", r) }) {
		if n == "translate" || n == "rotate" {
			continue
		}
		f, err := strconv.ParseFloat(n, 64)
		require.NoError(t, err, "%q in %q", n, s)
		assert.Less(t, f, 5000.0)
		assert.Greater(t, f, -5000.0)
	}
}

func sheet(t testing.TB, j *job.Job, states []job.StepState) *report.Sheet {
	t.Helper()
	return &report.Sheet{Job: j, Given: given(t, j), States: states, Cautions: job.AllCautions(), Program: "backporch", Now: start().AddDate(0, 0, 2),
		Signal: report.Signal{Device: "a player of discs", Setup: "the player adds 7.5 IRE"}}
}

func write(t testing.TB, w interface{ Write(io.Writer) error }) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, w.Write(&b))
	return b.Bytes()
}

func TestSheet(t *testing.T) {
	j := measured(t)
	s := sheet(t, j, playAll(t, j, 12))
	text, drawings := page(t, write(t, s))
	assert.Equal(t, 7, drawings)
	for _, want := range []string{
		"Alignment of Bench A", "Out of tolerance: 1 of", "Picture size, change with beam current: 1.95 % (tolerance up to 1.5 %).",
		"INVENTED: all readings here were made up for an example. No set was measured.", "Gray steps [INVENTED readings]",
		"aperture-grille, in-line guns", "Left of the projection booth",
		"control 3", "cannot be done on this set", "out of tolerance", "17:03 Purity (again) out of tolerance control 3. Opened again: Degauss was done at 17:02: ", "2026-03-02, by Kim", // the work
		"Not done; it waits for Setup switch.", "The brightness knob crackles; cleaned.",
		"Chroma of component (step", "no figure is kept of it", // not measured
		"Arrows are drawn 10 times as long as the errors", "Dotted: 4 du*v* from the target for white.", "EBU Tech 3320 v3 clause 5.7 White point, distance from the target",
		"Chroma gain, error 1.8 within 0.1 within % within 2", "Black 0.021 within 0.020 within cd/m2 up to 0.4", // a bound of both signs, and of one
		"v' 100 50 30 20 100 before after Color", // dark steps have no color
		"a player of discs", "the player adds 7.5 IRE", "Fit for class studio", "capture.y4m",
		"Next check due 2027-03-02, a year after the last reading (common practice).", "Leave the back on", "High voltage at the tube",
	} {
		assert.Contains(t, text, want)
	}
	assert.Contains(t, text, "11:00 Purity in order rings at the neck, yoke 2 mm forward", "every time that a step was done is told")
	assert.NotContains(t, text, "The source (step", "the source was checked: it is not missing")
	s.Due = start().AddDate(0, 6, 0)
	text, _ = page(t, write(t, s))
	assert.Contains(t, text, "Next check due 2026-09-02.")
	for _, f := range []table.Format{table.Text, table.CSV, table.JSON} {
		var b bytes.Buffer
		require.NoError(t, s.Record().Write(&b, f, 100))
	}
}

func TestEmptyJob(t *testing.T) {
	j := &job.Job{Name: "bench-b", Entries: []job.Entry{{ID: 1, Time: start(), Kind: job.KindSet, Set: benchA()}}}
	s := sheet(t, j, nil)
	text, drawings := page(t, write(t, s))
	assert.Zero(t, drawings)
	for _, want := range []string{"Not measured after the work", "Nothing was read, neither before nor after the work.", "No step is recorded as done.",
		"Gray steps (steps", "not read.", "no: what came out of the player was not captured and checked", "the set should be read before anybody relies on it"} {
		assert.Contains(t, text, want)
	}
	assert.NotContains(t, text, "INVENTED")
	var b bytes.Buffer
	require.NoError(t, s.Record().Write(&b, table.Text, 100))
	assert.Contains(t, b.String(), "Not measured after the work")
}

// Readings on the way are no readings after the work: the sheet says so.
func TestOnTheWay(t *testing.T) {
	j := measured(t)
	for i := range j.Entries {
		if m := j.Entries[i].Measure; m != nil && m.What == job.WhatGray && m.Stage == job.After {
			m.Stage = ""
		}
	}
	text, _ := page(t, write(t, sheet(t, j, nil)))
	assert.Regexp(t, `Gray steps \(steps [^)]*(\([^)]*\)[^)]*)*\): read before the work and not after it\.`, text)
	for i := range j.Entries {
		if m := j.Entries[i].Measure; m != nil && m.What == job.WhatGray {
			m.Stage = ""
		}
	}
	text, _ = page(t, write(t, sheet(t, j, nil)))
	assert.Contains(t, text, "read on the way (entry 16), not after the work.")
}

// A source that was not fit is told on top, though the set may be.
func TestUnfitSource(t *testing.T) {
	j := measured(t)
	for _, e := range j.Entries {
		if e.Measure != nil && e.Measure.Source != nil {
			e.Measure.Source.Verdict = "not-fit"
		}
	}
	text, _ := page(t, write(t, sheet(t, j, nil)))
	assert.Contains(t, text, "The source of the patterns was not found fit (not fit)")
}

func TestUserTextIsEscaped(t *testing.T) {
	const evil = `<b>&"'</style><script>x</script>\ {{.}}`
	j := measured(t)
	set := benchA()
	set.Label, set.Remarks, set.Inputs[0].Name = evil, evil, evil
	j.Entries[0].Set = set
	for i := range j.Entries {
		e := &j.Entries[i]
		e.By = evil
		if e.Text != "" {
			e.Text = evil
		}
		if e.Done != nil {
			e.Done.Adjusted = evil
		}
		if m := e.Measure; m != nil {
			m.Pattern = evil
			if m.Instrument != "" {
				m.Instrument = evil
			}
			if m.What == job.WhatChroma {
				m.Input = evil
			}
			if m.Source != nil {
				m.Source.Sentence, m.Source.File = evil, evil
			}
		}
	}
	s := sheet(t, j, given(t, j).Plan.States(j.Counting()))
	s.Program, s.Signal.Device, s.Signal.Notes = evil, evil, []string{evil}
	b := write(t, s)
	text, _ := page(t, b)
	assert.Contains(t, text, `Alignment of <b>&"'</style><script>x</script>\ {{.}}`)
	assert.NotContains(t, string(b), "<b>")
	assert.Equal(t, 1, strings.Count(string(b), "</style>"))

	w := &report.Worksheet{Name: evil, Given: given(t, j), Program: evil}
	b = write(t, w)
	page(t, b)
	assert.NotContains(t, string(b), "<script")

	side := &report.Side{Name: evil, Job: j, Given: given(t, j), Stage: job.Before}
	c, err := report.Compare(side, &report.Side{Name: evil, Job: j, Given: given(t, j)}, report.CompareOptions{Blind: []report.Blind{{Quantity: "gamma", Why: evil, Way: evil}}})
	require.NoError(t, err)
	var p bytes.Buffer
	require.NoError(t, c.Page(&p))
	page(t, p.Bytes())
	assert.NotContains(t, p.String(), "<script")
}

// Words are at least 9 pt: in the style, and in drawings on the narrowest page,
// A4 with margins of 15 mm, where a drawing of 720 units takes 180 mm, one of two
// screens 124 mm and one of 340 units 87 mm.
func TestSizeOfWords(t *testing.T) {
	j := measured(t)
	b := write(t, sheet(t, j, nil))
	for _, m := range regexp.MustCompile(`font(?:-size)?: ?([\d.]+)pt`).FindAllStringSubmatch(string(b), -1) {
		f, err := strconv.ParseFloat(m[1], 64)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, f, 9.0, m[0])
	}
	found := regexp.MustCompile(`viewBox="0 0 ([\d.]+) [\d.]+"[^>]* font-size="([\d.]+)"`).FindAllStringSubmatch(string(b), -1)
	require.Len(t, found, 7)
	for _, m := range found {
		w, err := strconv.ParseFloat(m[1], 64)
		require.NoError(t, err)
		size, err := strconv.ParseFloat(m[2], 64)
		require.NoError(t, err)
		mm := 180.0
		switch {
		case w < 400:
			mm = 87
		case w < 500:
			mm = 124
		}
		assert.GreaterOrEqual(t, size/w*mm/25.4*72, 9.0, "drawing %v wide", w)
	}
}

func TestWorksheet(t *testing.T) {
	j := measured(t)
	w := &report.Worksheet{Name: "bench-a", Given: given(t, j), Cautions: job.AllCautions(), Program: "backporch", Now: start()}
	text, drawings := page(t, write(t, w))
	assert.Equal(t, 2, drawings)
	for _, want := range []string{"Worksheet Bench A", "Where the hands go", "High voltage at the tube", "1. Proof of the source", "Purity", "Adjusted:", "once more",
		"x before", "100 %", "Tolerance:", "Red before", "cyan beside magenta", "before after", "video-1 before", "Where the tolerances are from", "EBU Tech 3320 v3 clause 5.7", "Regulation"} {
		assert.Contains(t, text, want)
	}
	assert.Less(t, strings.Index(text, "High voltage at the tube"), strings.Index(text, "Proof of the source"), "cautions on top")
	assert.NotContains(t, text, "INVENTED")
	// Without a set it is the forms alone, with all cautions.
	text, _ = page(t, write(t, &report.Worksheet{Given: &report.Given{}, Cautions: job.AllCautions(), Now: time.Time{}}))
	assert.Contains(t, text, "There is no plan")
	assert.Contains(t, text, "Chassis connected to the mains")
}
