package report

import (
	"backporch/internal/blueonly"
	"backporch/internal/geometry"
	"backporch/internal/job"
	"backporch/internal/meter"
	"backporch/internal/table"
)

// A Judged is one finding: a value, and the tolerance that it is held to.
type Judged struct {
	Key      string // unique among the findings of a result: "white-point", "light-center"
	Limit    string // key of the tolerance; "" for none
	Name     string
	Unit     string
	Decimals int // that are worth printing
	Value    float64
	Text     string  // instead of Value, where a finding is words
	Sigma    float64 // one standard deviation; 0: not known
	Min, Max *float64
	Out      bool   // beyond Min or Max
	Source   string // of the tolerance
}

// A Result is what one measurement says.
type Result struct {
	Entry  *job.Entry // that holds the readings; nil when they are not recorded yet
	M      *job.Measurement
	Judged []Judged
	Words  []string       // what the readings point to, sentences
	Tables []*table.Table // figures of steps, zones and terms

	Gray        *meter.Steps     // of gray
	Fit         *geometry.Fit    // of geometry
	Chroma      *blueonly.Result // of chroma
	Guns        *Guns            // of guns
	Convergence []Misconvergence // of convergence
	Zones       []Zone           // of uniformity
}

// Guns is the light of the three guns' fields.
type Guns struct{ Light [3]float64 }

// Misconvergence is how far a gun lies from the green one at a zone, mm.
type Misconvergence struct {
	Zone, Gun         string
	Right, Down, Away float64
}

// A Zone is the light of one place of the screen.
type Zone struct {
	Name    string
	Percent float64 // of the middle
	Off     float64 // du*v* from the middle
}

// Evaluate says what the readings of one measurement mean and holds them to the
// tolerances. The error names what is missing or cannot be.
func Evaluate(m *job.Measurement, g *Given) (*Result, error) { return &Result{M: m}, nil }

// Out reports whether a value is out of tolerance.
func (r *Result) Out() bool {
	for _, j := range r.Judged {
		if j.Out {
			return true
		}
	}
	return false
}

// Record is the result for printing at once.
func (r *Result) Record() *table.Record { return &table.Record{Name: "reading"} }

// Collect evaluates the last measurements of every kind at a stage ("" for the
// last at any), chroma of each input, in order of work. A measurement that
// cannot be evaluated is in bad, and the others are evaluated all the same.
func Collect(j *job.Job, g *Given, stage job.Stage) (all []*Result, bad []error) { return nil, nil }
