package crosscheck

import (
	"math/rand/v2"

	"backporch/colorimetry"
)

// A benchCourse is one job of the worked example: the set as it came, and what
// was done to it, step by step.
type benchCourse struct {
	name   string
	create []string // of job new, besides the name
	set    *benchSet
	acts   map[string][]benchAct        // by step; of a step that is done more than once the later ones, then the last
	eyes   map[string]map[string]string // inputs whose chroma is judged by eye: by stage
	extra  []benchExtra
}

// A benchAct is a hand on a control, and what is written down of it.
type benchAct struct {
	turn     func(*benchSet)
	adjusted string
	outcome  string // "" for ok
	note     string
	again    bool // the loop that the step ends has to be gone through once more
}

// A benchExtra is a command that belongs to no step, after the step was done for
// the first time.
type benchExtra struct {
	after string
	args  []string
}

func set(v benchChroma, inputs ...string) func(*benchSet) {
	return func(s *benchSet) {
		for _, in := range inputs {
			s.chroma[in] = v
		}
	}
}

// The steps that are alike on both sets.
func benchActs(more map[string][]benchAct) map[string][]benchAct {
	acts := map[string][]benchAct{
		"proof":     {{adjusted: "range of the player's output set to pass black as it is"}},
		"warm-up":   {{note: "30 minutes on middle gray, lights of the foyer off"}},
		"degauss":   {{adjusted: "built-in coil, once"}},
		"black":     {{turn: func(s *benchSet) { s.brightness = 0.002 }, adjusted: "brightness down until the strip below black was gone"}, {adjusted: "nothing: black stands"}},
		"white":     {{turn: func(s *benchSet) { s.contrast = 91 }, adjusted: "contrast to 90 cd/m2 in the window"}, {adjusted: "nothing: white stands"}},
		"guns":      {{}},
		"streaking": {{note: "long bars leave no trace"}},
		"interlace": {{adjusted: "nothing: fine lines lie evenly"}},
	}
	for key, list := range more {
		acts[key] = list
	}
	return acts
}

