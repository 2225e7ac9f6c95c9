// Package meter reads the readings of a light meter and says what they mean:
// gamma, white, gray tracking, the light of each gun, uniformity, phosphors.
//
// Light is CIE XYZ in cd/m2; levels of the signal count from 0 at black to 1 at
// white. The package judges nothing: tolerances are the job's.
package meter

import "backporch/colorimetry"

// A Sample is the light of one patch.
type Sample struct {
	Level float64 // of the signal, 0 black to 1 white
	Name  string  // of a field or a zone, "" for a gray step
	XYZ   colorimetry.XYZ
	Given string // as it was typed
}

// Options are what the readings are held against.
type Options struct {
	Target    colorimetry.White
	Primaries colorimetry.Primaries
	Measured  *[3]colorimetry.XYZ // light of the red, green and blue field instead of Primaries, nil for none
	// Unlit is the light of the screen with the set off, in the light of the room.
	// It is taken off before light is shared out among the guns; all else is of
	// what an eye sees, with it.
	Unlit colorimetry.XYZ
}

// Steps is what gray steps say.
type Steps struct {
	Steps      []Step // by level
	White      Step   // that at 100 %, or else the highest
	Black      float64
	BlackKnown bool
	Contrast   float64 // white over black; 0 where black is not known or gave no light
	Gamma      Gamma   // of the light as it was read
	// LessBlack is the same of the light less that of black, where black is known.
	// ITU-R BT.470-6 (table 1, note to row 5) takes the plain slope, with the
	// brightness control set for the straightest curve, and nothing off; see
	// [Steps.Tone] for the one to judge.
	LessBlack  Gamma
	BT1886     BT1886
	GunGamma   [3]Gamma // of the light of each gun
	WorstTrack float64  // greatest Track of the steps that are judged
	Judged     int      // how many of them there are
	Repeated   int      // readings beyond the first of a level: they are averaged
	Notes      []string // what the figures do not say by themselves
}

// A Step is one gray step.
type Step struct {
	Level  float64
	XYZ    colorimetry.XYZ // mean of all readings of the level
	N      int             // how many there are
	Sigma  colorimetry.XYZ // standard deviation of one reading; 0 where there is but one
	XY     colorimetry.XY  // zero where there is no light, and so are UV, Off, DE00, DUV and Track
	UV     colorimetry.UV  // u', v'
	CCT    colorimetry.Temperature
	HasCCT bool // the chromaticity has one
	// Off is du*v* from the target white at the lightness of the step itself,
	// reference the target at the luminance of the measured white; DE00 is
	// CIEDE2000 likewise.
	Off, DE00 float64
	DUV       float64    // distance from the target in u', v'
	Track     float64    // du*v* from the set's own white
	Judged    bool       // 1 cd/m2 or more (EBU Tech 3320 v3 clause 5.5)
	Guns      [3]float64 // light of R, G, B, cd/m2 of white each: equal at the target
}

// Gamma is a straight line through log light over log signal.
type Gamma struct {
	Value, Sigma float64 // Sigma is the standard error; 0 of two steps, which cannot tell
	RMS          float64 // of what the line leaves, in log light: the relative deviation
	N            int     // steps used, 10 to 90 % of the signal
	OK           bool
}

// BT1886 is the fit of ITU-R BT.1886 Annex 1 with its black: white and black as
// measured, gamma such that the steps from 10 to 90 % lie nearest.
type BT1886 struct {
	White, Black, Gamma float64
	Sigma               float64 // standard error of Gamma
	RMS                 float64 // of the relative deviation, 10 to 90 %
	N                   int
	OK                  bool
}
