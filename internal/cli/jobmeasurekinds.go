package cli

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"backporch/internal/geometry"
	"backporch/internal/job"
	"backporch/internal/meter"
	"backporch/internal/typo"
)

// A readingKind says how the readings of one kind of measurement are typed.
// Those by a light meter are read by lightFlags instead.
type readingKind struct {
	Spelling string   // of --read, for the help
	Title    string   // of the prompt
	Rows     []string // that the prompt asks for
	Light    bool     // by a light meter
	Names    []string // of light: fields or zones; nil for levels
	Of, Figs []string // columns of a table: what was read, and its figures
	// Take adds one reading, "OF:FIGURES", to a measurement.
	Take func(m *job.Measurement, of, figures string) error
}

// kindOf is the kind of a measurement, or nil for those without typed readings.
func kindOf(w job.What) *readingKind {
	zones := geometry.ZoneNames()
	switch w {
	case job.WhatGray:
		return &readingKind{Light: true, Spelling: `"LEVEL:x y Y", level in per cent of the signal`,
			Title: "Gray steps: the light of each level in per cent.",
			Rows:  []string{"0", "10", "20", "30", "40", "50", "60", "70", "80", "90", "100"}}
	case job.WhatGuns:
		names := meter.Fields()
		return &readingKind{Light: true, Names: names, Rows: names, Spelling: `"FIELD:x y Y", ` + strings.Join(names, ", "),
			Title: "Full fields: the light of each."}
	case job.WhatUniformity:
		return &readingKind{Light: true, Names: zones, Rows: zones, Spelling: `"ZONE:x y Y"`,
			Title: "White at nine places: the light of each."}
	case job.WhatGeometry:
		return &readingKind{Spelling: `"COLUMN,ROW:ACROSS DOWN", mm from the left and the upper edge of the screen`,
			Title: "Crossings of the crosshatch, COLUMN,ROW from the middle lines (left and up\nnegative): mm from the left and from the upper edge of the visible screen; - for\none that was not read.",
			Of:    []string{"column", "row"}, Figs: []string{"across", "down"}, Take: takeRuler}
	case job.WhatConvergence:
		var rows []string
		for _, z := range zones {
			rows = append(rows, z+" red", z+" blue")
		}
		return &readingKind{Rows: rows, Spelling: `"ZONE GUN:RIGHT DOWN", mm from the green lines, red or blue`,
			Title: "Misconvergence: how far the red and the blue lines lie right of and below the\ngreen ones, mm (left and up negative).",
			Of:    []string{"zone", "gun"}, Figs: []string{"right", "down"}, Take: takeOffset}
	case job.WhatPurity:
		var rows []string
		for _, field := range []string{"red", "green", "blue"} {
			for _, z := range zones {
				rows = append(rows, z+" "+field)
			}
		}
		return &readingKind{Rows: rows, Spelling: `"ZONE FIELD:GRADE WORDS", 5 to 1`,
			Title: "Purity of the red, green and blue field: a grade for each zone,\n" + gradeLines,
			Of:    []string{"zone", "field"}, Figs: []string{"grade", "text"}, Take: takeGrade(true)}
	case job.WhatFocus:
		return &readingKind{Rows: zones, Spelling: `"ZONE:GRADE WORDS", 5 to 1`,
			Title: "Focus: a grade for each zone,\n" + gradeLines,
			Of:    []string{"zone"}, Figs: []string{"grade", "text"}, Take: takeGrade(false)}
	case job.WhatChroma:
		return &readingKind{Rows: []string{"gray", "cyan", "magenta", "blue"}, Spelling: `"BAR:LIGHT", cd/m2, or by eye "BAR:darker BAR" (brighter, equal)`,
			Title: "75 % bars with the blue gun alone: the light of each, cd/m2; or what an eye\nsees: of blue \"darker gray\", of cyan \"equal magenta\".",
			Of:    []string{"bar"}, Figs: []string{"light"}, Take: takeBar}
	case job.WhatRegulation:
		return &readingKind{Rows: []string{"10", "100"}, Spelling: `"LEVEL:WIDTH HEIGHT", mean level of the picture in per cent, mm`,
			Title: "Size of the picture with a dark and with a bright one: width and height, mm; -\nfor one that was not read.",
			Of:    []string{"level"}, Figs: []string{"width", "height"}, Take: takeSize}
	}
	return nil
}

