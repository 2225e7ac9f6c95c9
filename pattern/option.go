package pattern

import (
	"fmt"
	"strconv"
	"strings"
)

// An Option is a field of a pattern seen from outside. It has the methods of
// the flag packages' Value and needs none of them.
type Option struct {
	Name    string
	Range   string   // in words: limits and unit, or the choices
	Help    string   // one line
	Choices []string // for completion; empty for numbers

	set func(s string) error
	get func() string
	typ string
}

// String returns the present value as Set would read it.
func (o *Option) String() string {
	if o.get == nil {
		return "" // a zero Option, which flag packages make
	}
	return o.get()
}

// Set reads a value. The error says what the option takes.
func (o *Option) Set(s string) error {
	if err := o.set(strings.TrimSpace(s)); err != nil {
		return fmt.Errorf("%s: %w", o.Name, err)
	}
	return nil
}

// Type returns the kind of value for help texts.
func (o *Option) Type() string { return o.typ }

// IsBoolFlag tells flag packages that the name alone means true.
func (o *Option) IsBoolFlag() bool { return o.typ == "bool" }

func number(name string, p *float64, lo, hi float64, unit, help string) *Option {
	limits := strings.TrimSpace(fmt.Sprintf("%v to %v %s", lo, hi, unit))
	return &Option{Name: name, Range: limits, Help: help, typ: "number",
		get: func() string { return strconv.FormatFloat(*p, 'g', -1, 64) },
		set: func(s string) error {
			x, err := strconv.ParseFloat(s, 64)
			if err != nil || !(x >= lo && x <= hi) {
				return fmt.Errorf("%q is not within %s", s, limits)
			}
			*p = x
			return nil
		}}
}

func whole(name string, p *int, lo, hi int, unit, help string) *Option {
	limits := strings.TrimSpace(fmt.Sprintf("%d to %d %s", lo, hi, unit))
	return &Option{Name: name, Range: limits, Help: help, typ: "int",
		get: func() string { return strconv.Itoa(*p) },
		set: func(s string) error {
			x, err := strconv.Atoi(s)
			if err != nil || x < lo || x > hi {
				return fmt.Errorf("%q is not a whole number within %s", s, limits)
			}
			*p = x
			return nil
		}}
}

func toggle(name string, p *bool, help string) *Option {
	return &Option{Name: name, Range: "true or false", Help: help, Choices: []string{"true", "false"}, typ: "bool",
		get: func() string { return strconv.FormatBool(*p) },
		set: func(s string) error {
			x, err := strconv.ParseBool(s)
			if err != nil {
				return fmt.Errorf("%q is neither true nor false", s)
			}
			*p = x
			return nil
		}}
}

func choice(name string, p *string, help string, choices ...string) *Option {
	list := strings.Join(choices, ", ")
	return &Option{Name: name, Range: list, Help: help, Choices: choices, typ: "string",
		get: func() string { return *p },
		set: func(s string) error {
			for _, c := range choices {
				if strings.EqualFold(c, s) {
					*p = c
					return nil
				}
			}
			return fmt.Errorf("%q is none of %s", s, list)
		}}
}

// spelled is an option whose text is kept, without white space, after check has
// found it good: a spelling has none within an option.
func spelled(name string, p *string, limits, help string, check func(string) error, choices ...string) *Option {
	return &Option{Name: name, Range: limits, Help: help, Choices: choices, typ: "string",
		get: func() string { return *p },
		set: func(s string) error {
			s = strings.Join(strings.Fields(s), "")
			if err := check(s); err != nil {
				return err
			}
			*p = s
			return nil
		}}
}