// benchA is an in-line set with four inputs that comes out well.
func benchA() *benchCourse {
	return &benchCourse{
		name: "bench-a",
		create: []string{"--label", "Bench A", "--tube", "aperture-grille", "--guns", "in-line", "--size", "20in", "--inputs", "composite,yc,component,rgb",
			"--device", "player-525", "--setup", "7.5", "--white", "D65", "--primaries", "p22", "--luminance", "90", "--class", "grade-2",
			"--remarks", "From the projection room's rack. Capacitors of the deflection and supply boards renewed before this job."},
		set: &benchSet{
			scatter:   rand.New(rand.NewPCG(525, 1)),
			phosphors: colorimetry.Primaries{R: colorimetry.XY{X: .621, Y: .344}, G: colorimetry.XY{X: .284, Y: .604}, B: colorimetry.XY{X: .151, Y: .066}},
			gamma:     2.38, contrast: 74, brightness: 0.045, glass: 0.05, knobs: [4]float64{128, 128, 128, 128}, right: [4]float64{112, 147, 119, 136}, turn: [2]float64{0.0035, 0.0005},
			corner: 0.78, cornerTint: 0.025, blueContent: 6.2,
			height: 1.09, wide: 0.975, right0: 0.022, down0: -0.006, tilt: 0.011, pin: 0.012, key: 0.007, lineRight: 0.013, lineUp: -0.009,
			red: [2]float64{0.45, -0.3}, blue: [2]float64{-0.35, 0.25}, edge: 0.55, last: 0.4,
			purity: map[string]benchGrade{"top-right red": {3, "orange, an upright stripe"}, "right red": {4, ""}, "bottom-right blue": {4, "a little violet"}},
			focus:  map[string]benchGrade{"top-left": {3, "level lines soft"}, "bottom-left": {3, ""}, "top-right": {4, ""}, "bottom-right": {4, ""}, "center": {4, ""}},
			chroma: map[string]benchChroma{"composite": {0.91, 5}, "yc": {0.95, 4}, "component": {1.05, 0}},
			grown:  1.2,
		},
		acts: benchActs(map[string][]benchAct{
			"purity": {{turn: func(s *benchSet) {
				s.purity = map[string]benchGrade{"top-right red": {4, "only if one looks for it"}}
			}, adjusted: "yoke forward 2 mm, purity rings a little, landing magnet at the upper right"}, {adjusted: "nothing: all fields clean"}},
			"convergence-center": {{turn: func(s *benchSet) { s.red, s.blue = [2]float64{0.05, 0}, [2]float64{-0.05, 0.05} }, adjusted: "four-pole rings, then six-pole rings; locked with lacquer"}, {adjusted: "nothing"}},
			"tilt":               {{turn: func(s *benchSet) { s.tilt = 0.001 }, adjusted: "rotation in the service menu, 7 to 12"}},
			"size":               {{turn: func(s *benchSet) { s.height, s.wide = 1.055, 0.995 }, adjusted: "height down, width up"}, {turn: func(s *benchSet) { s.wide = 1 }, adjusted: "width once more, two steps"}},
			"centering":          {{turn: func(s *benchSet) { s.right0, s.down0 = 0.002, -0.001 }, adjusted: "phase of the line oscillator, 21 to 17"}, {adjusted: "nothing"}},
			"linearity":          {{turn: func(s *benchSet) { s.lineRight, s.lineUp = 0.003, 0.002 }, adjusted: "linearity coil; vertical linearity"}, {adjusted: "nothing"}},
			"pincushion": {{turn: func(s *benchSet) { s.pin, s.key = 0.002, 0.001 }, adjusted: "pincushion amplitude, trapezoid", again: true, note: "the sides are straight now, and the width followed"},
				{adjusted: "nothing more to do"}},
			"convergence-edges": {{turn: func(s *benchSet) { s.edge, s.last = 0.12, 0.1 }, adjusted: "convergence values of the service menu; a shunt behind the yoke, lower left"}},
			"focus": {{turn: func(s *benchSet) {
				s.focus = map[string]benchGrade{"top-left": {4, ""}, "bottom-left": {4, ""}, "top-right": {4, ""}}
			}, adjusted: "focus for characters halfway to the corners"},
				{turn: func(s *benchSet) { s.focus = map[string]benchGrade{"top-left": {4, ""}} }, adjusted: "focus a hair, with contrast where it stays", note: "fine lines in the corners were still soft when interlace was looked at"}},
			"setup-switch": {{adjusted: "to 7.5, found at 0"}},
			"uniformity":   {{adjusted: "nothing"}},
			"chroma@composite": {{turn: set(benchChroma{1.004, 0.3}, "composite"), adjusted: "color and phase, outer pair first"},
				{adjusted: "nothing"}},
			"chroma@yc":        {{turn: set(benchChroma{0.997, 0.2}, "yc"), adjusted: "color of the Y/C input on the decoder board"}},
			"family@component": {{turn: set(benchChroma{1.006, 0}, "component"), adjusted: "switch of the family found at Betacam and put to N10; gain of Pb"}},
			"rgb@rgb":          {{adjusted: "nothing: the staircase is that of composite"}},
			"peaking":          {{adjusted: "aperture correction off", note: "no packet above the others"}, {adjusted: "still off"}},
			"regulation":       {{note: "the size follows the load by a little more than 1 %"}},
			"recheck":          {{note: "all of it stands as it was left"}},
		}),
		extra: []benchExtra{
			{"warm-up", []string{"set", "--live-chassis=false"}},
			{"warm-up", []string{"note", "The service data show an isolated supply: the chassis is not on the mains."}},
			{"focus", []string{"note", "Screen cleaned with a dry cloth; the damper wires of the grille are whole."}},
			{"interlace", []string{"done", "focus"}},
		},
	}
}

