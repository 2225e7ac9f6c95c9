package geometry

import (
	"errors"
	"fmt"
	"math"
)

// An Offset is how far the lines of the red or the blue gun lie from the green
// ones at a zone, mm.
type Offset struct {
	Zone        string
	Gun         string // red or blue
	Right, Down float64
}

// A Tube is what misconvergence is held against.
type Tube struct {
	Height float64 // of the picture on the glass, mm
	Line   float64 // of one scan line, mm (LineMM); 0: distances in line widths are not told
	Delta  bool    // guns in a triangle instead of in a row
	Error  float64 // standard error of one distance, mm; 0 for a fifth of ReadingError: offsets are judged by a fine scale or in line widths
}

// A Distance is a length in the three units that people use.
type Distance struct {
	MM, Lines float64 // Lines is 0 where the height of a line was not told
	Percent   float64 // of picture height
}

// A ZoneError is how far the guns lie apart at a zone.
type ZoneError struct {
	Zone      Zone
	Red, Blue *Offset  // from green; nil where not read
	Farthest  Distance // of any two of the guns that were read
	Pair      string   // which two: red-green, blue-green or red-blue
}

// A Vector points on the glass, mm.
type Vector struct{ Right, Down float64 }

// A Misconvergence sums up offsets.
type Misconvergence struct {
	Zones  []ZoneError // those that were read, the middle first
	Center Distance    // of the central zone
	Edge   Distance    // the worst of the others
	At     string      // where that is
	// Static is what the middle shows of red and blue; the whole screen moves
	// with it. Known where the middle was read.
	Red, Blue           Vector
	RedKnown, BlueKnown bool
	// Dynamic is the worst zone once the static part is taken out; HasDynamic
	// where the middle and another zone were read.
	Dynamic    Distance
	DynamicAt  string
	HasDynamic bool
	Terms      []Term // of the dynamic part, gun by gun
	Notes      []string
}

// Term returns the term of that key, or nil.
func (m *Misconvergence) Term(key string) *Term {
	for i := range m.Terms {
		if m.Terms[i].Key == key {
			return &m.Terms[i]
		}
	}
	return nil
}

// Convergence says what offsets mean: zone by zone, what of it is static and
// what grows toward the edges, and which family of controls that points to.
func Convergence(offsets []Offset, t Tube) (*Misconvergence, error) {
	if err := t.check(offsets); err != nil {
		return nil, err
	}
	if t.Error == 0 {
		t.Error = ReadingError / 5
	}
	m := &Misconvergence{}
	red, blue := map[string]*Offset{}, map[string]*Offset{}
	for i := range offsets {
		o := offsets[i]
		z, _ := ParseZone(o.Zone)
		o.Zone = z.Name
		of := red
		if o.Gun == "blue" {
			of = blue
		}
		if of[z.Name] != nil {
			return nil, fmt.Errorf("%s at %s was given twice: keep one reading", o.Gun, z.Name)
		}
		of[z.Name] = &o
	}
	m.Red, m.RedKnown = static(red)
	m.Blue, m.BlueKnown = static(blue)
	for _, z := range Zones() {
		e := ZoneError{Zone: z, Red: red[z.Name], Blue: blue[z.Name]}
		if e.Red == nil && e.Blue == nil {
			continue
		}
		mm, pair := farthest(e.Red, e.Blue, Vector{}, Vector{})
		e.Farthest, e.Pair = t.distance(mm), pair
		m.Zones = append(m.Zones, e)
		if z.Central {
			m.Center = e.Farthest
			continue
		}
		if m.At == "" || mm > m.Edge.MM {
			m.Edge, m.At = e.Farthest, z.Name
		}
		m.dynamic(e, t)
	}
	for _, g := range []struct {
		gun string
		of  map[string]*Offset
	}{{"red", red}, {"blue", blue}} {
		m.Terms = append(m.Terms, dynamicTerms(g.gun, g.of, t)...)
	}
	m.remark(t)
	return m, nil
}

func (t Tube) check(offsets []Offset) error {
	if !(t.Height >= 20 && t.Height <= 5000) {
		return fmt.Errorf("a picture height of %g mm: measure it on the glass, in mm (20 to 5000)", t.Height)
	}
	if !(t.Line >= 0 && t.Line < t.Height/10) || !(t.Error >= 0 && t.Error < 50) {
		return fmt.Errorf("a line of %g mm and a reading error of %g mm do not fit a picture %g mm high", t.Line, t.Error, t.Height)
	}
	if len(offsets) == 0 {
		return errors.New("no offset was given: give zone, gun (red or blue), mm right and mm down of the green lines, such as center red 0.2 -0.1")
	}
	for _, o := range offsets {
		if _, err := ParseZone(o.Zone); err != nil {
			return err
		}
		if o.Gun != "red" && o.Gun != "blue" {
			return fmt.Errorf("gun %q at %s: offsets are of red or blue, from the green lines", o.Gun, o.Zone)
		}
		if !isReal(o.Right) || !isReal(o.Down) || math.Hypot(o.Right, o.Down) > t.Height/4 {
			return fmt.Errorf("%s at %s lies %g, %g mm from green: give mm on the glass, right and down positive", o.Gun, o.Zone, o.Right, o.Down)
		}
	}
	return nil
}

func (t Tube) distance(mm float64) Distance {
	d := Distance{MM: mm, Percent: 100 * mm / t.Height}
	if t.Line > 0 {
		d.Lines = mm / t.Line
	}
	return d
}

func static(of map[string]*Offset) (Vector, bool) {
	if o := of["center"]; o != nil {
		return Vector{o.Right, o.Down}, true
	}
	return Vector{}, false
}

// farthest is the greatest distance between two of the three guns, with what is
// to be taken off red and blue first.
func farthest(red, blue *Offset, r, b Vector) (mm float64, pair string) {
	more := func(d float64, name string) {
		if pair == "" || d > mm {
			mm, pair = d, name
		}
	}
	if red != nil {
		more(math.Hypot(red.Right-r.Right, red.Down-r.Down), "red-green")
	}
	if blue != nil {
		more(math.Hypot(blue.Right-b.Right, blue.Down-b.Down), "blue-green")
	}
	if red != nil && blue != nil {
		more(math.Hypot(red.Right-r.Right-blue.Right+b.Right, red.Down-r.Down-blue.Down+b.Down), "red-blue")
	}
	return mm, pair
}

// dynamic takes the static part out of a zone.
func (m *Misconvergence) dynamic(e ZoneError, t Tube) {
	if !m.RedKnown {
		e.Red = nil
	}
	if !m.BlueKnown {
		e.Blue = nil
	}
	if e.Red == nil && e.Blue == nil {
		return
	}
	mm, _ := farthest(e.Red, e.Blue, m.Red, m.Blue)
	if !m.HasDynamic || mm > m.Dynamic.MM {
		m.Dynamic, m.DynamicAt = t.distance(mm), e.Zone.Name
	}
	m.HasDynamic = true
}
