package compare

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/tube"
	"backporch/timing"
)

// A Source is where the signal of a variant comes from.
type Source struct {
	Name    string // such as "7.5 IRE", "N10", "burst 50 %"
	Wire    *composite.Wire
	Options composite.Options
}

// A Match says whether source and set of a variant belong together.
type Match int

// The matches. A knob away from its middle position is no mismatch of levels.
const (
	NoMatter Match = iota
	Matched
	Mismatched
)

var matchNames = [...]string{"", "matched", "not matched"}

func (m Match) String() string { return matchNames[m] }

// A Variant is one picture: a source, and a set that shows it.
type Variant struct {
	Name   string // short, unlike that of any other: "source 7.5, set 0"
	Source Source
	Set    tube.Set
	Match  Match
}

// variants returns the pictures of the request in reading order, and how many
// stand side by side. Errors say what the wire cannot do, and what can be
// compared instead.
func (q *Request) variants() (list []Variant, columns int, err error) {
	if err := q.check(); err != nil {
		return nil, 0, err
	}
	values := q.Values
	switch {
	case len(values) > 0:
	case q.Axis == Phase && q.alternating():
		values = []float64{-10, 0, 10} // each gives two pictures
	default:
		values = q.Axis.Values()
	}
	add := func(name string, source Source, match Match, change func(*tube.Set)) {
		set := q.Set
		if set.Input.Family == nil {
			set.Input.Family = source.Wire.Family
		}
		if change != nil {
			change(&set)
		}
		list = append(list, Variant{name, source, set, match})
	}
	here := Source{q.Wire.Title, q.Wire, q.Options}
	switch q.Axis {
	case Setup:
		return q.matrix(q.setupSources()), 2, nil
	case Component:
		of := q.componentSources()
		return q.matrix(of), len(of), nil
	case Phase:
		for _, v := range values {
			name := "phase " + signed(v) + "°"
			turn := func(s *tube.Set) { s.Input.Phase = v }
			if !q.alternating() {
				add(name, here, NoMatter, turn)
				continue
			}
			add(name+", no delay line", here, NoMatter, turn)
			add(name+", delay line", here, NoMatter, func(s *tube.Set) { turn(s); s.Input.DelayLine = true })
		}
	case Gain:
		for _, v := range values {
			add("color gain "+number(v)+" %", here, NoMatter, func(s *tube.Set) { s.Input.Gain = v / 100 })
		}
	case Burst:
		for _, v := range values {
			source := here
			source.Name = "burst " + number(v) + " %"
			source.Options.Burst = v / 100
			add(source.Name+", control off", source, NoMatter, func(s *tube.Set) { s.Input.ACC = false })
			add(source.Name+", control on", source, NoMatter, func(s *tube.Set) { s.Input.ACC = true })
		}
	case ColorTemperature:
		for _, v := range values {
			white, err := colorimetry.Daylight(v)
			if err != nil {
				return nil, 0, err
			}
			add(number(v)+" K", here, NoMatter, func(s *tube.Set) { s.White = white })
		}
	case TVLines:
		for _, v := range values {
			name := number(v) + " TV lines"
			if v == 0 {
				name = "full bandwidth"
			}
			add(name, here, NoMatter, func(s *tube.Set) { s.Input.TVLines = v })
		}
	}
	return list, abreast(q, len(list)), nil
}

// alternating reports whether the sign of V changes from line to line.
func (q *Request) alternating() bool { return q.Wire.Subcarrier() && q.Wire.Family.Lines == 625 }

// abreast is how many of n pictures stand side by side: pairs where the axis has
// two columns.
func abreast(q *Request, n int) int {
	switch {
	case q.Axis == Burst, q.Axis == Phase && q.alternating():
		return 2
	case n == 2 || n == 4:
		return 2
	}
	return min(n, 3)
}

