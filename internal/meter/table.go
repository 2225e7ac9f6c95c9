package meter

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// mostTable is how long a table may be, bytes: some 10 000 readings.
const mostTable = 1 << 20

// ReadTable reads a table of readings: a head, then one reading a line. Cells
// are separated by commas, semicolons, tabs or, where there is none of these in
// the head, blanks; except with commas the decimal point may be one. Lines that
// begin with # and empty lines are passed over, and so are rows without a single
// figure of light: steps that were not read.
//
// Columns are recognized by their heads, with units in brackets or behind "_":
// level (per cent), ire, fraction, code8, code10, rgb8; name, patch, zone or
// field; and the light as x, y and Y (or Lv), X, Y and Z, or Y, u' and v', in
// cd/m2 or fL. Others are ignored. A caller names columns whose heads are not
// recognized: columns maps a quantity (see [Quantities]) to a head.
//
// A row with a name and no level is of a plain field: level 1, of black 0.
func ReadTable(r io.Reader, columns map[string]string) ([]Sample, error) {
	text, err := io.ReadAll(io.LimitReader(r, mostTable+1))
	if err != nil {
		return nil, err
	}
	c, err := open(text)
	if err != nil {
		return nil, err
	}
	heads, err := c.Read()
	if err != nil {
		return nil, headError(err)
	}
	for i := range heads {
		heads[i] = strings.TrimSpace(heads[i])
	}
	if line, _ := c.FieldPos(0); figures(heads) {
		return nil, fmt.Errorf("line %d has figures where the names of the columns belong; put a line such as level,x,y,Y above it", line)
	}
	l, err := arrange(heads, columns)
	if err != nil {
		return nil, err
	}
	var samples []Sample
	for {
		cells, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, tableError(err)
		}
		line, _ := c.FieldPos(0)
		s, ok, err := l.row(cells, c.Comma != ',')
		if err != nil {
			return nil, fmt.Errorf("line %d, %w", line, err)
		}
		if ok {
			samples = append(samples, s)
		}
	}
	if len(samples) == 0 {
		return nil, errors.New("the table has a head and no readings; write one a line below it")
	}
	if err := l.checkLevels(samples); err != nil {
		return nil, err
	}
	return samples, nil
}

