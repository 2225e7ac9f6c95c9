package device

import (
	"fmt"
	"math"
	"strings"

	"backporch/pattern"
	"backporch/timing"
)

// passBand601 is the edge of the pass band of a filter for 13.5 MHz, as a part
// of half the clock: 5.75 of 6.75 MHz (ITU-R BT.601: memory). Other filters are
// taken to be alike.
const passBand601 = 5.75 / 6.75

// UsualTubes are the TV lines of tubes that a device is judged against.
func UsualTubes() []float64 { return []float64{300, 350, 400, 450, 500, 550, 600, 700, 800} }

// A Detail is how fine something is.
type Detail struct {
	MHz     float64
	TVLines float64 // in the width of a picture height
	Why     string
}

// A TubeReach is what a device shows of a tube.
type TubeReach struct {
	TVLines float64
	MHz     float64 // of that many lines
	State   State
}

// A State is whether a device can put so many lines on the cable.
type State int

// The states.
const (
	Clean   State = iota // with their full amplitude
	AtLimit              // only above the clean limit: the amplitude is not known
	Beyond               // not at all
	numStates
)

var stateNames = [numStates]string{"shown", "at the limit", "beyond it"}

func (s State) String() string {
	if s < 0 || s >= numStates {
		return fmt.Sprintf("State(%d)", int(s))
	}
	return stateNames[s]
}

// A Need is the source that it takes for so many lines.
type Need struct {
	TVLines  float64
	MHz      float64  // of that many lines
	ClockMHz float64  // least clock of pixels: twice that
	Filtered float64  // of a player with a filter, MHz
	Samples  int      // in the analog active line at the least clock
	Devices  []string // built-in ones that reach it clean, by name
}

// A Reach is the finest detail of a device on one of its rasters.
type Reach struct {
	Device string
	Raster *timing.Raster
	Aspect timing.Ratio

	AtAll Detail // half the clock: a light and a dark pixel in turn
	Clean Detail // the finest of full amplitude

	Tubes     []TubeReach
	Alike     []float64 // tubes that resolve more than the limit: they all look the same
	Needs     []Need    // for each tube
	Composite []Detail  // bands of the composite signal of the system
}

// A band is one of luma in the composite signal as it is broadcast.
type band struct {
	mhz float64
	why string
}

// bands are those of a system: ITU-R BT.470-6 table 1 item 1.
func bands(s *timing.System) []band {
	if s == timing.System625 {
		return []band{{5.0, "nominal band of 625 lines, systems B and G"}, {5.5, "nominal band of 625 lines, system I"}}
	}
	return []band{{4.2, "nominal band of 525 lines, system M"}}
}

// reachOf returns both limits of a device on a raster.
func (p *Profile) reachOf(r *timing.Raster, aspect timing.Ratio) (atAll, clean Detail) {
	detail := func(mhz float64, why string) Detail {
		return Detail{mhz, r.Scan.System.TVLines(mhz, aspect), why}
	}
	half := r.Nyquist().Float64()
	atAll = detail(half, "half the clock: a light and a dark sample in turn")
	if p.Edges() == pattern.Hard {
		return atAll, detail(half, "pixels are held, without a filter: a light and a dark one in turn have their full levels")
	}
	return atAll, detail(half*passBand601, "the pass band of a filter as for 13.5 MHz, 5.75 of 6.75 MHz")
}

// Reach returns the finest detail that the device can put on a cable, on one of
// its rasters and a screen of that aspect, against tubes of so many TV lines.
func (p *Profile) Reach(r *timing.Raster, aspect timing.Ratio, tubes []float64) Reach {
	s := r.Scan.System
	out := Reach{Device: p.Name, Raster: r, Aspect: aspect}
	out.AtAll, out.Clean = p.reachOf(r, aspect)
	sources := Builtin()
	for _, lines := range tubes {
		t := TubeReach{TVLines: lines, MHz: s.Frequency(lines, aspect)}
		switch {
		case lines <= out.Clean.TVLines:
			t.State = Clean
		case lines <= out.AtAll.TVLines:
			t.State = AtLimit
		default:
			t.State = Beyond
		}
		if t.State != Clean {
			out.Alike = append(out.Alike, lines)
		}
		out.Tubes = append(out.Tubes, t)
		out.Needs = append(out.Needs, need(s, aspect, lines, sources))
	}
	for _, b := range bands(s) {
		out.Composite = append(out.Composite, Detail{b.mhz, s.TVLines(b.mhz, aspect), b.why})
	}
	return out
}

