// Package white computes how the drives and cutoffs of three guns must move so
// that gray steps come out at a target white, and learns from each round of
// moves and readings what the knobs of the set at hand do.
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
}

// Options say what is wanted of which tube.
type Options struct {
	Target    colorimetry.White
	Primaries colorimetry.Primaries
	Measured  *[3]colorimetry.XYZ // light of the red, green and blue field instead of Primaries
	Black     colorimetry.XYZ     // light of the unlit screen, taken off every reading
	Gamma     float64             // 0: 2.4, or fitted where there are three steps and more
	Keep      Gun                 // stays as it is
}

// A Move is what one gun needs, per cent: drive of its present drive, cutoff
// of the signal range from black to white.
type Move struct{ Drive, Cutoff float64 }

// A Prediction is a step as it is and as it will be.
type Prediction struct {
	Level               float64
	Before, After       colorimetry.XYZ
	OffBefore, OffAfter float64 // distance from the target in u', v'
}

// A Solution is moves and what they will do.
type Solution struct {
	Moves [3]Move
	Steps []Prediction
	Gamma float64
	Notes []string
}

// Solve computes the moves from two or more gray steps.
func Solve(o Options, steps []Reading) (*Solution, error) { return &Solution{}, nil }

// A Role is what a control does.
type Role int

// The roles.
const (
	Drive Role = iota
	Cutoff
)

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
	Past     []float64
	Steps    []Prediction
	Near     bool // within what readings can tell: stop
	Notes    []string
}

// Advise fits what the controls do to the readings of all rounds, oldest first,
// and says where to set them next.
func Advise(o Options, controls []Control, rounds []Round) (*Advice, error) { return &Advice{}, nil }
