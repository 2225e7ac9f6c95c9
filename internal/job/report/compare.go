package report

import (
	"io"
	"time"

	"backporch/internal/job"
	"backporch/internal/table"
)

// A Side is one of two states that are compared.
type Side struct {
	Name  string // as it was asked for: "bench-a", "bench-a:before"
	Job   *job.Job
	Given *Given
	Stage job.Stage // "": after the work, or where there is none the last reading of any stage
}

// Blind is a quantity that the source at hand cannot show finely enough. Less
// is the smallest difference that it shows, in the quantity's unit; 0: none.
type Blind struct {
	Quantity string // key of a finding, or of its tolerance: "chroma-phase"
	Less     float64
	Why, Way string // sentences: the reason, and what would show it
}

// CompareOptions are what a comparison rests on.
type CompareOptions struct {
	Blind    []Blind
	Cautions []job.Caution
	Program  string
	Now      time.Time
}

// A Comparison is what differs between two sides.
type Comparison struct {
	A, B    *Side
	Options CompareOptions
}

// Compare holds two sides against each other. The error says that they have
// nothing in common.
func Compare(a, b *Side, o CompareOptions) (*Comparison, error) {
	return &Comparison{A: a, B: b, Options: o}, nil
}

// Differ reports whether anything differs beyond what readings can tell.
func (c *Comparison) Differ() bool { return false }

// Record is the comparison for text, CSV and JSON.
func (c *Comparison) Record() *table.Record { return &table.Record{Name: "compare-jobs"} }

// Page writes it as one HTML file that needs no other.
func (c *Comparison) Page(w io.Writer) error { return nil }
