package job

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"backporch/internal/typo"
)

// A Step is one stage of the work. The fields that people read are whole
// sentences.
type Step struct {
	Key      string   `json:"key" toml:"key"`                     // unique in a plan: "purity", "chroma@video-1"
	Title    string   `json:"title" toml:"title"`                 // "Purity"
	Input    string   `json:"input,omitempty" toml:"input"`       // of the set, where the step is of one input
	Pattern  string   `json:"pattern,omitempty" toml:"pattern"`   // spelling with options, ready for render; "" for none
	More     []string `json:"more,omitempty" toml:"more"`         // further patterns of the step
	Do       string   `json:"do" toml:"do"`                       // what to do, in order
	Look     string   `json:"look,omitempty" toml:"look"`         // what to look for
	Adjust   string   `json:"adjust,omitempty" toml:"adjust"`     // with which kind of control
	Measure  What     `json:"measure,omitempty" toml:"measure"`   // which readings belong to it
	Limits   []string `json:"limits,omitempty" toml:"limits"`     // keys of the tolerances it is held to
	After    []Need   `json:"after,omitempty" toml:"after"`       // what must be done before, and why
	Before   []Need   `json:"before,omitempty" toml:"before"`     // of a step of the user's own: which steps must come after it, and why
	Again    []Need   `json:"again,omitempty" toml:"again"`       // what is opened once more when the loop is gone through again
	Cautions []string `json:"cautions,omitempty" toml:"cautions"` // keys of the cautions, the nearest hazard first
	Source   string   `json:"source,omitempty" toml:"source"`     // document and clause, or common practice
	Own      bool     `json:"own,omitempty" toml:"-"`             // added by the user
}

// A Need is a step that must be done before another, and the reason.
type Need struct {
	Step string `json:"step" toml:"step"`
	Why  string `json:"why" toml:"why"`
}

// A Limit is a tolerance.
type Limit struct {
	Key    string   `json:"key" toml:"key"`   // "white-point"
	Name   string   `json:"name" toml:"name"` // "White point, du*v*"
	Unit   string   `json:"unit,omitempty" toml:"unit"`
	Min    *float64 `json:"min,omitempty" toml:"min"` // nil: no lower bound
	Max    *float64 `json:"max,omitempty" toml:"max"` // nil: no upper bound
	Source string   `json:"source" toml:"source"`     // document and clause, common practice, or memory
	Own    bool     `json:"own,omitempty" toml:"-"`
}

// A Caution is what can hurt, where the hands go.
type Caution struct{ Key, Title, Text, Source string }

// A Plan is the steps for one set in an order that respects every need, with
// its tolerances.
type Plan struct {
	Steps  []Step
	Limits []Limit // of the set's class, with the user's own
}

// NewPlan computes the plan for a set, with the steps and tolerances of the
// workshop (nil for none) and of the job's own entries, of which a later one
// counts more than an earlier one of the same key, and more than the workshop's.
func NewPlan(set *Set, w *Workshop, own []Entry) (*Plan, error) {
	if err := fitsPlan(set); err != nil {
		return nil, err
	}
	if w == nil {
		w = &Workshop{}
	}
	var steps []Step
	var limits []Limit
	for _, s := range w.Steps {
		if s.Input == "" || slices.ContainsFunc(set.Inputs, func(in Input) bool { return in.Name == s.Input }) {
			steps = replaceStep(steps, s)
		}
	}
	limits = append(limits, w.Limits...)
	for _, e := range own {
		switch {
		case e.Kind == KindStep && e.Step != nil:
			s := *e.Step
			s.Source = cmp.Or(s.Source, "this job's own")
			steps = replaceStep(steps, s)
		case e.Kind == KindLimit && e.Limit != nil:
			l := *e.Limit
			l.Source = cmp.Or(l.Source, "this job's own")
			limits = append(limits, l)
		}
	}

	p := &Plan{Limits: limitsOf(set.Class)}
	for _, l := range limits {
		if err := p.own(l); err != nil {
			return nil, err
		}
	}
	p.aim(set.Luminance)
	built := catalogue(set)
	all, err := withOwn(built, steps)
	if err != nil {
		return nil, err
	}
	if err := p.checkSteps(all); err != nil {
		return nil, err
	}
	p.Steps, err = order(all)
	return p, err
}