// need returns what it takes for so many lines.
func need(s *timing.System, aspect timing.Ratio, lines float64, sources []*Profile) Need {
	f := s.Frequency(lines, aspect)
	n := Need{TVLines: lines, MHz: f, ClockMHz: 2 * f, Filtered: 2 * f / passBand601}
	n.Samples = int(math.Ceil(2*f*s.Active().Float64() - 1e-9))
	for _, p := range sources {
		if p.System != s {
			continue
		}
		for _, r := range p.Rasters {
			if _, clean := p.reachOf(r, aspect); clean.TVLines >= lines {
				n.Devices = append(n.Devices, p.Name)
				break
			}
		}
	}
	return n
}

// mostNeeds is up to how many tubes a sentence each says what they take; more
// are left to a table.
const mostNeeds = 3

// Words says it in sentences.
func (r Reach) Words() []string {
	clock := r.Raster.Clock.Float64() / 1e6
	what := r.Device
	if r.Raster.Name != r.Device {
		what += " on " + r.Raster.Name
	}
	finest := fmt.Sprintf("%s: at %.3f MHz the finest detail is %.2f MHz, %.0f TV lines", what, clock, r.AtAll.MHz, r.AtAll.TVLines)
	if r.Clean.MHz < r.AtAll.MHz {
		finest += fmt.Sprintf(", at all, and %.2f MHz, %.0f TV lines, clean", r.Clean.MHz, r.Clean.TVLines)
	}
	list := []string{finest + "."}
	switch n := len(r.Alike); {
	case n == 0 && len(r.Tubes) > 0:
		list = append(list, "It is finer than all of the tubes named: what they do not resolve is their own.")
	case n == 1:
		list = append(list, fmt.Sprintf("A tube of %s TV lines resolves more than it shows: it cannot be judged with it.", number(r.Alike[0])))
	case n > 1:
		list = append(list, fmt.Sprintf("Tubes of %s TV lines all resolve more than it shows: they cannot be told apart with it.", numbers(r.Alike)))
	}
	for i, need := range r.Needs {
		if r.Tubes[i].State == Clean || len(r.Alike) > mostNeeds {
			continue
		}
		with := "none of the devices that come with the program does"
		if len(need.Devices) > 0 {
			with = "of the devices that come with the program: " + strings.Join(need.Devices, ", ")
		}
		list = append(list, fmt.Sprintf("%s TV lines are %.2f MHz: they take pixels at %.2f MHz or more, %d across the analog picture, or a player at %.1f MHz; %s.",
			number(need.TVLines), need.MHz, need.ClockMHz, need.Samples, need.Filtered, with))
	}
	if n := len(r.Alike); n > mostNeeds {
		list = append(list, fmt.Sprintf("What they take stands in the table; a player with a filter needs a clock that is %.2f times as high as the one there.", 1/passBand601))
	}
	for _, d := range r.Composite {
		list = append(list, fmt.Sprintf("Composite itself ends near %.1f MHz, %.0f TV lines (%s); Y/C, component and RGB do not.", d.MHz, d.TVLines, d.Why))
	}
	return list
}

func number(x float64) string { return fmt.Sprintf("%g", x) }

// numbers lists them with "and" before the last.
func numbers(list []float64) string {
	var b strings.Builder
	for i, x := range list {
		switch {
		case i > 0 && i == len(list)-1:
			b.WriteString(" and ")
		case i > 0:
			b.WriteString(", ")
		}
		b.WriteString(number(x))
	}
	return b.String()
}
