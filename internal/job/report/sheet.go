package report

import (
	"io"
	"time"

	"backporch/internal/job"
	"backporch/internal/table"
)

// A Sheet is what is handed over with a set: what it is, what was done, what
// was read before and after, and what was not.
type Sheet struct {
	Job      *job.Job
	Given    *Given          // with the plan
	States   []job.StepState // of its steps
	Signal   Signal
	Cautions []job.Caution
	Due      time.Time // of the next check; zero: a year after the last measurement
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

// Write writes the sheet as one HTML file that needs no other and prints on A4
// and Letter.
func (s *Sheet) Write(w io.Writer) error { return nil }

// Record is the same facts for text, CSV and JSON.
func (s *Sheet) Record() *table.Record { return &table.Record{Name: "sheet"} }
