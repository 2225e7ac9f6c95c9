package cli

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"backporch/internal/geometry"
	"backporch/internal/job"
	"backporch/internal/typo"
)

// errTwice refuses a second reading of the same thing: which of them counts
// would be anybody's guess.
func errTwice() error { return fmt.Errorf("it was read twice; give it once") }

// mostScreen is more than any picture tube measures, mm.
const mostScreen = 1500

func takeRuler(m *job.Measurement, of, figures string) error {
	words := strings.Split(strings.ReplaceAll(of, " ", ""), ",")
	var at [2]int
	for i := range at {
		var err error
		if len(words) == 2 {
			at[i], err = strconv.Atoi(strings.TrimPrefix(words[i], "+"))
		}
		if len(words) != 2 || err != nil {
			return fmt.Errorf("it is no crossing; write the numbers of its upright and its level line, counted from the middle ones, as -6,0")
		}
	}
	v, err := lengths(figures, 2, -mostScreen, mostScreen)
	if err != nil {
		return err
	}
	if slices.ContainsFunc(m.Rulers, func(r job.Ruler) bool { return r.Column == at[0] && r.Row == at[1] }) {
		return errTwice()
	}
	m.Rulers = append(m.Rulers, job.Ruler{Column: at[0], Row: at[1], Across: v[0], Down: v[1]})
	return nil
}

// mostOffset is more than a gun can be off while its lines can still be told,
// mm.
const mostOffset = 100

func takeOffset(m *job.Measurement, of, figures string) error {
	zone, gun, err := zoneOf(of, []string{"red", "blue"}, "gun")
	if err != nil {
		return err
	}
	v, err := lengths(figures, 2, -mostOffset, mostOffset)
	if err != nil {
		return err
	}
	if v[0] == nil || v[1] == nil {
		return fmt.Errorf("both figures are needed; write 0 where the lines meet")
	}
	if slices.ContainsFunc(m.Offsets, func(o job.Offset) bool { return o.Zone == zone && o.Gun == gun }) {
		return errTwice()
	}
	m.Offsets = append(m.Offsets, job.Offset{Zone: zone, Gun: gun, Right: *v[0], Down: *v[1]})
	return nil
}

// lineWidths makes mm of offsets that were judged in widths of a scan line.
func (w *jobWork) lineWidths(m *job.Measurement) error {
	g, err := w.given()
	if err != nil {
		return err
	}
	line, err := g.LineMM(m)
	if err != nil {
		return fmt.Errorf("--unit lines: %w", err)
	}
	for i := range m.Offsets {
		o := &m.Offsets[i]
		o.Given = fmt.Sprintf("%g %g lines", o.Right, o.Down)
		o.Right, o.Down = geometry.LineWidths(o.Right, line), geometry.LineWidths(o.Down, line)
	}
	return nil
}

// takeGrade takes grades of zones, of a field each if they are of purity.
func takeGrade(ofField bool) func(*job.Measurement, string, string) error {
	return func(m *job.Measurement, of, figures string) error {
		var fields []string
		if ofField {
			fields = []string{"red", "green", "blue", "white"}
		}
		zone, field, err := zoneOf(of, fields, "field")
		if err != nil {
			return err
		}
		word, text, _ := strings.Cut(figures, " ")
		grade, err := strconv.Atoi(word)
		if err != nil || grade < 1 || grade > 5 {
			return fmt.Errorf("%q is no grade; use 1 to 5: %s", word, gradeWords)
		}
		if slices.ContainsFunc(m.Grades, func(g job.Grade) bool { return g.Zone == zone && g.Field == field }) {
			return errTwice()
		}
		m.Grades = append(m.Grades, job.Grade{Zone: zone, Field: field, Grade: grade, Text: strings.TrimSpace(text)})
		return nil
	}
}

// blueBars are the bars that can be read: the four that have blue, and those
// that have red, for the red gun alone.
func blueBars() []string { return []string{"gray", "cyan", "magenta", "blue", "yellow", "red"} }

