package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// common is the source of what the trade does and no document was read for.
const common = "common practice"

// The keys of the built-in steps. Those of one input have its name behind, as
// in "chroma@video-1".
const (
	stepProof       = "proof"
	stepWarmUp      = "warm-up"
	stepDegauss     = "degauss"
	stepPurity      = "purity"
	stepConvergence = "convergence-center"
	stepTilt        = "tilt"
	stepSize        = "size"
	stepCentering   = "centering"
	stepLinearity   = "linearity"
	stepPincushion  = "pincushion"
	stepEdges       = "convergence-edges"
	stepFocus       = "focus"
	stepSetup       = "setup-switch"
	stepBlack       = "black"
	stepWhite       = "white"
	stepGuns        = "guns"
	stepCutoff      = "cutoff"
	stepDrive       = "drive"
	stepBalance     = "balance"
	stepUniformity  = "uniformity"
	stepChroma      = "chroma"
	stepFamily      = "family"
	stepRGB         = "rgb"
	stepPeaking     = "peaking"
	stepRegulation  = "regulation"
	stepStreaking   = "streaking"
	stepInterlace   = "interlace"
	stepRecheck     = "recheck"
)

// builtinStems lists the keys of the built-in steps of all plans.
func builtinStems() []string {
	return []string{stepProof, stepWarmUp, stepDegauss, stepPurity, stepConvergence, stepTilt, stepSize, stepCentering, stepLinearity,
		stepPincushion, stepEdges, stepFocus, stepSetup, stepBlack, stepWhite, stepGuns, stepCutoff, stepDrive, stepBalance, stepUniformity,
		stepChroma, stepFamily, stepRGB, stepPeaking, stepRegulation, stepStreaking, stepInterlace, stepRecheck}
}

// A bench is what the texts and patterns of the steps depend on.
type bench struct {
	*Set
	scan
}

// A scan is what the name of a raster says of it.
type scan struct {
	lines      int // 525 or 625
	interlaced bool
}

// scanOf reads the name of a raster, such as 480i or 240p-263.
func scanOf(raster string) (s scan, ok bool) {
	digits := strings.TrimLeft(raster, "0123456789")
	rows, err := strconv.Atoi(strings.TrimSuffix(raster, digits))
	if err != nil || digits == "" {
		return s, false
	}
	switch rows {
	case 480, 486, 240:
		s.lines = 525
	case 576, 288:
		s.lines = 625
	default:
		return s, false
	}
	switch digits[0] {
	case 'i':
		s.interlaced = true
	case 'p':
	default:
		return s, false
	}
	return s, true
}

// catalogue returns the built-in steps for a set in the usual order of work.
// What must come before what is said by their needs alone; that every step but
// the proof of the source needs the set warm is added by warm.
func catalogue(set *Set) []Step {
	sc, _ := scanOf(cmp.Or(set.Scan, set.Raster))
	b := &bench{set, sc}
	all := slices.Concat(b.startSteps(), b.neckSteps(), b.geometrySteps(), b.sharpSteps(), b.levelSteps(), b.balanceSteps(), b.inputSteps(), b.detailSteps(), b.loadSteps())
	all = append(all, b.recheck(all))
	var keys []string
	for _, s := range all {
		keys = append(keys, s.Key)
	}
	for i := range all {
		s := &all[i]
		for _, list := range []*[]Need{&s.After, &s.Again} {
			needs, err := resolve(s.Key, *list, keys)
			if err != nil {
				panic(err) // a built-in step names one that there is not
			}
			*list = needs
		}
	}
	warm(all)
	return all
}

// warm lets every step but the proof of the source wait for a warm set: those
// that do not wait for a step which does already.
func warm(all []Step) {
	index := make(map[string]int, len(all))
	for i, s := range all {
		index[s.Key] = i
	}
	var needs func(i int) bool
	needs = func(i int) bool {
		return slices.ContainsFunc(all[i].After, func(n Need) bool { return n.Step == stepWarmUp || needs(index[n.Step]) })
	}
	for i := range all {
		if s := &all[i]; s.Key != stepProof && s.Key != stepWarmUp && !needs(i) {
			s.After = append([]Need{{stepWarmUp, "a set that is still warming up drifts in every adjustment"}}, s.After...)
		}
	}
}

// has reports whether the set has an input of one of these kinds.
func (b *bench) has(wires ...string) bool {
	return slices.ContainsFunc(b.Inputs, func(in Input) bool { return slices.Contains(wires, in.Wire) })
}

// height is that of the visible screen in mm, 0 where the size is not known.
func (b *bench) height() float64 {
	w, h := 4.0, 3.0
	if b.Aspect == "16:9" {
		w, h = 16, 9
	}
	return b.DiagonalMM * h / math.Hypot(w, h)
}

// away says how far n screen heights are.
func (b *bench) away(words string, n float64) string {
	if h := b.height(); h > 0 {
		return fmt.Sprintf("%s screen heights (about %.1f m)", words, n*h/1000)
	}
	return words + " screen heights"
}

// share says what a part of the screen's height is in mm, with a space in front,
// or nothing where the size is not known.
func (b *bench) share(percent float64) string {
	if h := b.height(); h > 0 {
		return fmt.Sprintf(" (%.1f mm here)", percent/100*h)
	}
	return ""
}

// with returns a list of cautions with more behind.
func with(keys []string, more ...string) []string { return slices.Concat(keys, more) }
