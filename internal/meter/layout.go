package meter

import (
	"fmt"
	"slices"
	"strings"
)

// A layout says where in a row what stands.
type layout struct {
	form        Form
	light       [3]column
	level, name *column
}

// arrange finds the columns. Those that the caller names win; of two ways to
// tell the light, that whose columns he names, and else XYZ before xyY before
// Yu'v'.
func arrange(heads []string, named map[string]string) (l layout, err error) {
	given, err := callers(heads, named)
	if err != nil {
		return l, err
	}
	cols := map[string]*column{}
	var luminance *column // beside a Y that may be a tristimulus value or a chromaticity
	var doubt error       // of a head that may mean two things, if it is needed
	for i, head := range heads {
		if slices.ContainsFunc(given, func(c column) bool { return c.index == i }) {
			continue
		}
		c, err := recognize(head)
		if err != nil {
			if doubt == nil {
				doubt = err
			}
			continue
		}
		c.index = i
		switch other := cols[c.of]; {
		case c.of == "":
		case c.lum:
			if luminance != nil {
				return l, twice(*luminance, c)
			}
			luminance = &c
		case other == nil:
			cols[c.of] = &c
		case c.of != inLevel && c.of != inName: // of these the first says it all
			return l, twice(*other, c)
		}
	}
	// Some write chromaticities in capitals.
	if luminance != nil && cols[inX] != nil && cols[inY] != nil && cols[inZ] == nil && cols[inx] == nil && cols[iny] == nil {
		cols[inx], cols[iny], cols[inX], cols[inY] = cols[inX], cols[inY], nil, luminance
	}
	if cols[inY] == nil {
		cols[inY] = luminance
	}
	for i := range given {
		cols[given[i].of] = &given[i]
	}
	l.level, l.name = cols[inLevel], cols[inName]
	if l.level == nil && l.name == nil {
		return l, missing(heads, doubt, "what was read: a column of levels, or one of names of fields or zones", "level=Stimulus")
	}
	for _, form := range preferred(given) {
		whole := true
		for i, f := range form.figures() {
			if c := cols[f]; c != nil {
				l.light[i] = *c
			} else {
				whole = false
			}
		}
		if whole {
			l.form = form
			return l, nil
		}
	}
	return l, missing(heads, doubt, "the light: x, y and Y, or X, Y and Z, or Y, u' and v'", "Y=Light")
}

// callers are the columns that the caller named.
func callers(heads []string, named map[string]string) (given []column, err error) {
	for _, q := range Quantities() { // in a fixed order
		head, ok := named[q]
		if !ok {
			continue
		}
		i := slices.Index(heads, head)
		if i < 0 {
			i = slices.IndexFunc(heads, func(h string) bool { return strings.EqualFold(h, head) })
		}
		if i < 0 {
			return nil, fmt.Errorf("there is no column %q for %s; the columns are %s", head, q, list(heads))
		}
		c := column{head: heads[i], index: i, of: q, unit: 1}
		if r, err := recognize(heads[i]); err == nil { // its unit
			c.scale, c.unit = r.scale, r.unit
		}
		if s := scaleOf(q); s != "" {
			c.of, c.scale = inLevel, s
		}
		if slices.ContainsFunc(given, func(o column) bool { return o.of == c.of }) {
			return nil, fmt.Errorf("two columns are named for the level; name one")
		}
		given = append(given, c)
	}
	for q := range named {
		if !slices.Contains(Quantities(), q) {
			return nil, fmt.Errorf("no quantity %q; columns can be named for %s", q, strings.Join(Quantities(), ", "))
		}
	}
	return given, nil
}

// preferred are the forms, those first of which a column was named.
func preferred(given []column) []Form {
	forms := []Form{XYZ, XYY, YUV}
	slices.SortStableFunc(forms, func(a, b Form) int { return a.namedIn(given) - b.namedIn(given) })
	return forms
}

// namedIn is -1 where a color of the form was named: Y is part of every form.
func (f Form) namedIn(given []column) int {
	names := f.figures()
	for _, c := range given {
		if c.of != inY && slices.Contains(names[:], c.of) {
			return -1
		}
	}
	return 0
}

func twice(a, b column) error {
	return fmt.Errorf("columns %q and %q both hold %s; say which one counts, as in --columns %[3]s=%[4]s", a.head, b.head, a.of, a.head)
}

func missing(heads []string, doubt error, what, example string) error {
	if doubt != nil {
		return doubt
	}
	return fmt.Errorf("no columns for %s; found %s; name them in the head, or as in --columns %s", what, list(heads), example)
}

func list(heads []string) string {
	var quoted []string
	for _, h := range heads {
		quoted = append(quoted, fmt.Sprintf("%q", h))
	}
	return strings.Join(quoted, ", ")
}