func barOf(word string) error {
	if !slices.Contains(blueBars(), word) {
		return fmt.Errorf("%q is no bar that is read%s; use one of %s", word, typo.Suggest(word, blueBars()), strings.Join(blueBars(), ", "))
	}
	return nil
}

func takeBar(m *job.Measurement, of, figures string) error {
	if err := barOf(of); err != nil {
		return err
	}
	if word, _, _ := strings.Cut(figures, " "); slices.Contains(looks(), strings.ToLower(word)) {
		return takeEye(m, of+" "+figures)
	}
	light, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(figures, "cd/m2")), 64)
	if err != nil || !(light >= 0 && light < 1e5) {
		return fmt.Errorf("%q is no light in cd/m2, nor what an eye sees, such as darker gray", figures)
	}
	if slices.ContainsFunc(m.Bars, func(b job.Bar) bool { return b.Name == of && b.Light != nil }) {
		return errTwice()
	}
	m.Bars = append(m.Bars, job.Bar{Name: of, Light: &light})
	return nil
}

// looks are the ways for a bar to look beside another.
func looks() []string { return []string{"brighter", "equal", "darker"} }

// takeEye adds what an eye sees of pairs of bars: "blue darker gray, cyan
// brighter magenta".
func takeEye(m *job.Measurement, text string) error {
	for _, part := range strings.Split(strings.ToLower(text), ",") {
		var words []string
		for _, w := range strings.Fields(part) {
			if w != "than" && w != "to" && w != "is" {
				words = append(words, w)
			}
		}
		if len(words) != 3 {
			return fmt.Errorf("%q does not hold two bars against each other; write it as blue darker gray, cyan brighter magenta", strings.TrimSpace(part))
		}
		for _, w := range []string{words[0], words[2]} {
			if err := barOf(w); err != nil {
				return err
			}
		}
		if !slices.Contains(looks(), words[1]) {
			return fmt.Errorf("%q is no way for a bar to look%s; use %s", words[1], typo.Suggest(words[1], looks()), strings.Join(looks(), ", "))
		}
		if words[0] == words[2] {
			return fmt.Errorf("%s is held against itself; name two bars", words[0])
		}
		if slices.ContainsFunc(m.Bars, func(b job.Bar) bool { return b.Name == words[0] && b.Than == words[2] }) {
			return fmt.Errorf("%s and %s: %w", words[0], words[2], errTwice())
		}
		m.Bars = append(m.Bars, job.Bar{Name: words[0], Than: words[2], Looks: words[1]})
	}
	return nil
}

func takeSize(m *job.Measurement, of, figures string) error {
	level, err := strconv.ParseFloat(strings.TrimSuffix(of, "%"), 64)
	if err != nil || !(level >= 0 && level <= 100) {
		return fmt.Errorf("it is no mean level in per cent, 0 to 100")
	}
	v, err := lengths(figures, 2, 1, mostScreen)
	if err != nil {
		return err
	}
	if slices.ContainsFunc(m.Sizes, func(s job.Size) bool { return s.Level == level }) {
		return errTwice()
	}
	size := job.Size{Level: level}
	if v[0] != nil {
		size.Width = *v[0]
	}
	if v[1] != nil {
		size.Height = *v[1]
	}
	m.Sizes = append(m.Sizes, size)
	return nil
}

// knobs reads --knobs: where the controls of the set stand, in their own units.
func knobs(text string) (list []job.Control, err error) {
	for _, pair := range strings.Split(text, ",") {
		name, value, ok := strings.Cut(pair, "=")
		name = strings.TrimSpace(name)
		v, bad := strconv.ParseFloat(strings.TrimSpace(value), 64)
		if !ok || name == "" || bad != nil || v != v || v-v != 0 {
			return nil, usagef("--knobs: %q does not say where a control stands; write it as red-drive=128,green-cutoff=40", strings.TrimSpace(pair))
		}
		if slices.ContainsFunc(list, func(c job.Control) bool { return c.Name == name }) {
			return nil, usagef("--knobs: %s stands there twice; give it once", name)
		}
		list = append(list, job.Control{Name: name, Value: v})
	}
	return list, nil
}
