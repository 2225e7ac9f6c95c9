package job

// What says which readings a measurement holds.
type What string

// The kinds of measurements.
const (
	WhatGray        What = "gray"        // gray steps: Light with levels
	WhatGuns        What = "guns"        // red, green, blue, white, black fields: Light with names
	WhatUniformity  What = "uniformity"  // white at nine places: Light with zones
	WhatGeometry    What = "geometry"    // ruler positions: Rulers, Edges
	WhatConvergence What = "convergence" // misconvergence at zones: Offsets
	WhatPurity      What = "purity"      // graded by eye: Grades
	WhatFocus       What = "focus"       // graded by eye: Grades
	WhatChroma      What = "chroma"      // blue-only bars of one input: Bars
	WhatRegulation  What = "regulation"  // picture size with beam current: Sizes
	WhatSource      What = "source"      // what check said of the source: Source
)

// Whats lists the kinds of measurements in order of work.
func Whats() []What {
	return []What{WhatSource, WhatPurity, WhatConvergence, WhatGeometry, WhatFocus, WhatGuns, WhatGray, WhatUniformity, WhatChroma, WhatRegulation}
}

// A Measurement is readings taken together. Raw readings alone are kept;
// what follows from them is computed again when it is asked for.
type Measurement struct {
	What       What      `json:"what"`
	Stage      Stage     `json:"stage,omitempty"`      // before or after the work; "" on the way
	Input      string    `json:"input,omitempty"`      // the set's input that was used
	Instrument string    `json:"instrument,omitempty"` // what read it
	Pattern    string    `json:"pattern,omitempty"`    // spelling of what was shown
	Invented   bool      `json:"invented,omitempty"`   // made up for an example: no set was measured
	Light      []Light   `json:"light,omitempty"`
	Controls   []Control `json:"controls,omitempty"` // where the set's controls stood
	Rulers     []Ruler   `json:"rulers,omitempty"`
	Edges      *Edges    `json:"edges,omitempty"`
	Offsets    []Offset  `json:"offsets,omitempty"`
	Grades     []Grade   `json:"grades,omitempty"`
	Bars       []Bar     `json:"bars,omitempty"`
	Sizes      []Size    `json:"sizes,omitempty"`
	Source     *Check    `json:"source,omitempty"`
}

// A Stage of the work.
type Stage string

// The stages. Of several measurements of a kind and stage the last counts.
const (
	Before Stage = "before"
	After  Stage = "after"
)

// Light is one reading of a light meter.
type Light struct {
	Level float64 `json:"level_percent"`  // of the signal: 0 black, 100 white
	Name  string  `json:"name,omitempty"` // of a gun's field or a zone; "" for a gray step
	X     float64 `json:"X_cd_m2"`
	Y     float64 `json:"Y_cd_m2"`
	Z     float64 `json:"Z_cd_m2"`
	Given string  `json:"given,omitempty"` // as it was typed, such as "xyY 0.3127 0.329 80"
}

// A Control of the set and where it stands, in its own units.
type Control struct {
	Name  string  `json:"name"` // such as "red-drive"
	Value float64 `json:"value"`
}

// A Ruler is the place of a line of the crosshatch, or of its crossing with
// another, on the glass. Across counts from the left edge of the visible screen,
// down from its upper edge, mm.
type Ruler struct {
	Column int      `json:"column"`              // number of the vertical line from the middle one, 0; left negative
	Row    int      `json:"row"`                 // number of the horizontal line from the middle one, 0; up negative
	Across *float64 `json:"across_mm,omitempty"` // nil: not read
	Down   *float64 `json:"down_mm,omitempty"`
}

// Edges are the visible screen.
type Edges struct {
	Width  float64 `json:"width_mm"`
	Height float64 `json:"height_mm"`
}

// An Offset is how far a gun's lines lie from the green ones at a zone, mm:
// right and down are positive. Zones are those of package geometry.
type Offset struct {
	Zone  string  `json:"zone"`
	Gun   string  `json:"gun"` // red or blue
	Right float64 `json:"right_mm"`
	Down  float64 `json:"down_mm"`
	Given string  `json:"given,omitempty"` // as it was judged, where that was in line widths: "1.5 0 lines"
}

// A Grade is what an eye says of a zone: 5 imperceptible, 4 perceptible, 3
// slightly annoying, 2 annoying, 1 very annoying (impairment scale of ITU-R
// BT.500).
type Grade struct {
	Zone  string `json:"zone"`
	Field string `json:"field,omitempty"` // the color that was shown, for purity
	Grade int    `json:"grade"`
	Text  string `json:"text,omitempty"`
}

// A Bar is the light of one bar with the blue gun alone.
type Bar struct {
	Name  string   `json:"name"`                  // gray, cyan, magenta, blue ...
	Light *float64 `json:"light_cd_m2,omitempty"` // by meter
	Than  string   `json:"than,omitempty"`        // by eye: the other bar of the pair
	Looks string   `json:"looks,omitempty"`       // by eye: brighter, equal or darker than it
}

// A Size is the picture's size at a mean level.
type Size struct {
	Level  float64 `json:"level_percent"`
	Width  float64 `json:"width_mm,omitempty"`
	Height float64 `json:"height_mm,omitempty"`
}

// A Check is what a check of the source said.
type Check struct {
	Verdict  string   `json:"verdict"`
	Sentence string   `json:"sentence"`
	Pattern  string   `json:"pattern,omitempty"`
	File     string   `json:"file,omitempty"`
	Findings []string `json:"findings,omitempty"`
}
