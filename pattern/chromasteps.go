package pattern

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// ChromaSteps is steps of chroma amplitude at one angle on one luma.
type ChromaSteps struct {
	Set    string // even: Levels over the whole width; j63: the three levels of ITU-T J.63
	Levels string // IRE peak to peak, comma-separated; 7 mV each at 625 lines
	Phase  string // degrees from +(B'-Y'), or j63
}

const (
	chromaLevels = "2 to 12 comma-separated amplitudes of 0 to 100 IRE peak to peak, as in 0,20,40"
	chromaPhases = "j63 (90 degrees at 525 lines, 60 at 625) or 0 to 360 degrees from +(B-Y)"
)

// parseLevels reads the amplitudes, in IRE peak to peak.
func parseLevels(s string) ([]float64, error) {
	var list []float64
	for _, f := range strings.Split(s, ",") {
		x, err := strconv.ParseFloat(strings.TrimSpace(f), 64)
		if err != nil || !(x >= 0 && x <= 100) {
			return nil, fmt.Errorf("%q in %q is no amplitude within 0 to 100 IRE; use %s", f, s, chromaLevels)
		}
		if slices.Contains(list, x) {
			return nil, fmt.Errorf("%v stands twice in %q; use %s", x, s, chromaLevels)
		}
		list = append(list, x)
	}
	if len(list) < 2 || len(list) > 12 {
		return nil, fmt.Errorf("%q has %d levels; use %s", s, len(list), chromaLevels)
	}
	return list, nil
}

// parsePhase reads the angle; standard is true for the one of the system.
func parsePhase(s string) (degrees float64, standard bool, err error) {
	if strings.EqualFold(s, "j63") {
		return 0, true, nil
	}
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || !(x >= 0 && x <= 360) {
		return 0, false, fmt.Errorf("%q is not an angle; use %s", s, chromaPhases)
	}
	return x, false, nil
}

// Angle of three-level chroma: 90 degrees behind the burst at 525 lines (J.63
// Annex II signal G); at 625 lines that of the subcarrier of line 330 (Annex I
// signal D2), since none was found for signal G2.
const (
	chroma525 = 90
	chroma625 = phase625
)

// threeLevels are signals G and G2 of ITU-T J.63 (1990): pieces of a line in
// its units, and their amplitude in IRE (625: of 7 mV) peak to peak.
func (v View) threeLevels() (from int64, list [3]struct {
	until int64
	ire   float64
}) {
	type piece = struct {
		until int64
		ire   float64
	}
	if v.lines625() {
		return 7, [3]piece{{9, 20}, {11, 60}, {14, 100}} // 140, 420 and 700 mV
	}
	return 68, [3]piece{{76, 20}, {84, 40}, {96, 80}}
}

// chromaPedestal is the luma: 50 IRE on the wire, and 350 mV at 625 lines
// (J.63 Annexes II and I).
const chromaPedestal = 50

// Scene implements Pattern.
func (p *ChromaSteps) Scene(v View) (*Scene, error) {
	degrees, standard, err := parsePhase(p.Phase)
	if err != nil {
		return nil, fmt.Errorf("phase: %w", err)
	}
	if standard {
		degrees = chroma525
		if v.lines625() {
			degrees = chroma625
		}
	}
	pedestal := v.onWire(chromaPedestal)
	var lost []string
	step := func(ire, until float64) bar {
		want := v.subcarrier(ire, degrees)
		want.Y = pedestal.Y
		name := "chroma " + v.amplitudeName(ire)
		held, absent := v.holdChroma(want)
		if absent != "" {
			lost = append(lost, name)
		}
		return bar{name, until, held, absent}
	}
	var list []bar
	left := v.across(0)
	switch p.Set {
	case "even":
		levels, err := parseLevels(p.Levels)
		if err != nil {
			return nil, fmt.Errorf("levels: %w", err)
		}
		for i, ire := range levels {
			list = append(list, step(ire, v.across(float64(i+1)/float64(len(levels)))))
		}
	case "j63":
		from, pieces := v.threeLevels()
		// The places are those of the line, whatever part of it a raster shows.
		left = v.Shown.Picture().X0
		list = append(list, bar{"pedestal left", v.insertion(from), pedestal, ""})
		for _, q := range pieces {
			list = append(list, step(q.ire, v.insertion(q.until)))
		}
		list = append(list, bar{"pedestal right", v.Shown.Picture().X1, pedestal, ""})
	default:
		return nil, fmt.Errorf("set: %q is none of even, j63", p.Set)
	}
	top, cut, bottom := v.down(0), v.down(5.0/6), v.down(1)
	steps, patches := v.bars(left, top, cut, list...)
	below, more := v.bars(v.across(0), cut, bottom, bar{"pedestal below", v.across(1), pedestal, ""})
	s := still(endsAt([]Band{steps, below}), append(patches, more...)...)
	if !v.lines625() {
		s.Notes = v.ireNotes("Amplitudes and pedestal")
	}
	if len(lost) > 0 {
		s.Notes = append(s.Notes, fmt.Sprintf("Files in %s cannot hold %s at this angle and luma: there the amplitude is the greatest that it can.", v.Coding.Name, strings.Join(lost, ", ")))
	}
	return s, nil
}

// amplitudeName spells a peak-to-peak amplitude for a patch's name.
func (v View) amplitudeName(ire float64) string {
	if v.lines625() {
		return fmt.Sprintf("%.4g mV", 7*ire)
	}
	return fmt.Sprintf("%.4g IRE", ire)
}

var chromaStepsEntries = []Entry{{
	Name: "chroma-steps", Group: GroupColor,
	Use:     "chroma gain from little to much, and automatic color control: steps that stay in proportion, and do not change when the burst does (wave --burst)",
	Source:  "set j63: ITU-T J.63 (1990) Annex II signal G (20, 40, 80 IRE, 90 degrees behind the burst) and Annex I signal G2 (140, 420, 700 mV; angle of D2: own choice); set even: own design",
	Example: "backporch render chroma-steps --levels 0,25,50,75,100 -o chroma.y4m",
	New: func() (Pattern, []*Option) {
		p := &ChromaSteps{Set: "even", Levels: "0,20,40,60,80,100", Phase: "j63"}
		return p, []*Option{
			choice("set", &p.Set, "levels over the whole width (even), or three at the places of the test line (j63)", "even", "j63"),
			spelled("levels", &p.Levels, chromaLevels, "steps of set even from left to right, on a composite wire; at 625 lines 1 IRE counts as 7 mV",
				func(s string) error { _, err := parseLevels(s); return err }),
			spelled("phase", &p.Phase, chromaPhases, "angle of the subcarrier",
				func(s string) error { _, _, err := parsePhase(s); return err }, "j63"),
		}
	},
}}