// open finds the separator.
func open(text []byte) (*csv.Reader, error) {
	switch {
	case len(text) > mostTable:
		return nil, fmt.Errorf("more than %d bytes are no table of readings; give the readings of one set alone", mostTable)
	case bytes.IndexByte(text, 0) >= 0 || !utf8.Valid(text):
		return nil, errors.New("this is not text in UTF-8; save the table as CSV in UTF-8 (spreadsheets and meters may write UTF-16)")
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
	text = bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
	head := ""
	for line := range strings.Lines(string(text)) {
		if head = strings.TrimSpace(line); head != "" && head[0] != '#' {
			break
		}
		head = ""
	}
	if head == "" {
		return nil, errors.New("the table is empty; write a head such as level,x,y,Y and one reading a line below it")
	}
	comma := ','
	switch {
	case strings.Contains(head, "\t"):
		comma = '\t'
	case strings.Contains(head, ";"):
		comma = ';'
	case strings.Contains(head, ","):
	case len(strings.Fields(head)) > 1:
		comma = '\t'
		text = tabbed(text)
	}
	c := csv.NewReader(bytes.NewReader(text))
	c.Comma, c.Comment, c.FieldsPerRecord = comma, '#', -1
	c.TrimLeadingSpace = comma != '\t' // a tab is a space
	return c, nil
}

// tabbed writes tabs for blanks and keeps the lines.
func tabbed(text []byte) []byte {
	var b bytes.Buffer
	for line := range strings.Lines(string(text)) {
		b.WriteString(strings.Join(strings.Fields(line), "\t"))
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// figures reports whether a line is one of readings.
func figures(cells []string) bool {
	for _, c := range cells {
		if _, err := figure(c, true); err == nil {
			return true
		}
	}
	return false
}

func headError(err error) error {
	if errors.Is(err, io.EOF) {
		return errors.New("the table is empty; write a head such as level,x,y,Y and one reading a line below it")
	}
	return tableError(err)
}

// tableError says where the text is no table.
func tableError(err error) error {
	var p *csv.ParseError
	if errors.As(err, &p) {
		return fmt.Errorf("line %d, character %d: %w; a cell with quotes has them at both ends", p.Line, p.Column, p.Err)
	}
	return err
}

// row reads one row; ok is false for a step that was not read.
func (l layout) row(cells []string, comma bool) (s Sample, ok bool, err error) {
	cell := func(c column) string {
		if c.index < len(cells) {
			return strings.TrimSpace(cells[c.index])
		}
		return ""
	}
	var words []string
	for _, c := range l.light {
		if w := cell(c); w != "" {
			words = append(words, w)
		}
	}
	if len(words) == 0 {
		return s, false, nil
	}
	var v [3]float64
	unit := ""
	for i, c := range l.light {
		w := cell(c)
		if w == "" {
			return s, false, fmt.Errorf("column %q: the figure is missing; write it, or leave all three figures of a step that was not read empty", c.head)
		}
		if v[i], err = figure(w, comma); err != nil {
			return s, false, fmt.Errorf("column %q: %w; write the figure, or leave all three figures of a step that was not read empty", c.head, err)
		}
		v[i] *= c.unit
		if c.unit != 1 {
			unit = " fL"
		}
	}
	if s, err = l.what(cell, comma); err != nil {
		return s, false, err
	}
	if s.XYZ, err = l.form.light(v); err != nil {
		return s, false, fmt.Errorf("columns %q, %q, %q: %w", l.light[0].head, l.light[1].head, l.light[2].head, err)
	}
	s.Given = string(l.form) + " " + strings.Join(words, " ") + unit
	return s, true, nil
}

// what reads the name and the level.
func (l layout) what(cell func(column) string, comma bool) (s Sample, err error) {
	level, scale, head := "", percent(), ""
	if l.name != nil {
		s.Name = plainName(cell(*l.name))
	}
	if l.level != nil {
		level, head = strings.TrimSpace(strings.TrimSuffix(cell(*l.level), "%")), l.level.head
		for _, k := range Scales() {
			if k.Name == l.level.scale {
				scale = k
			}
		}
	} else if name := strings.TrimSpace(strings.TrimSuffix(cell(*l.name), "%")); name != "" {
		if _, err := figure(name, comma); err == nil { // a step is named by its level
			level, head, s.Name = name, l.name.head, ""
		}
	}
	switch {
	case level == "" && s.Name == "":
		return s, fmt.Errorf("column %q: it is not said what was read; write its level or its name", l.whatHead())
	case level == "":
		s.Level = fieldLevel(s.Name)
		return s, nil
	}
	v, err := figure(level, comma)
	if err != nil {
		return s, fmt.Errorf("column %q: %w; write the level in %s", head, err, scale.Unit)
	}
	if s.Level, err = scale.level(v); err != nil {
		return s, fmt.Errorf("column %q: %w", head, err)
	}
	return s, nil
}

func (l layout) whatHead() string {
	if l.level != nil {
		return l.level.head
	}
	return l.name.head
}

// checkLevels refuses levels that are called per cent by default and end at 1:
// they are parts of white.
func (l layout) checkLevels(samples []Sample) error {
	if l.level == nil || l.level.scale != "" {
		return nil
	}
	between := false
	for _, s := range samples {
		if s.Level > 0.01 {
			return nil
		}
		between = between || s.Level > 0 && s.Level < 0.01
	}
	if between {
		return fmt.Errorf("column %q: no level is above 1 per cent; if 1 is white, head the column fraction, or as in --columns fraction=%s", l.level.head, l.level.head)
	}
	return nil
}
