package compare

import (
	"cmp"
	"math"
	"slices"

	"backporch/pattern"
)

// A State is what has become of a step of gray.
type State int

// The states.
const (
	Shown   State = iota // above black, and lighter than its darker neighbor
	Dark                 // at or below black, and no lighter than the set's own black
	Crushed              // above black, and yet as dark as its darker neighbor or as black
	Lifted               // at or below black, and yet lighter than the set's own black
)

var stateNames = [...]string{"shown", "black", "crushed", "lifted"}

func (s State) String() string { return stateNames[s] }

// Two lights count as one when they differ by no more than a part of the
// lighter, the least step that an eye sees between neighbors (an assumption:
// common practice says 1 to 3 %), or by no more than a part of white, which is
// darker than a lit room leaves any tube.
const (
	sameStep  = 0.02
	sameWhite = 1e-5
)

// ToleranceText says the rule in words.
const ToleranceText = "Two steps count as one when their light differs by no more than 2 % of the lighter or 0.001 % of white."

// same reports whether two luminances look alike on a tube of that white.
func same(a, b, white float64) bool {
	return math.Abs(a-b) <= max(float64(sameStep*max(a, b)), float64(sameWhite*white))
}

// A Step is a neutral patch: of a PLUGE, a staircase, a row of strips near
// black, or the black and white among bars.
type Step struct {
	Name  string
	Want  float64 // luma, 0 black and 1 white
	Drive float64 // luma that the set decodes
	Nits  float64 // cd/m2
	State State
}

// steps measures the neutral patches, darkest first; those of equal level keep
// their order.
func (m *measurer) steps() []Step {
	var list []Step
	for _, p := range m.patches {
		if math.Hypot(p.patch.Want.CB, p.patch.Want.CR) > neutral {
			continue
		}
		r := m.read(p)
		list = append(list, Step{Name: p.patch.Name, Want: p.patch.Want.Y, Drive: r.Signal.Y, Nits: r.Nits})
	}
	slices.SortStableFunc(list, func(a, b Step) int { return cmp.Compare(a.Want, b.Want) })
	return list
}

// judge fills in the states. black is the set's own black, and shown that of a
// signal at black, both cd/m2; white likewise.
func judge(list []Step, black, shown, white float64) {
	const level = 1e-6 // luma: a step at black
	for i := range list {
		s := &list[i]
		if s.Want <= level {
			s.State = Dark
			if s.Nits > black && !same(s.Nits, black, white) {
				s.State = Lifted
			}
			continue
		}
		darker := shown
		for _, d := range list[:i] { // the nearest that is darker by definition
			if d.Want > level && d.Want < s.Want-level {
				darker = d.Nits
			}
		}
		if s.Nits <= darker || same(s.Nits, darker, white) || same(s.Nits, shown, white) {
			s.State = Crushed
		}
	}
}

// StepsIn lists the steps in a state, darkest first.
func (o *Outcome) StepsIn(s State) (list []Step) {
	for _, x := range o.Steps {
		if x.State == s {
			list = append(list, x)
		}
	}
	return list
}

// A placed patch is one of a known level, with where it lies on a lattice.
type placed struct {
	patch pattern.Patch
	area  area
}