// setupSources are the two players of a composite or Y/C wire.
func (q *Request) setupSources() []Source {
	names := []string{"composite-m", "composite-j"}
	if q.Wire.Kind == composite.YC {
		names = []string{"yc-m", "yc-j"}
	}
	return []Source{
		{"7.5", composite.Lookup(names[0]), q.Options},
		{"0", composite.Lookup(names[1]), q.Options},
	}
}

func (q *Request) componentSources() []Source {
	if q.View.Shown.Scan.System == timing.System625 { // setup belongs to 525 lines
		return []Source{
			{"N10", composite.Lookup("component-n10"), q.Options},
			{"Betacam", composite.Lookup("component-betacam-700"), q.Options},
		}
	}
	return []Source{
		{"N10", composite.Lookup("component-n10"), q.Options},
		{"Betacam 7.5", composite.Lookup("component-betacam"), q.Options},
		{"Betacam 0", composite.Lookup("component-betacam-zero"), q.Options},
	}
}

// matrix shows every source on a set switched to each of them.
func (q *Request) matrix(sources []Source) (list []Variant) {
	for _, source := range sources {
		for _, to := range sources {
			set := q.Set
			set.Input.Family = to.Wire.Family
			match := Mismatched
			if source.Wire == to.Wire {
				match = Matched
			}
			list = append(list, Variant{"source " + source.Name + ", set " + to.Name, source, set, match})
		}
	}
	return list
}

// check reports an axis that has no meaning for the wire or the raster.
func (q *Request) check() error {
	if err := q.Axis.CheckValues(q.Values); err != nil {
		return err
	}
	if err := q.Wire.Check(q.View.Shown.Scan); err != nil {
		return err
	}
	kind := q.Wire.Kind
	is625 := q.View.Shown.Scan.System == timing.System625
	var why string
	switch q.Axis {
	case Setup:
		switch {
		case is625:
			why = "black is at blanking on every 625-line wire"
		case kind == composite.YPbPr:
			return fmt.Errorf("%s is a component wire; its levels are compared with the axis component", q.Wire.Name)
		case kind == composite.RGB:
			why = "the RGB wires have no switch for setup"
		}
	case Phase, Burst:
		if !q.Wire.Subcarrier() {
			why = q.Wire.Name + " has no subcarrier"
		}
	case Gain:
		if kind == composite.RGB {
			why = "the RGB wires have no color differences to amplify"
		}
	}
	if why == "" {
		return nil
	}
	return fmt.Errorf("the axis %s has no meaning here: %s; use %s", q.Axis, why, strings.Join(q.possible(), ", "))
}

// possible lists the axes that the wire and the raster have.
func (q *Request) possible() (names []string) {
	is625 := q.View.Shown.Scan.System == timing.System625
	for a := range numAxes {
		switch {
		case a == Setup && (is625 || !q.Wire.Subcarrier()),
			(a == Phase || a == Burst) && !q.Wire.Subcarrier(),
			a == Gain && q.Wire.Kind == composite.RGB:
			continue
		}
		names = append(names, a.String())
	}
	return names
}

// UsualAxis is what is worth comparing first on a wire: its levels where there is
// more than one kind of them, else a knob of the set.
func UsualAxis(w *composite.Wire, s *timing.Scan) Axis {
	is525 := s.System != timing.System625
	switch {
	case w.Subcarrier() && is525:
		return Setup
	case w.Subcarrier():
		return Phase
	case w.Kind == composite.YPbPr:
		return Component
	}
	return ColorTemperature
}

// sources returns the different sources of the variants in order, and which of
// them each variant has.
func sources(list []Variant) (all []Source, of []int) {
	for _, v := range list {
		i := slices.IndexFunc(all, func(s Source) bool { return s.Wire == v.Source.Wire && s.Options == v.Source.Options })
		if i < 0 {
			i = len(all)
			all = append(all, v.Source)
		}
		of = append(of, i)
	}
	return all, of
}

// number prints a value without zeros behind the point.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// signed is number with a sign before all but zero.
func signed(v float64) string {
	if v > 0 {
		return "+" + number(v)
	}
	return number(v)
}
