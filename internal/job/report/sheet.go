package report

import (
	_ "embed"
	"fmt"
	"io"
	"strings"
	"time"

	"backporch/internal/job"
	"backporch/internal/table"
)

//go:embed sheet.html
var sheetText string

// A Sheet is what is handed over with a set: what it is, what was done, what
// was read before and after, and what was not.
type Sheet struct {
	Job      *job.Job
	Given    *Given          // with the plan
	States   []job.StepState // of its steps
	Signal   Signal
	Cautions []job.Caution // for whoever opens the set
	Due      time.Time     // of the next check; zero: a year after the last measurement
	Program  string
	Now      time.Time
}

// A Signal is what played the patterns.
type Signal struct {
	Device string         // by its title
	Setup  string         // in words
	Tables []*table.Table // its honesty report
	Notes  []string
}

// sheetData is what the page shows.
type sheetData struct {
	frame
	Verdict      string
	Sentences    []string
	Facts        [][2]string
	Work         grid
	NotDone      grid
	Values       grid
	Words        []string
	Figures      []figure
	Remarks      []string
	Missing      []string
	Signal       [][2]string
	SignalTables []grid
	SignalNotes  []string
	Details      []grid
	Limits       grid
	Due          string
	Cautions     []job.Caution
}

// Write writes the sheet as one HTML file that needs no other and prints on A4
// and Letter.
func (s *Sheet) Write(w io.Writer) error {
	f, err := s.facts()
	if err != nil {
		return err
	}
	d := &sheetData{frame: newFrame("Alignment of "+f.label, s.Program, s.Now),
		Facts: setFacts(s.Job, s.Given), Words: f.words(), Missing: f.missing, Remarks: remarks(s.Job),
		Signal: f.signal(s), SignalNotes: s.Signal.Notes, Due: s.due(), Cautions: append(ownerCautions(), s.cautions()...)}
	d.Invented = f.invented
	d.Verdict, d.Sentences = f.verdict()
	d.Work, d.NotDone = workGrid(s.workLog()), notDoneGrid(s.States)
	d.Values = f.pairs.grid("Before", "After")
	d.Figures = f.pairs.figures(s.Given, "before", "after")
	if further := f.pairs.minor(); len(further.Rows) > 0 {
		d.Details = append(d.Details, further)
	}
	details, err := f.pairs.details()
	if err != nil {
		return err
	}
	d.Details = append(d.Details, details...)
	for _, t := range s.Signal.Tables {
		g, err := gridOf(t)
		if err != nil {
			return err
		}
		d.SignalTables = append(d.SignalTables, g)
	}
	d.Limits = limitGrid(s.Given, f.pairs.limits())
	d.Notes = []string{"Every value is within or out of the tolerance that stands beside it. Tolerances that are marked memory, secondary or common practice were not read in a standard.",
		"Maker's service data and local codes have the last word on everything that is done inside a set."}
	return execute(w, sheetText, d)
}

// ownerCautions stand on every sheet: they are for those who use the set.
func ownerCautions() []job.Caution {
	return []job.Caution{
		{Key: "closed", Title: "Leave the back on", Text: "Inside are some 25 kV, some of which stay for an hour and longer after the set is unplugged. Have it opened only by somebody trained for it.", Source: "a university monitor guide (secondary)"},
		{Key: "stills", Title: "No bright pictures that stand still", Text: "They burn into the phosphor. Turn the set off or down when nobody looks at it.", Source: "memory"},
		{Key: "warm", Title: "Warm it up before you judge pictures", Text: "The readings hold after 20 minutes with a picture on. After the set was moved or turned let it degauss.", Source: "EBU Tech 3320 v3 clause 5.17; degaussing common practice"},
	}
}

// cautions are those that are true of the set.
func (s *Sheet) cautions() (list []job.Caution) {
	for _, c := range s.Cautions {
		if c.Key != job.CautionHot || s.Given.Set == nil || s.Given.Set.Hot {
			list = append(list, c)
		}
	}
	return list
}

// due says when the set should be read again.
func (s *Sheet) due() string {
	if !s.Due.IsZero() {
		return "Next check due " + day(s.Due) + "."
	}
	if last := lastReading(s.Job); !last.IsZero() {
		return "Next check due " + day(last.AddDate(1, 0, 0)) + ", a year after the last reading (common practice)."
	}
	return "Nothing was read: the set should be read before anybody relies on it."
}

func lastReading(j *job.Job) (last time.Time) {
	for _, e := range j.Counting() {
		if e.Measure != nil && e.Time.After(last) {
			last = e.Time
		}
	}
	return last
}

// setFacts are what is known of the set.
func setFacts(j *job.Job, g *Given) [][2]string {
	facts := [][2]string{{"Job", j.Name}}
	set := g.Set
	if set == nil {
		return append(facts, [2]string{"Set", "not described"})
	}
	add := func(name, value string) {
		if value != "" {
			facts = append(facts, [2]string{name, value})
		}
	}
	add("Set", set.Label)
	add("Tube", strings.TrimSpace(string(set.Tube)+", "+string(set.Guns)+" guns"))
	if set.DiagonalMM > 0 {
		add("Visible screen", fmt.Sprintf("%.0f mm (%.1f in) diagonal, %s", set.DiagonalMM, set.DiagonalMM/25.4, set.Aspect))
	} else {
		add("Screen", set.Aspect)
	}
	var inputs []string
	for _, in := range set.Inputs {
		if in.Name == in.Wire {
			inputs = append(inputs, in.Name)
		} else {
			inputs = append(inputs, in.Name+" ("+in.Wire+")")
		}
	}
	add("Inputs", strings.Join(inputs, ", "))
	add("Raster", set.Raster)
	add("Black level set to", setupWords(set.Setup))
	add("Target white", set.White)
	add("Primaries", set.Primaries)
	if set.Luminance > 0 {
		add("Target luminance", trimmed(set.Luminance, 1)+" cd/m2")
	}
	add("Class of tolerance", string(set.Class))
	if set.Hot {
		add("Chassis", "may be connected to the mains")
	}
	add("Remarks", set.Remarks)
	if n := len(j.Entries); n > 0 {
		add("Record", days(j.Entries[0].Time, j.Entries[n-1].Time)+", "+plural(n, "entry"))
	}
	return facts
}

func setupWords(setup string) string {
	switch setup {
	case "0":
		return "setup 0"
	case "7.5":
		return "setup 7.5 IRE"
	case "as-player":
		return "as the player has it"
	}
	return setup
}

// remarks are the notes of the record.
func remarks(j *job.Job) (list []string) {
	for _, e := range j.Counting() {
		if e.Kind == job.KindNote && e.Text != "" {
			text := minute(e.Time) + ": " + e.Text
			if e.By != "" {
				text += " (" + e.By + ")"
			}
			list = append(list, text)
		}
	}
	return list
}
