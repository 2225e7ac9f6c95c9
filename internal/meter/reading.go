package meter

import (
	"fmt"
	"slices"
	"strings"
)

// Fields lists the plain fields that have a name: those of the guns first.
func Fields() []string { return []string{"red", "green", "blue", "white", "black"} }

// fieldLevel is the level of a named field or zone whose level was not said.
func fieldLevel(name string) float64 {
	if name == "black" {
		return 0
	}
	return 1
}

// ParseReading reads one typed reading: a level in per cent or a name, a colon,
// and the three figures of the form, such as "20:0.300 0.310 4.1" or
// "red:0.630 0.340 17". Any name is taken.
func ParseReading(f Form, text string) (Sample, error) {
	of, figures, ok := strings.Cut(text, ":")
	of = strings.TrimSpace(of)
	if !ok || of == "" {
		return Sample{}, fmt.Errorf("reading %q does not say what was read; write the level in per cent or the name of the field or zone, a colon and %s, such as \"20:%s\"", text, f, f.example())
	}
	s := Sample{Given: string(f) + " " + strings.TrimSpace(figures)}
	if level, err := figure(strings.TrimSuffix(of, "%"), false); err == nil {
		if s.Level, err = percent().level(level); err != nil {
			return Sample{}, fmt.Errorf("reading %q: %w", text, err)
		}
	} else {
		s.Name = plainName(of)
		s.Level = fieldLevel(s.Name)
	}
	c, err := ParseTriple(f, figures)
	if err != nil {
		return Sample{}, fmt.Errorf("reading %q: %w", text, err)
	}
	s.XYZ = c
	return s, nil
}

// plainName writes a name as the lists have it: small letters, "-" between
// words, one word for what has several.
func plainName(text string) string {
	name := strings.ToLower(strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '-' || r == '_' }), "-"))
	for _, end := range []string{"-field", "-gun", "-patch"} {
		name = strings.TrimSuffix(name, end)
	}
	switch name {
	case "r":
		return "red"
	case "g":
		return "green"
	case "b":
		return "blue"
	case "w":
		return "white"
	case "k":
		return "black"
	case "centre", "middle", "c":
		return "center"
	case "left-top", "upper-left":
		return "top-left"
	case "right-top", "upper-right":
		return "top-right"
	case "left-bottom", "lower-left":
		return "bottom-left"
	case "right-bottom", "lower-right":
		return "bottom-right"
	}
	return name
}

// isColor reports whether a name is that of a field that is no gray step.
func isColor(name string) bool {
	return slices.Contains([]string{"red", "green", "blue", "cyan", "magenta", "yellow"}, name)
}