// benchB is a delta set with two inputs, one corner of which cannot be
// converged.
func benchB() *benchCourse {
	return &benchCourse{
		name: "bench-b",
		create: []string{"--label", "Bench B", "--tube", "shadow-mask", "--guns", "delta", "--size", "20in", "--inputs", "composite,rgb",
			"--device", "player-525", "--setup", "7.5", "--white", "D65", "--primaries", "p22", "--luminance", "90", "--class", "grade-2",
			"--remarks", "Stands beside Bench A and is looped through from it."},
		set: &benchSet{
			scatter:   rand.New(rand.NewPCG(525, 2)),
			phosphors: colorimetry.Primaries{R: colorimetry.XY{X: .628, Y: .338}, G: colorimetry.XY{X: .292, Y: .603}, B: colorimetry.XY{X: .150, Y: .068}},
			gamma:     2.44, contrast: 118, brightness: -0.02, glass: 0.08, knobs: [4]float64{128, 128, 128, 128}, right: [4]float64{141, 119, 134, 124}, turn: [2]float64{0.0018, 0.0013},
			corner: 0.74, cornerTint: 0.03, blueContent: 5.4,
			height: 1.03, wide: 1.03, right0: -0.018, down0: 0.012, tilt: -0.009, pin: 0.009, key: -0.005, lineRight: -0.011, lineUp: 0.016,
			red: [2]float64{-0.6, 0.35}, blue: [2]float64{0.5, 0.5}, edge: 0.7, last: 1.1,
			purity: map[string]benchGrade{"bottom-left red": {3, "a purple stain"}, "bottom-left blue": {4, ""}, "left red": {4, ""}},
			focus:  map[string]benchGrade{"top-left": {4, ""}, "top-right": {4, ""}, "bottom-left": {3, "dots are egg-shaped"}, "bottom-right": {4, ""}},
			chroma: map[string]benchChroma{"composite": {1.08, -6}},
			grown:  1.45,
		},
		acts: benchActs(map[string][]benchAct{
			"purity": {{turn: func(s *benchSet) { s.purity = map[string]benchGrade{"bottom-left red": {4, ""}} },
				adjusted: "yoke back, purity rings, yoke forward"}},
			"convergence-center": {{turn: func(s *benchSet) { s.red, s.blue = [2]float64{0, 0.05}, [2]float64{0.05, -0.05} }, adjusted: "static magnets of red and green, then blue and its lateral magnet"}},
			"tilt":               {{turn: func(s *benchSet) { s.tilt = -0.001 }, adjusted: "yoke turned in its clamp"}},
			"size":               {{turn: func(s *benchSet) { s.height, s.wide = 1.06, 1.004 }, adjusted: "height up, width down"}},
			"centering":          {{turn: func(s *benchSet) { s.right0, s.down0 = -0.003, 0.001 }, adjusted: "centering rings of the yoke"}},
			"linearity":          {{turn: func(s *benchSet) { s.lineRight, s.lineUp = -0.004, 0.002 }, adjusted: "vertical linearity, then height again"}},
			"pincushion":         {{turn: func(s *benchSet) { s.pin, s.key = 0.003, -0.001 }, adjusted: "pincushion transformer, phase and amplitude"}},
			"convergence-edges": {{turn: func(s *benchSet) { s.edge, s.last = 0.2, 0.75 }, adjusted: "the whole convergence board, twice", outcome: "out",
				note: "Blue stays beside the others in the lower left corner: its control is at its end. A coil of the board may be tired."}},
			"focus": {{turn: func(s *benchSet) {
				s.focus = map[string]benchGrade{"bottom-left": {4, "blue stays beside"}, "top-right": {4, ""}}
			}, adjusted: "focus"}},
			"setup-switch":     {{outcome: "cannot", note: "No switch. Black stands right with 7.5 IRE on the cable, so it is made for that."}},
			"uniformity":       {{}},
			"chroma@composite": {{turn: set(benchChroma{1.002, -0.2}, "composite"), adjusted: "color and hue, by eye through a blue filter"}},
			"rgb@rgb":          {{adjusted: "gain of green, a little"}},
			"peaking":          {{outcome: "not-done", note: "The set has no control for it."}},
			"regulation":       {{}},
			"recheck":          {{note: "as it was left; the corner is the only thing that stayed"}},
		}),
		eyes: map[string]map[string]string{"composite": {"before": "blue brighter gray, cyan darker magenta", "after": "blue equal gray, cyan equal magenta"}},
		extra: []benchExtra{
			{"warm-up", []string{"note", "Dust blown out; the second cable of the loop has a new plug."}},
		},
	}
}
