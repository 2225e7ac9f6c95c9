// Package white computes how the drives and cutoffs of three guns must move so
// that gray steps come out at a target white, and learns from each round of
// moves and readings what the knobs of the set at hand do.
//
// [Solve] knows the law of a picture tube and nothing of knobs: its moves are
// per cent. [Advise] knows little of the law and learns the knobs: its settings
// are in their own units. Both keep one gun as it is. Brightness and contrast
// are set before, and are not moved here.
package white

import "backporch/colorimetry"

// A Gun is red, green or blue.
type Gun int

// The guns.
const (
	Red Gun = iota
	Green
	Blue
)

func (g Gun) String() string { return [...]string{"red", "green", "blue"}[g] }

// A Reading is the light of one gray step.
type Reading struct {
	Level float64 // of the signal, 0 black to 1 white
	XYZ   colorimetry.XYZ
	// Noise is the standard deviation of X, Y and Z, each for itself, as a
	// fraction of them: 0.003 is 0.3 %. 0: not known, see [Advise].
	Noise float64
}

// Options say what is wanted of which tube.
type Options struct {
	Target    colorimetry.White
	Primaries colorimetry.Primaries
	Measured  *[3]colorimetry.XYZ // light of the red, green and blue field instead of Primaries
	Black     colorimetry.XYZ     // light of the unlit screen, taken off every reading
	Gamma     float64             // 0: 2.4, or fitted where there are three steps and more
	Keep      Gun                 // stays as it is
	// Within is how far from the target in u', v' the lightest and the darkest
	// step may be for [Advise] to call them near. 0: 0.0010, the window of a
	// grade 1 monitor's white (EBU Tech 3320 v3 clause 5.7), and 0.0024, the same
	// wider by what meters lose in the dark (own choice).
	Within, WithinDark float64
}

// A Move is what one gun needs, per cent. Drive is of its present drive; Cutoff
// of the signal range from black to white at its present drive, where the cutoff
// acts behind the drive stage; Ahead is the same where it acts ahead of it.
type Move struct{ Drive, Cutoff, Ahead float64 }

// A Prediction is a step as it is and as it will be. Distances are of the light
// without that of the unlit screen.
type Prediction struct {
	Level               float64
	Before, After       colorimetry.XYZ
	OffBefore, OffAfter float64 // distance from the target in u', v'
	Doubt               float64 // standard deviation of OffAfter as far as known; 0 of Solve
}

// A Solution is moves and what they will do.
type Solution struct {
	Moves  [3]Move
	Steps  []Prediction // by level
	Gamma  float64
	Fitted bool    // gamma comes from the readings
	Misfit float64 // of the light of the guns against the law of the tube, relative, RMS; 0 of two steps
	Notes  []string
}

// A Role is what a control does.
type Role int

// The roles.
const (
	Drive Role = iota
	Cutoff
)

func (r Role) String() string { return [...]string{"drive", "cutoff"}[r] }

// A Control is one knob of the set, in its own units.
type Control struct {
	Name        string
	Gun         Gun
	Role        Role
	Least, Most float64 // ends of its travel; both 0: not known
	Step        float64 // the smallest move that can be set; 0: none
}

// A Round is readings taken with the controls standing at Settings.
type Round struct {
	Settings []float64 // one a control
	Steps    []Reading
}

// Advice is the next setting.
type Advice struct {
	Settings []float64
	// Past is where each control is turned to first, before it is turned up to
	// its setting, so that all are approached from below and play does not
	// matter. Where nothing has to be passed it is the setting itself.
	Past    []float64
	Steps   []Prediction // by level
	Effects []Effect     // what each control has been found to do
	Near    bool         // within what readings can tell: stop
	Notes   []string
}
