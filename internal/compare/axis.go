package compare

import (
	"fmt"
	"slices"
	"strings"
)

// An Axis is what the pictures of a comparison differ in.
type Axis int

// The axes. Those from Phase on are numeric and take any list of values.
const (
	Setup            Axis = iota // setup of the source, and the set's switch for it
	Component                    // levels of a component source, and the set's switch for them
	Phase                        // of the set's color, degrees
	Gain                         // of the set's color, per cent
	Burst                        // amplitude of the source's burst, per cent; automatic color control off and on
	ColorTemperature             // white of the set, K
	TVLines                      // bandwidth of the set's luma, TV lines; 0 is not limited

	numAxes
)

// An axisRow describes an axis.
type axisRow struct {
	name   string
	help   string
	unit   string    // of the values; "" where there are none
	values []float64 // usual ones
	least  float64   // allowed ones
	most   float64
}

var axisTable = [numAxes]axisRow{
	Setup:            {name: "setup", help: "setup of source and set, 7.5 and 0"},
	Component:        {name: "component", help: "component levels of source and set"},
	Phase:            {name: "phase", help: "phase of the set's color", unit: "degrees", values: []float64{-10, -5, 0, 5, 10}, least: -180, most: 180},
	Gain:             {name: "gain", help: "gain of the set's color", unit: "per cent", values: []float64{80, 90, 100, 110, 120}, least: 1, most: 400},
	Burst:            {name: "burst", help: "burst amplitude of the source, automatic color control off and on", unit: "per cent", values: []float64{50, 100, 150}, least: 0, most: 200},
	ColorTemperature: {name: "color-temperature", help: "white of the set", unit: "K", values: []float64{5000, 6500, 9300}, least: 4000, most: 25000},
	TVLines:          {name: "tv-lines", help: "luma bandwidth of the set", unit: "TV lines", values: []float64{200, 300, 400, 0}, least: 50, most: 1000},
}

// String returns the spelling of [ParseAxis].
func (a Axis) String() string {
	if a < 0 || a >= numAxes {
		return fmt.Sprintf("Axis(%d)", int(a))
	}
	return axisTable[a].name
}

// AxisNames lists the spellings of [ParseAxis].
func AxisNames() (names []string) {
	for _, r := range axisTable {
		names = append(names, r.name)
	}
	return names
}

// ParseAxis reads the name of an axis. The error names them all.
func ParseAxis(s string) (Axis, error) {
	for a, r := range axisTable {
		if r.name == s {
			return Axis(a), nil
		}
	}
	return 0, fmt.Errorf("unknown axis %q; use %s", s, strings.Join(AxisNames(), ", "))
}

// Numeric reports whether the axis takes a list of values.
func (a Axis) Numeric() bool { return axisTable[a].unit != "" }

// Values returns the usual values of a numeric axis. The slice is the
// caller's.
func (a Axis) Values() []float64 { return slices.Clone(axisTable[a].values) }

// MaxValues is how many values an axis takes: more would be no page to look at.
const MaxValues = 12

// CheckValues reports values that the axis cannot take, and the range.
func (a Axis) CheckValues(values []float64) error {
	r := axisTable[a]
	switch {
	case !a.Numeric() && len(values) > 0:
		return fmt.Errorf("the axis %s has fixed states and takes no values; leave them out, or use one of %s", a, strings.Join(numericNames(), ", "))
	case len(values) > MaxValues:
		return fmt.Errorf("%d values are more than a page has room for; use at most %d", len(values), MaxValues)
	}
	for i, v := range values {
		full := a == TVLines && v == 0
		if !(v >= r.least && v <= r.most) && !full {
			return fmt.Errorf("%v is out of range for %s; use %v to %v %s", v, a, r.least, r.most, r.unit)
		}
		if slices.Contains(values[:i], v) {
			return fmt.Errorf("%v stands twice among the values of %s; give each once", v, a)
		}
	}
	return nil
}

func numericNames() (names []string) {
	for a := range numAxes {
		if a.Numeric() {
			names = append(names, a.String())
		}
	}
	return names
}

// Help says in a few words what differs.
func (a Axis) Help() string { return axisTable[a].help }