// fitsPlan says why there is no plan for a set: what it says of itself is not
// known to this program.
func fitsPlan(set *Set) error {
	if set == nil {
		return errors.New("there is no plan without a description of the set: `backporch job set` gives it one")
	}
	known := func(what, word string, words []string) error {
		if slices.Contains(words, word) {
			return nil
		}
		return fmt.Errorf("no plan for this set: its %s is %q%s; it can be %s: `backporch job set` changes it", what, word, typo.Suggest(word, words), strings.Join(words, ", "))
	}
	if err := errors.Join(known("tube", string(set.Tube), Tubes()), known("arrangement of guns", string(set.Guns), GunsNames()),
		known("class", string(set.Class), Classes())); err != nil {
		return err
	}
	for _, in := range set.Inputs {
		if err := known("input "+in.Name, in.Wire, Wires()); err != nil {
			return err
		}
	}
	if _, ok := scanOf(cmp.Or(set.Scan, set.Raster)); !ok {
		return fmt.Errorf("no plan for this set: its raster is %q, which is neither one of 525 lines (480, 486, 240) nor of 625 (576, 288); `backporch list rasters` names them: `backporch job set` changes it", set.Raster)
	}
	return nil
}

// replaceStep puts a step of the user's own in the place of one with the same
// key, or at the end.
func replaceStep(list []Step, s Step) []Step {
	s.Own = true
	if n := slices.IndexFunc(list, func(o Step) bool { return o.Key == s.Key }); n >= 0 {
		list[n] = s
		return list
	}
	return append(list, s)
}

// own adds a tolerance of the user's own, or changes a built-in one: what it
// does not say stays as it is.
func (p *Plan) own(l Limit) error {
	l.Own = true
	l.Source = cmp.Or(l.Source, "the workshop's own")
	old := p.Limit(l.Key)
	if old != nil {
		l.Name, l.Unit = cmp.Or(l.Name, old.Name), cmp.Or(l.Unit, old.Unit)
		l.Min, l.Max = cmp.Or(l.Min, old.Min), cmp.Or(l.Max, old.Max)
	}
	switch {
	case !goodKey(l.Key):
		return fmt.Errorf("a tolerance's key %q: %s", l.Key, keyRule)
	case l.Name == "":
		return fmt.Errorf("tolerance %q is not built in%s: one of your own needs a name", l.Key, typo.Suggest(l.Key, LimitKeys()))
	case l.Min == nil && l.Max == nil:
		return fmt.Errorf("tolerance %q has neither min nor max: give it one of them", l.Key)
	case l.Min != nil && !finite(*l.Min) || l.Max != nil && !finite(*l.Max):
		return fmt.Errorf("tolerance %q: min and max must be numbers", l.Key)
	case l.Min != nil && l.Max != nil && *l.Min > *l.Max:
		return fmt.Errorf("tolerance %q: min %g is above max %g; what is not given stays as built in", l.Key, *l.Min, *l.Max)
	}
	if old != nil {
		*old = l
	} else {
		p.Limits = append(p.Limits, l)
	}
	return nil
}

// Plan is NewPlan for a job as it stands.
func (j *Job) Plan(w *Workshop) (*Plan, error) { return NewPlan(j.Set(), w, j.Counting()) }

// Step returns the step of that key, or nil.
func (p *Plan) Step(key string) *Step {
	if n := slices.IndexFunc(p.Steps, func(s Step) bool { return s.Key == key }); n >= 0 {
		return &p.Steps[n]
	}
	return nil
}

// Limit returns the tolerance of that key, or nil.
func (p *Plan) Limit(key string) *Limit {
	if n := slices.IndexFunc(p.Limits, func(l Limit) bool { return l.Key == key }); n >= 0 {
		return &p.Limits[n]
	}
	return nil
}

// Cautions returns the cautions of a step, the nearest hazard first.
func (p *Plan) Cautions(s *Step) []Caution {
	var list []Caution
	for _, key := range s.Cautions {
		for _, c := range AllCautions() {
			if c.Key == key {
				list = append(list, c)
			}
		}
	}
	return list
}
