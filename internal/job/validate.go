package job

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A FieldError reports a value that is not recorded.
type FieldError struct {
	Field  string // as in the file: "measure.light[2].Y_cd_m2", from 0
	Reason string
	Way    string // the way out
}

// Error implements error.
func (e *FieldError) Error() string { return e.Field + " " + e.Reason + "; " + e.Way }

// Known says whether this program knows the kind.
func (k Kind) Known() bool {
	switch k {
	case KindSet, KindDone, KindNote, KindMeasure, KindStep, KindLimit:
		return true
	}
	return false
}

// Outcomes lists how a step can end.
func Outcomes() []string {
	return []string{string(OutcomeOK), string(OutcomeOut), string(OutcomeCannot), string(OutcomeSkip)}
}

// checker keeps the first thing that is wrong.
type checker struct{ err error }

func (c *checker) fail(field, way, reason string, args ...any) {
	if c.err == nil {
		c.err = &FieldError{field, fmt.Sprintf(reason, args...), way}
	}
}

// number asks for a finite number from least to most.
func (c *checker) number(field string, v, least, most float64, unit string) {
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		c.fail(field, fmt.Sprintf("give a number from %g to %g %s", least, most, unit), "is no finite number")
	case v < least || v > most:
		c.fail(field, fmt.Sprintf("give a number from %g to %g %s", least, most, unit), "is %g", v)
	}
}

// word asks for one of a list.
func (c *checker) word(field, v string, of []string) {
	if !slices.Contains(of, v) {
		c.fail(field, "give "+listed(of), "is %q", v)
	}
}

// some asks for words, and for nothing in them that a terminal obeys.
func (c *checker) some(field, v, example string) {
	if strings.TrimSpace(v) == "" {
		c.fail(field, "give "+example, "is empty")
	}
	c.clean(field, v)
}

// clean asks for text that a file can hold and a terminal can show.
func (c *checker) clean(field, v string) {
	if !utf8.ValidString(v) {
		c.fail(field, "type it again", "is no UTF-8 text")
	}
	for _, r := range v {
		if unicode.IsControl(r) && r != '\n' && r != '\t' {
			c.fail(field, "leave it out", "has the control character %U in it", r)
		}
	}
}

// listed says "a, b or c".
func listed(words []string) string {
	quoted := make([]string, len(words))
	for i, w := range words {
		if quoted[i] = w; w == "" {
			quoted[i] = "nothing"
		}
	}
	n := len(quoted) - 1
	if n == 0 {
		return quoted[0]
	}
	return strings.Join(quoted[:n], ", ") + " or " + quoted[n]
}

// Validate says what is wrong with an entry before it is recorded. ID and Time
// are not looked at: Append fills them in. Files are read more leniently, since
// a newer program may know more words.
func (e *Entry) Validate() error {
	if !e.Kind.Known() {
		return &FieldError{"kind", fmt.Sprintf("is %q", e.Kind), "give set, done, note, measure, step or limit"}
	}
	c := new(checker)
	c.clean("program", e.Program)
	c.clean("by", e.By)
	c.clean("text", e.Text)
	for _, p := range []struct {
		kind  Kind
		there bool
	}{{KindSet, e.Set != nil}, {KindDone, e.Done != nil}, {KindMeasure, e.Measure != nil}, {KindStep, e.Step != nil}, {KindLimit, e.Limit != nil}} {
		switch {
		case p.there && p.kind != e.Kind:
			c.fail(string(p.kind), "record it in an entry of its own", "does not belong to an entry of the kind %q", e.Kind)
		case !p.there && p.kind == e.Kind:
			c.fail(string(p.kind), "give it", "is missing from an entry of that kind")
		}
	}
	if c.err != nil {
		return c.err
	}
	switch e.Kind {
	case KindNote:
		c.some("text", e.Text, "the words of the note")
	case KindSet:
		e.Set.check(c)
	case KindDone:
		c.some("done.step", e.Done.Step, "the key of a step, as backporch job show lists them")
		c.clean("done.adjusted", e.Done.Adjusted)
		c.word("done.outcome", string(e.Done.Outcome), Outcomes())
	case KindMeasure:
		e.Measure.check(c)
	case KindStep:
		e.Step.check(c)
	case KindLimit:
		e.Limit.check(c)
	}
	return c.err
}

// Validate says what is wrong with a description before it is recorded. Words
// that other packages read (raster, device, white, primaries) need only be there.
func (s *Set) Validate() error {
	c := new(checker)
	s.check(c)
	return c.err
}

func (s *Set) check(c *checker) {
	c.some("set.label", s.Label, `what is written on the set, such as "Bench A"`)
	c.word("set.tube", string(s.Tube), Tubes())
	c.word("set.guns", string(s.Guns), GunsNames())
	if s.DiagonalMM != 0 { // viewfinder tubes to the largest sets
		c.number("set.diagonal_mm", s.DiagonalMM, 10, 2000, "mm, or 0 if it is not known")
	}
	c.word("set.aspect", s.Aspect, []string{"4:3", "16:9"})
	if len(s.Inputs) == 0 {
		c.fail("set.inputs", "give one at least, such as composite", "is empty")
	}
	for i, in := range s.Inputs {
		field := fmt.Sprintf("set.inputs[%d]", i)
		c.some(field+".name", in.Name, "a name, such as video-1")
		c.word(field+".wire", in.Wire, Wires())
		for _, o := range s.Inputs[:i] {
			if o.Name == in.Name {
				c.fail(field+".name", "give each input a name of its own", "is %q, as another input is called", in.Name)
			}
		}
	}
	c.some("set.raster", s.Raster, "a raster, as backporch list rasters has them")
	c.clean("set.scan", s.Scan)
	c.clean("set.device", s.Device)
	c.word("set.setup", s.Setup, []string{"0", "7.5", "as-player"})
	c.word("set.player_setup", s.Player, []string{"0", "7.5", ""})
	c.some("set.target_white", s.White, "a white, such as d65")
	c.some("set.primaries", s.Primaries, "primaries, such as smpte-c")
	c.number("set.target_luminance_cd_m2", s.Luminance, 0, 10000, "cd/m2, where 0 is the class's own")
	c.word("set.class", string(s.Class), Classes())
	c.clean("set.remarks", s.Remarks)
}

func (s *Step) check(c *checker) {
	c.some("step.key", s.Key, "a short key, such as handles")
	c.some("step.title", s.Title, "a title of a few words")
	c.some("step.do", s.Do, "what to do")
}

func (l *Limit) check(c *checker) {
	c.some("limit.key", l.Key, "a key, such as white-point")
	if l.Min == nil && l.Max == nil {
		c.fail("limit", "give min, max or both", "has no bound")
	}
	for _, b := range []struct {
		field string
		v     *float64
	}{{"limit.min", l.Min}, {"limit.max", l.Max}} {
		if b.v != nil && (math.IsNaN(*b.v) || math.IsInf(*b.v, 0)) {
			c.fail(b.field, "give a number, or leave the bound out", "is no finite number")
		}
	}
	if l.Min != nil && l.Max != nil && *l.Min > *l.Max {
		c.fail("limit.min", "give a least value that is no larger than the largest", "is %g, above max %g", *l.Min, *l.Max)
	}
}
