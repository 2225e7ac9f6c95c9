package job

import "time"

// Schema is the version of the file. Within a version keys are only added, and
// a program keeps keys that it does not know.
const Schema = "backporch/job/1"

// A Kind says what an entry holds.
type Kind string

// The kinds of entries.
const (
	KindSet     Kind = "set"     // the description of the set; the last one counts
	KindDone    Kind = "done"    // a step was done
	KindNote    Kind = "note"    // words
	KindMeasure Kind = "measure" // readings
	KindStep    Kind = "step"    // a step of the user's own, for this job
	KindLimit   Kind = "limit"   // a tolerance of the user's own, for this job
)

// An Entry is one line of the record. Of the pointers that its kind names one
// is set.
type Entry struct {
	ID       int          `json:"id"`   // from 1, in order
	Time     time.Time    `json:"time"` // UTC, whole seconds
	Kind     Kind         `json:"kind"`
	Program  string       `json:"program,omitempty"`  // that made it, with its version
	By       string       `json:"by,omitempty"`       // who worked
	Corrects int          `json:"corrects,omitempty"` // the entry that this one replaces; that one no longer counts
	Text     string       `json:"text,omitempty"`     // a note's words, or a remark on any other entry
	Set      *Set         `json:"set,omitempty"`
	Done     *Done        `json:"done,omitempty"`
	Measure  *Measurement `json:"measure,omitempty"`
	Step     *Step        `json:"step,omitempty"`
	Limit    *Limit       `json:"limit,omitempty"`
}

// A Set is what stands on the bench.
type Set struct {
	Label      string  `json:"label"`                  // "Bench A"
	Tube       Tube    `json:"tube"`                   // kind of mask
	Guns       Guns    `json:"guns"`                   // in-line or delta
	DiagonalMM float64 `json:"diagonal_mm,omitempty"`  // of the visible screen; 0 unknown
	Aspect     string  `json:"aspect"`                 // "4:3" or "16:9"
	Inputs     []Input `json:"inputs"`                 // in the order given
	Raster     string  `json:"raster"`                 // as in backporch list rasters
	Scan       string  `json:"scan,omitempty"`         // 480i, 240p, 576i or 288p, where the raster is a device's own and its name does not say it
	Device     string  `json:"device,omitempty"`       // what plays the patterns, as in backporch list devices, or a profile's path
	Setup      string  `json:"setup"`                  // black that the set is switched to: "0", "7.5" or "as-player"
	Player     string  `json:"player_setup,omitempty"` // what the player adds: "0", "7.5", or "" for not known
	White      string  `json:"target_white"`           // as colorimetry.ParseWhite takes it
	Primaries  string  `json:"primaries"`              // as colorimetry.ParsePrimaries takes it
	Luminance  float64 `json:"target_luminance_cd_m2"` // of white; 0 for the class's own
	Class      Class   `json:"class"`                  // of tolerance
	Hot        bool    `json:"live_chassis,omitempty"` // the chassis is, or may be, connected to the mains
	Remarks    string  `json:"remarks,omitempty"`
}

// An Input of a set, and what it takes.
type Input struct {
	Name string `json:"name"` // unique in the set, such as "video-1"
	Wire string `json:"wire"` // composite, yc, component or rgb
}

// Done says how a step ended.
type Done struct {
	Step     string  `json:"step"`               // its key
	Adjusted string  `json:"adjusted,omitempty"` // what was moved; "" for nothing that is told
	Outcome  Outcome `json:"outcome"`
	Again    bool    `json:"again,omitempty"` // the loop that the step ends has to be gone through once more
}

// An Outcome is how a step ended.
type Outcome string

// The outcomes. A step that is out of tolerance or cannot be done is over, too:
// the sheet says so.
const (
	OutcomeOK     Outcome = "ok"       // within tolerance, or done
	OutcomeOut    Outcome = "out"      // done as well as it goes, and out of tolerance
	OutcomeCannot Outcome = "cannot"   // the set has no such control, or it does not work
	OutcomeSkip   Outcome = "not-done" // left out on purpose
)
