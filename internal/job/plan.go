package job

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

// A Status is where a step stands.
type Status string

// The states of a step.
const (
	Open     Status = "open"     // can be done now
	Waiting  Status = "waiting"  // for other steps
	Reopened Status = "reopened" // was done; something that it rests on was done again since
	Finished Status = "done"
)

// A StepState is a step with where it stands.
type StepState struct {
	Step
	Status Status
	Why    string   // of waiting or reopened, a sentence
	Waits  []string // keys of the steps that are not done
	Done   *Entry   // the last entry that did it, or nil
}

// Workshop is what a workshop's own file adds to every plan.
type Workshop struct {
	Steps  []Step  `toml:"step"`
	Limits []Limit `toml:"limit"`
}

// ParseWorkshop reads a workshop file (TOML). The error says line and reason.
func ParseWorkshop(data []byte, name string) (*Workshop, error) { return &Workshop{}, nil }

// NewPlan computes the plan for a set, with the steps and tolerances of the
// workshop (nil for none) and of the job's own entries.
func NewPlan(set *Set, w *Workshop, own []Entry) (*Plan, error) { return &Plan{}, nil }

// Plan is NewPlan for a job as it stands.
func (j *Job) Plan(w *Workshop) (*Plan, error) { return NewPlan(j.Set(), w, j.Counting()) }

// States says of each step of the plan where it stands after the entries.
func (p *Plan) States(entries []Entry) []StepState { return nil }

// Next returns the first step that can be done, or nil when all are done.
func Next(states []StepState) *StepState { return nil }

// Limit returns the tolerance of that key, or nil.
func (p *Plan) Limit(key string) *Limit { return nil }

// Cautions returns the cautions of a step, the nearest hazard first.
func (p *Plan) Cautions(s *Step) []Caution { return nil }
