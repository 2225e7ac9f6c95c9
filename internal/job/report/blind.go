package report

import (
	"strconv"
	"strings"

	"backporch/internal/job"
)

// quantity is what the source cannot show by the name of its tolerance, where
// there is one, or of its finding, and its unit.
func (c *Comparison) quantity(b *Blind) (name, unit string) {
	for _, s := range []*Side{c.A, c.B} {
		if l := s.Given.limit(b.Quantity); l != nil {
			name, unit = l.Name, l.Unit
		}
	}
	for i := range c.Differences {
		if d := &c.Differences[i]; name == "" && (d.Key == b.Quantity || d.Limit == b.Quantity) {
			name, unit = d.Name, d.Unit
		}
	}
	if unit == "" && (b.Quantity == job.LimitFocusGrade || b.Quantity == job.LimitPurityGrade) {
		unit = "grades"
	}
	return or(name, b.Quantity), unit
}

// finer is the smallest difference that it shows, with its unit; "" where it
// shows none.
func (b *Blind) finer(unit string) string {
	if b.Less == 0 {
		return ""
	}
	if b.Less == 1 {
		unit = strings.TrimSuffix(unit, "s")
	}
	return withUnit(strconv.FormatFloat(plain(b.Less), 'f', -1, 64), unit)
}

// blindWords are a sentence for each: what cannot be shown, whether that hides a
// difference here, why, and what would show it.
func (c *Comparison) blindWords() (list []string) {
	for i := range c.Options.Blind {
		b := &c.Options.Blind[i]
		name, unit := c.quantity(b)
		what, _, _ := strings.Cut(name, ",") // "Focus, grade of the worst zone"
		line := "The source at hand cannot show " + lower(what)
		if finer := b.finer(unit); finer != "" {
			line += " finer than " + finer
		}
		if c.hides(*b) {
			line += ", which hides a difference here"
		}
		list = append(list, line+": "+b.Why+" "+b.Way)
	}
	return list
}

// hides reports whether a difference was found that the source cannot show.
func (c *Comparison) hides(b Blind) bool {
	for _, d := range c.hidden() {
		if d.Blind.Quantity == b.Quantity {
			return true
		}
	}
	return false
}
