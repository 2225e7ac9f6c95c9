package meter

import (
	"fmt"
	"slices"
	"strings"
)

// Quantities that a column may hold, as callers name them.
const (
	inName  = "name"
	inLevel = "level"
	inX     = "X"
	inY     = "Y"
	inZ     = "Z"
	inx     = "x"
	iny     = "y"
	inu     = "u'"
	inv     = "v'"
)

// Quantities lists what a caller may give a column: the quantities, and the
// scales of levels.
func Quantities() []string {
	list := []string{inLevel, inName, inx, iny, inY, inX, inZ, inu, inv}
	for _, s := range Scales() {
		list = append(list, s.Name)
	}
	return list
}

// A column is what a head says of itself.
type column struct {
	head  string
	index int
	of    string  // quantity, "" for one that is not read
	scale string  // of levels, "" where the head does not say
	unit  float64 // of light, cd/m2
	lum   bool    // named as luminance, which a Y need not be
}

// footLambert is 1/pi cd per square foot of 0.3048 m squared.
const footLambert = 3.4262590996353905

// recognize reads a head: its name, and its unit in brackets or behind "_" or a
// blank.
func recognize(head string) (c column, err error) {
	c = column{head: head, unit: 1}
	text := quotes(strings.TrimSpace(head))
	base, unit := text, ""
	if i := strings.IndexAny(text, "(["); i > 0 {
		base, unit = strings.TrimSpace(text[:i]), plain(strings.TrimRight(text[i+1:], ")] "))
	} else if a, b, ok := strings.Cut(text, "_"); ok && a != "" && known(plain(b)) {
		base, unit = a, plain(b)
	} else if i := strings.LastIndex(text, " "); i > 0 && known(plain(text[i+1:])) { // Level %, Y cd/m2
		base, unit = strings.TrimSpace(text[:i]), plain(text[i+1:])
	}
	if len(base) > 3 && strings.EqualFold(base[:3], "cie") { // CIE x, CIE_x, CIEx
		if rest := strings.TrimLeft(base[3:], " _-"); len(rest) == 1 || len(rest) == 2 && rest[1] == '\'' {
			base = rest
		}
	}
	switch base {
	case inX, inY, inZ, inx, iny:
		c.of = base
	case "u'", "U'":
		c.of = inu
	case "v'", "V'":
		c.of = inv
	case "u", "v":
		return c, fmt.Errorf("column %q may be %[2]s of CIE 1960 or %[2]s' of CIE 1976, which differ; if it is %[2]s', head it so, or as in --columns \"%[2]s'=%[2]s\"", head, base)
	}
	switch plain(base) {
	case "lv", "l", "lum", "luminance", "cdm2", "nits", "nit":
		c.of, c.lum = inY, true
	case "level", "stimulus", "signal", "gray", "grey", "%":
		c.of = inLevel
	case "name", "patch", "zone", "field", "color", "colour", "place", "position", "area":
		c.of = inName
	}
	if scale := scaleOf(plain(base)); scale != "" && plain(base) != "%" {
		c.of, c.scale = inLevel, scale
	}
	switch c.of {
	case inLevel:
		if s := scaleOf(unit); s != "" {
			c.scale = s
		} else if unit != "" {
			return c, fmt.Errorf("column %q: levels in %q are not known; use %s", head, unit, strings.Join(scaleNames(), ", "))
		}
	case inX, inY, inZ:
		switch {
		case isFootLambert(unit):
			c.unit = footLambert
		case unit != "" && !isNit(unit):
			return c, fmt.Errorf("column %q: light in %q is not known; use cd/m2 or fL", head, unit)
		}
	}
	return c, nil
}

// plain writes a unit or a name without what people write differently.
func plain(text string) string {
	text = strings.ReplaceAll(strings.ToLower(text), "²", "2")
	return strings.NewReplacer(" ", "", "_", "", "/", "", "^", "", "-", "", ".", "", "·", "", "*", "").Replace(text)
}

func isNit(unit string) bool { return slices.Contains([]string{"cdm2", "nit", "nits"}, unit) }

func isFootLambert(unit string) bool {
	return slices.Contains([]string{"fl", "ftl", "footlambert", "footlamberts"}, unit)
}

func known(unit string) bool { return isNit(unit) || isFootLambert(unit) || scaleOf(unit) != "" }

// scaleOf returns the scale that a word of a head means.
func scaleOf(word string) string {
	switch word {
	case "%", "percent", "pct", "percentage":
		return "percent"
	case "8bit", "8bitcode":
		return "code8"
	case "10bit", "10bitcode":
		return "code10"
	}
	if slices.Contains(scaleNames(), word) {
		return word
	}
	return ""
}

func scaleNames() (names []string) {
	for _, s := range Scales() {
		names = append(names, s.Name)
	}
	return names
}
