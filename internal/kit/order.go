package kit

import (
	"slices"
	"strings"

	"backporch/pattern"
)

// A step is one stage of the work on a set.
type step struct {
	key   string
	Title string
	Do    string // what to do, a sentence or two
	After string // what must be done before, and why; "" for nothing
	Again []string
}

// steps is the order of work (common practice; the warm-up of 20 minutes is
// that of EBU Tech 3320 v3 clause 5.17, no sharpening until detail is judged
// that of its Annex C). Each names what must come before it.
var steps = []step{
	{"proof", "Prove the source",
		"Show the proof picture and go on only when the player passes it sample for sample, row for row, with levels beyond black and white as far as the file has them.",
		"", nil},
	{"warm-up", "Warm up",
		"Room dim, screen clean, set in its final place. Let the set run on mid gray for 20 minutes at least, then degauss.",
		"the proof: every later picture relies on the source.", nil},
	{"purity", "Purity",
		"Red field first, then green, blue and white: no stain. Degauss again after every move of magnets, yoke or set.",
		"the warm-up: a cold shadow mask shifts.", nil},
	{"convergence", "Convergence",
		"At low brightness: the center first, then the edges. Use crosshatch and dots for a first pass of focus and of picture size too.",
		"purity, which its rings and magnets would move again; check purity once more afterward.", nil},
	{"geometry", "Geometry",
		"Centering, size, linearity, pincushion and tilt: circles round, marks of the safe area where they belong.",
		"a first pass of convergence. Where the yoke itself is moved, finish geometry and then repeat convergence.", []string{"convergence"}},
	{"focus", "Focus",
		"The best compromise between center and corners. Switch peaking off until the step of detail.",
		"geometry: the size of the picture changes focus.", []string{"convergence"}},
	{"black", "Black level",
		"Brightness in the light in which the set is used: the bar below black just vanishes, the one above it is just seen.",
		"at 525 lines the setup switch of the set (0 or 7.5 IRE), which must match the player.", nil},
	{"white", "White level",
		"Contrast on the window of 100 %, without blooming and within what the tube is rated for.",
		"black level; look at black level again afterward.", nil},
	{"balance", "White balance and tracking",
		"Cutoff at the dark steps, drive at the light ones. Repeat black level, white level and this step until nothing moves.",
		"black level before cutoff, cutoff before drive.", []string{"black", "white"}},
	{"chroma", "Chroma and phase",
		"By the blue gun alone: chroma gain with the outer pair of bars, phase with the inner pair; once more each.",
		"luma before chroma: black level, white level and white balance.", nil},
	{"detail", "Detail and peaking",
		"Peaking for packets of equal height, without ringing on pulses and bars; then delay of chroma against luma.",
		"focus, and white level: a tube that blooms has no detail.", nil},
	{"stability", "Streaking, interlace and regulation",
		"No streak beside bars, no hum, evenly spaced lines, a size that stays when the picture gets bright.",
		"all levels: regulation depends on the beam current.", nil},
	{"recheck", "Check again",
		"Purity, convergence, black level, white level, white balance, chroma and phase, in this order: each has moved the others a little. Note the readings for next year.",
		"everything else.", []string{"purity", "convergence", "black", "white", "balance", "chroma"}},
}

// stepOfGroup is the step of patterns that have no row in stepOfSpelling.
var stepOfGroup = map[string]string{
	pattern.GroupSource:   "proof",
	pattern.GroupPurity:   "purity",
	pattern.GroupGeometry: "convergence",
	pattern.GroupLevels:   "black",
	pattern.GroupColor:    "chroma",
	pattern.GroupDetail:   "detail",
	pattern.GroupTime:     "stability",
}

// stepOfSpelling is the step of those whose group does not say it: a name, and
// options that must be there. The last that fits counts.
var stepOfSpelling = [][2]string{
	{"flat color=gray-50", "warm-up"},
	{"flat color=black", "black"},
	{"bars-split-red", "chroma"},
	{"circles", "geometry"},
	{"safe-area", "geometry"},
	{"focus-field", "focus"},
	{"window", "white"},
	{"staircase", "balance"},
	{"ramp", "balance"},
	{"ramp range=near-black", "black"},
	{"staircase modulated", "chroma"},
	{"ramp modulated", "chroma"},
	{"streaking", "stability"},
	{"chroma-delay", "detail"},
}

// stepOf returns the place in steps of a spelling.
func stepOf(spec string, e pattern.Entry) int {
	key := stepOfGroup[e.Group]
	words := strings.Fields(spec)
	words[0] = e.Name
	for _, row := range stepOfSpelling {
		need := strings.Fields(row[0])
		if need[0] == words[0] && !slices.ContainsFunc(need, func(w string) bool { return !slices.Contains(words, w) }) {
			key = row[1]
		}
	}
	return stepIndex(key)
}

func stepIndex(key string) int {
	return slices.IndexFunc(steps, func(s step) bool { return s.key == key })
}
