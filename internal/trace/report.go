package trace

// A Verdict is what a reading is against its tolerance.
type Verdict string

// The verdicts.
const (
	OK       Verdict = "ok"
	Low      Verdict = "low"
	High     Verdict = "high"
	Unjudged Verdict = "" // there is no tolerance, or none that a monitor cares for
)

// verdict judges a reading; the limits are inclusive.
func verdict(got, low, high float64) Verdict {
	switch {
	case got < low:
		return Low
	case got > high:
		return High
	}
	return OK
}

// A Fact is one reading of a line that does not depend on the picture, or of the
// two levels that all others refer to.
type Fact struct {
	Name      string
	Unit      string // mV, us, cycles or deg
	Want, Got float64
	Spread    float64 // standard deviation of single lines
	Low, High float64 // tolerance; both 0 where there is none
	Count     int     // lines that were measured
	Source    string  // of want and tolerance
	Verdict   Verdict
}

// A Patch is one patch of the pattern. What the signal does not carry is 0.
type Patch struct {
	Name                     string
	Want, Got, Spread        float64 // level, mV above blanking
	WantPP, GotPP, SpreadPP  float64 // subcarrier, mV peak to peak
	WantDegrees, GotDegrees  float64 // from +(B'-Y') where V is positive; 0 where there is no subcarrier
	Count                    int     // lines that were measured
	Level, Chroma, Phase     Verdict
	HasLevel, HasPP, Colored bool // which of them the signal carries, and whether there is a phase to speak of
}

// A Fault is something about the cable, the scope or its export that changes all
// levels, or that keeps the record from being judged.
type Fault struct {
	Name    string // "not terminated", "terminated twice", "inverted", "probe", "unit", "other picture"
	Text    string // what to do
	Outside bool   // of the source: how the scope was set, and not how the levels on the cable are
}

// A Gain is what the source does to the levels of the pattern: got is Offset +
// Luma*want, and its subcarrier is Chroma times as high and Phase degrees ahead.
// Fields that the patches do not tell are not ok.
type Gain struct {
	Offset, Luma     float64 // mV, and 1 nominal
	Chroma, Phase    float64 // 1 nominal; degrees
	LumaOK, ChromaOK bool
}

// Setup says where black lies on a 525-line wire.
type Setup struct {
	Word string  // "7.5", "0", "between" or "outside"; "" if the record does not tell
	MV   float64 // of black above blanking
	From string  // "black" patch that was measured, or "levels" if it follows from the others
}

// A Report is what was measured. Levels are those of the record divided by
// Scale.
type Report struct {
	Target   *Target // the one of several that fits best
	Signal   string
	IRE      bool    // levels are usual in IRE
	Rate     float64 // samples a second
	Points   int
	At       float64 // 0H of the first line on the scope's own scale, us
	Lines    int     // that were measured
	Left     int     // lines without picture, and pulses of the vertical interval, left out
	Blanking float64 // mV on the scope's own scale, mean
	Scale    float64 // that is named by a fault; else 1
	MHz      float64 // subcarrier on the scope's scale; 0 if there is none
	Bursts   int     // that it was found from; with one it is the nominal
	Bands    []Band
	Facts    []Fact
	Patches  []Patch
	Faults   []Fault
	Setup    Setup
	Gain     Gain
	Notes    []string
}

// Fit reports whether everything is within tolerance, once what is wrong with
// the scope's own settings is taken out. A wrong termination is not.
func (r *Report) Fit() bool {
	for _, f := range r.Faults {
		if !f.Outside {
			return false
		}
	}
	return len(r.Out()) == 0
}

// Out lists what is out of tolerance: "sync low", "yellow phase high".
func (r *Report) Out() (list []string) {
	add := func(name string, v Verdict) {
		if v == Low || v == High {
			list = append(list, name+" "+string(v))
		}
	}
	for _, f := range r.Facts {
		add(f.Name, f.Verdict)
	}
	for _, p := range r.Patches {
		add(p.Name+" level", p.Level)
		add(p.Name+" chroma", p.Chroma)
		add(p.Name+" phase", p.Phase)
	}
	return list
}