// gradeWords are the grades of the impairment scale of ITU-R BT.500 (memory).
const gradeWords = "5 imperceptible, 4 perceptible, 3 slightly annoying, 2 annoying, 1 very annoying"

// gradeLines are the grades at the prompt, in lines that fit a narrow terminal.
const gradeLines = "5 imperceptible, 4 perceptible, 3 slightly annoying, 2 annoying, 1 very\nannoying. Words may follow the grade."

// spellings is how readings of every kind are written, for the help.
func spellings() string {
	var b strings.Builder
	for _, w := range job.Whats() {
		if k := kindOf(w); k != nil {
			fmt.Fprintf(&b, "  %-12s %s\n", w, k.Spelling)
		}
	}
	fmt.Fprintf(&b, "Zones are %s.\n", strings.Join(geometry.ZoneNames(), ", "))
	b.WriteString("Columns and rows of the crosshatch count from the middle lines, left and up negative.\n")
	fmt.Fprintf(&b, "Grades: %s.\n", gradeWords)
	b.WriteString("A figure that was not read is -.")
	return b.String()
}

// take adds one reading that was typed.
func (k *readingKind) take(m *job.Measurement, read string) error {
	of, figures, ok := strings.Cut(read, ":")
	of, figures = strings.ToLower(strings.TrimSpace(of)), strings.TrimSpace(figures)
	if !ok || of == "" || figures == "" {
		return fmt.Errorf("%q does not say what was read, and then its figures; write %s", read, k.Spelling)
	}
	if err := k.Take(m, of, figures); err != nil {
		return fmt.Errorf("%s: %w", of, err)
	}
	return nil
}

// lengths reads n figures in mm; nil is one that was not read.
func lengths(text string, n int, least, most float64) ([]*float64, error) {
	words := strings.Fields(strings.ReplaceAll(text, ",", " "))
	if len(words) != n {
		return nil, fmt.Errorf("%q is not %d figures; write them with a blank between, and a decimal point", text, n)
	}
	list := make([]*float64, n)
	none := true
	for i, w := range words {
		if w == "-" {
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimSuffix(w, "mm"), 64)
		if err != nil || !(v >= least && v <= most) {
			return nil, fmt.Errorf("%q is not within %g to %g mm", w, least, most)
		}
		list[i], none = &v, false
	}
	if none {
		return nil, fmt.Errorf("neither figure was read; leave the line out")
	}
	return list, nil
}

// zoneOf reads a zone, and where there is more to it the word behind.
func zoneOf(of string, more []string, what string) (zone, word string, err error) {
	words := strings.Fields(strings.ReplaceAll(of, ",", " "))
	if len(words) == 0 || len(words) > 2 || (len(words) == 2) != (more != nil) {
		if more == nil {
			return "", "", fmt.Errorf("it is not a zone alone; use one of %s", strings.Join(geometry.ZoneNames(), ", "))
		}
		return "", "", fmt.Errorf("it is not a zone and a %s; write them as %s %s", what, geometry.ZoneNames()[0], more[0])
	}
	if !slices.Contains(geometry.ZoneNames(), words[0]) {
		return "", "", fmt.Errorf("%q is no zone%s; use one of %s", words[0], typo.Suggest(words[0], geometry.ZoneNames()), strings.Join(geometry.ZoneNames(), ", "))
	}
	if more == nil {
		return words[0], "", nil
	}
	if !slices.Contains(more, words[1]) {
		return "", "", fmt.Errorf("%q is no %s%s; use one of %s", words[1], what, typo.Suggest(words[1], more), strings.Join(more, ", "))
	}
	return words[0], words[1], nil
}
