package report

import (
	"fmt"

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
	Text     string // instead of Value, where a finding is words
	// Sigma is one standard deviation of the value when it is read again with the
	// same instrument, Across the same between two instruments of a kind; 0: not
	// known. Basis says where they are from.
	Sigma, Across float64
	Basis         string
	Min, Max      *float64
	Out           bool   // beyond Min or Max
	Untold        bool   // held to a tolerance, and the readings do not tell: Text says why
	Source        string // of the tolerance
	Minor         bool   // stands among further figures, not before and after
}

// A Result is what one measurement says.
type Result struct {
	Entry  *job.Entry // that holds the readings; nil when they are not recorded yet
	M      *job.Measurement
	Judged []Judged
	Words  []string       // what the readings point to, sentences
	Tables []*table.Table // figures of steps, zones and terms

	Gray      *meter.Steps      // of gray
	Fit       *geometry.Fit     // of geometry
	Chroma    *blueonly.Result  // of chroma by meter
	Guns      *meter.FieldSet   // of guns
	Offsets   []geometry.Offset // of convergence
	PictureMM float64           // height of the picture on the glass, of geometry and convergence; 0: not known
	Zones     []Zone            // of uniformity
}

// A Zone is the light of one place of the screen.
type Zone struct {
	Name    string
	Percent float64 // of the middle
	Off     float64 // du*v* from the middle
}

// Evaluate says what the readings of one measurement mean and holds them to the
// tolerances. The error names what is missing or cannot be.
func Evaluate(m *job.Measurement, g *Given) (*Result, error) {
	r := &Result{M: m}
	var err error
	switch m.What {
	case job.WhatGray:
		err = r.gray(g)
	case job.WhatGuns:
		err = r.guns(g)
	case job.WhatUniformity:
		err = r.uniformity(g)
	case job.WhatGeometry:
		err = r.geometry(g)
	case job.WhatConvergence:
		err = r.convergence(g)
	case job.WhatPurity:
		err = r.grades(g, job.LimitPurityGrade, "Purity")
	case job.WhatFocus:
		err = r.grades(g, job.LimitFocusGrade, "Focus")
	case job.WhatChroma:
		err = r.chroma(g)
	case job.WhatRegulation:
		err = r.regulation(g)
	case job.WhatSource:
		err = r.source()
	default:
		err = fmt.Errorf("there is no kind of measurement %q; use one of %s", m.What, whats())
	}
	if err != nil {
		return nil, err
	}
	return r, nil
}

func whats() (list string) {
	for i, w := range job.Whats() {
		if i > 0 {
			list += ", "
		}
		list += string(w)
	}
	return list
}

// hold appends a finding and holds it to the tolerance that it names. A value
// that is not finite was not found and is left out.
func (r *Result) hold(g *Given, j Judged) {
	if j.Text == "" && !finite(j.Value) {
		return
	}
	if l := g.limit(j.Limit); l != nil {
		j.Min, j.Max, j.Source = plainOf(l.Min), plainOf(l.Max), l.Source
		// What is printed is judged: a value that rounds to the bound is within.
		v := rounded(j.Value, j.Decimals)
		j.Out = j.Min != nil && v < *j.Min || j.Max != nil && v > *j.Max
	}
	r.Judged = append(r.Judged, j)
}

// untold appends a finding that the readings do not tell beside its tolerance;
// without one nothing is missing.
func (r *Result) untold(g *Given, j Judged) {
	l := g.limit(j.Limit)
	if l == nil {
		return
	}
	j.Min, j.Max, j.Source, j.Untold = plainOf(l.Min), plainOf(l.Max), l.Source, true
	r.Judged = append(r.Judged, j)
}

func plainOf(v *float64) *float64 {
	if v == nil {
		return nil
	}
	p := plain(*v)
	return &p
}

// say appends sentences.
func (r *Result) say(format string, args ...any) {
	r.Words = append(r.Words, fmt.Sprintf(format, args...))
}

// Out reports whether a value is out of tolerance, or cannot be told from the
// readings: neither is within.
func (r *Result) Out() bool {
	for _, j := range r.Judged {
		if j.Out || j.Untold {
			return true
		}
	}
	return false
}

// find is the finding of that key, or nil.
func (r *Result) find(key string) *Judged {
	if r == nil {
		return nil
	}
	for i := range r.Judged {
		if r.Judged[i].Key == key {
			return &r.Judged[i]
		}
	}
	return nil
}

// Collect evaluates the last measurements of every kind at a stage ("" for the
// last at any), chroma of each input, in order of work. A measurement that
// cannot be evaluated is in bad, and the others are evaluated all the same.
func Collect(j *job.Job, g *Given, stage job.Stage) (all []*Result, bad []error) {
	for _, w := range job.Whats() {
		for _, input := range inputsOf(j, w) {
			e, ok := j.Latest(w, stage, input)
			if !ok || e.Measure == nil {
				continue
			}
			with := *g
			if with.Guns == nil {
				with.Guns = gunsOf(j, stage)
			}
			r, err := Evaluate(e.Measure, &with)
			if err != nil {
				bad = append(bad, fmt.Errorf("entry %d, %s: %w", e.ID, w, err))
				continue
			}
			r.Entry = e
			all = append(all, r)
		}
	}
	return all, bad
}

// gunsOf is the last complete reading of the fields, of that stage if there is
// one: phosphors hardly change.
func gunsOf(j *job.Job, stage job.Stage) *job.Measurement {
	for _, st := range []job.Stage{stage, ""} {
		if e, ok := j.Latest(job.WhatGuns, st, ""); ok && complete(e.Measure) {
			return e.Measure
		}
	}
	return nil
}

// complete reports whether a reading has all three fields.
func complete(m *job.Measurement) bool { return (&Given{Guns: m}).measured() != nil }

// inputsOf lists the inputs for which a kind was read, in order; of all kinds
// but chroma the last reading counts whatever the input.
func inputsOf(j *job.Job, w job.What) []string {
	if w != job.WhatChroma {
		return []string{""}
	}
	var list []string
	for _, e := range j.Counting() {
		if e.Measure == nil || e.Measure.What != w || contains(list, e.Measure.Input) {
			continue
		}
		list = append(list, e.Measure.Input)
	}
	return list
}
