package device

import (
	"fmt"
	"math"
	"strings"

	"backporch/internal/pixfmt"
	"backporch/internal/typo"
	"backporch/timing"
)

// describe names the type of a value of a file.
func describe(v any) string {
	switch v := v.(type) {
	case string:
		return fmt.Sprintf("the text %q", v)
	case int64:
		return fmt.Sprintf("the number %d", v)
	case float64:
		return fmt.Sprintf("the number %g", v)
	case bool:
		return fmt.Sprint(v)
	case []any:
		return fmt.Sprintf("a list of %d", len(v))
	case map[string]any:
		return "a table"
	default:
		return "a date or a time"
	}
}

func wrong(v any, want string) error { return fmt.Errorf("%s, where %s belongs", describe(v), want) }

func asText(v any) (string, error) {
	s, ok := v.(string)
	if !ok {
		return "", wrong(v, "a text in quotes")
	}
	if s = strings.TrimSpace(s); s == "" {
		return "", fmt.Errorf("an empty text")
	}
	for _, r := range s {
		if r < ' ' || r == 0x7f {
			return "", fmt.Errorf("the text %q, which has control characters or more than one line", s)
		}
	}
	return s, nil
}

func asWhole(v any, least, most int) (int, error) {
	n, ok := v.(int64)
	if !ok {
		return 0, wrong(v, "a whole number")
	}
	if n < int64(least) || n > int64(most) {
		return 0, fmt.Errorf("%d; it is %d to %d", n, least, most)
	}
	return int(n), nil
}

func asNumber(v any) (float64, error) {
	var x float64
	switch n := v.(type) {
	case int64:
		x = float64(n)
	case float64:
		x = n
	default:
		return 0, wrong(v, "a number")
	}
	if math.IsNaN(x) || math.Abs(x) > 1e9 {
		return 0, fmt.Errorf("%g is no usable number", x)
	}
	return x, nil
}

func asList(v any, what string) ([]any, error) {
	l, ok := v.([]any)
	if !ok {
		return nil, wrong(v, what)
	}
	if len(l) == 0 {
		return nil, fmt.Errorf("an empty list")
	}
	return l, nil
}

func setText(field func(*draft) *string) func(*draft, any) error {
	return func(d *draft, v any) (err error) {
		*field(d), err = asText(v)
		return err
	}
}

func setTexts(field func(*draft) *[]string) func(*draft, any) error {
	return func(d *draft, v any) error {
		l, err := asList(v, `a list of texts such as ["one", "two"]`)
		if err != nil {
			return err
		}
		var list []string
		for _, v := range l {
			s, err := asText(v)
			if err != nil {
				return err
			}
			list = append(list, s)
		}
		*field(d) = list
		return nil
	}
}

func setWhole(least, most int, field func(*draft) *int) func(*draft, any) error {
	return func(d *draft, v any) (err error) {
		*field(d), err = asWhole(v, least, most)
		return err
	}
}

func setBool(field func(*draft) *bool) func(*draft, any) error {
	return func(d *draft, v any) error {
		b, ok := v.(bool)
		if !ok {
			return wrong(v, "true or false, without quotes,")
		}
		*field(d) = b
		return nil
	}
}

func setChoice(field func(*draft) *string, choices ...string) func(*draft, any) error {
	return func(d *draft, v any) error {
		s := fmt.Sprint(v) // matrix = 709 is as clear as "709"
		for _, c := range choices {
			if strings.EqualFold(c, s) {
				*field(d) = c
				return nil
			}
		}
		return fmt.Errorf("%s%s; use %q", describe(v), typo.Suggest(s, choices), choices)
	}
}

func setFirst(field func(*draft) *bool) func(*draft, any) error {
	return setEither(field, "high", "low")
}
func setOrder(field func(*draft) *bool) func(*draft, any) error {
	return setEither(field, "big", "little")
}

// setEither reads one of two words; the first is true.
func setEither(field func(*draft) *bool, yes, no string) func(*draft, any) error {
	return func(d *draft, v any) error {
		s, _ := v.(string)
		if s != yes && s != no {
			return fmt.Errorf("%s; use %q or %q", describe(v), yes, no)
		}
		*field(d) = s == yes
		return nil
	}
}

func setSystem(d *draft, v any) error {
	switch fmt.Sprint(v) {
	case "525":
		d.p.System = timing.System525
	case "625":
		d.p.System = timing.System625
	default:
		return fmt.Errorf("%s; use 525 or 625", describe(v))
	}
	return nil
}

func setLine(d *draft, v any) error {
	l, ok := v.([]any)
	if !ok {
		l = []any{v}
	}
	if len(l) == 0 || len(l) > 1000 {
		return fmt.Errorf("a list of %d lengths; use 1 to 1000", len(l))
	}
	d.line = nil
	for _, v := range l {
		n, err := asWhole(v, 1, 1<<24)
		if err != nil {
			return err
		}
		d.line = append(d.line, int64(n))
	}
	return nil
}

func setBegins(d *draft, v any) error {
	if s, ok := v.(string); ok {
		number, unit, _ := strings.Cut(strings.TrimSpace(s), " ")
		n, err := parseRatio(number)
		if err != nil {
			return err
		}
		switch strings.TrimSpace(unit) {
		case "us":
			d.beginsUS = true
		case "pixels":
		default:
			return fmt.Errorf(`%q has no unit; write it as "11.3 us" or "81 pixels"`, s)
		}
		d.begins = &n
		return nil
	}
	x, err := asNumber(v)
	if err != nil {
		return err
	}
	if x < 0 || x > 1e6 {
		return fmt.Errorf("%g pixels after 0H; it is 0 or more, and within the line", x)
	}
	n := timing.R(int64(math.Round(x*1000)), 1000)
	d.begins = &n
	return nil
}

func setSetup(d *draft, v any) (err error) {
	if d.setup, err = asNumber(v); err != nil {
		return err
	}
	if d.setup != 0 && d.setup != 7.5 {
		return fmt.Errorf("a setup of %g IRE; it is 0 or 7.5", d.setup)
	}
	return nil
}

func setPixel(d *draft, v any) error {
	s, err := asText(v)
	if err != nil {
		return err
	}
	d.framebuffer().Color, err = readColorWord(s)
	return err
}

func setPaletteWord(field func(*draft) **pixfmt.ColorWord) func(*draft, any) error {
	return func(d *draft, v any) error {
		s, err := asText(v)
		if err != nil {
			return err
		}
		w, err := readColorWord(s)
		if err != nil {
			return err
		}
		*field(d) = &w
		return nil
	}
}

func setMap(d *draft, v any) error {
	s, err := asText(v)
	if err != nil {
		return err
	}
	d.tiles().Map, err = readMapWord(s)
	return err
}
