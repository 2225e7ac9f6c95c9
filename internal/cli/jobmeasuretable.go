package cli

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"backporch/internal/job"
	"backporch/internal/typo"
)

// mostTable is more than any table of readings has, bytes.
const mostTable = 4 << 20

// table reads readings that are not of a light meter from a table with a head.
// Columns are found by their heads, units left aside, or as columns names them.
// Lines that begin with # are comments. Where the fields stand apart by ; or by
// tabs, figures may have a decimal comma.
func (k *readingKind) table(m *job.Measurement, r io.Reader, columns map[string]string) error {
	known := append(slices.Clone(k.Of), k.Figs...)
	for name := range columns {
		if !slices.Contains(known, name) {
			return usagef("--columns: %q is no column of these readings%s; use %s", name, typo.Suggest(name, known), strings.Join(known, ", "))
		}
	}
	data, err := io.ReadAll(io.LimitReader(r, mostTable+1))
	if err != nil {
		return err
	}
	if len(data) > mostTable {
		return fmt.Errorf("it is longer than %d MB, and no table of readings is", mostTable>>20)
	}
	text := strings.TrimPrefix(string(data), "\ufeff") // as spreadsheets write it
	c := csv.NewReader(bufio.NewReader(strings.NewReader(text)))
	c.Comma = commaOf(text)
	c.Comment, c.FieldsPerRecord, c.TrimLeadingSpace = '#', -1, true
	head, err := c.Read()
	if err != nil {
		if errors.Is(err, io.EOF) {
			return fmt.Errorf("it is empty; its first line names the columns: %s", strings.Join(known, ","))
		}
		return fmt.Errorf("no table: %w", err)
	}
	place, err := k.places(head, columns, known)
	if err != nil {
		return err
	}
	rows := 0
	for ; ; rows++ {
		row, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return fmt.Errorf("no table: %w", err)
		}
		line, _ := c.FieldPos(0)
		cell := func(name string) string {
			i := place[name]
			if i < 0 || i >= len(row) {
				return ""
			}
			v := strings.TrimSpace(row[i])
			if c.Comma != ',' && name != "text" {
				v = strings.ReplaceAll(v, ",", ".")
			}
			return v
		}
		read, ok := k.spell(cell)
		if !ok {
			continue
		}
		if err := k.take(m, read); err != nil {
			return fmt.Errorf("line %d: %w", line, err)
		}
	}
	if rows == 0 {
		return fmt.Errorf("it has a head and no readings below it")
	}
	return nil
}

// spell makes of a row what --read takes; ok is false for a row without
// figures.
func (k *readingKind) spell(cell func(string) string) (read string, ok bool) {
	var of, figures []string
	for _, name := range k.Of {
		of = append(of, cell(name))
	}
	for _, name := range k.Figs {
		v := cell(name)
		if v != "" {
			ok = true
		} else if name != "text" {
			v = "-"
		}
		figures = append(figures, v)
	}
	between := " "
	if k.Of[0] == "column" {
		between = ","
	}
	return strings.Join(of, between) + ":" + strings.Join(figures, " "), ok
}

// places finds the columns in the head. Text is the only one that may be
// missing.
func (k *readingKind) places(head []string, columns map[string]string, known []string) (map[string]int, error) {
	place := map[string]int{}
	for _, name := range known {
		place[name] = -1
		want, given := columns[name]
		for i, h := range head {
			same := plainHead(h) == name
			if given {
				same = strings.EqualFold(strings.TrimSpace(h), want)
			}
			switch {
			case !same:
			case place[name] >= 0:
				return nil, fmt.Errorf("two columns are headed %s; name the right one with --columns %s=HEAD", strings.TrimSpace(h), name)
			default:
				place[name] = i
			}
		}
		switch {
		case place[name] >= 0 || name == "text" && !given:
		case given:
			return nil, fmt.Errorf("no column is headed %q; the heads are %s", want, heads(head))
		default:
			return nil, fmt.Errorf("no column is headed %s; the heads are %s: name the right one with --columns %s=HEAD", name, heads(head), name)
		}
	}
	return place, nil
}

func heads(head []string) string {
	var list []string
	for _, h := range head {
		list = append(list, strings.TrimSpace(h))
	}
	return strings.Join(list, ", ")
}

// plainHead is the head of a column without its unit: "Across (mm)", "right_mm".
func plainHead(h string) string {
	h = strings.ToLower(strings.TrimSpace(h))
	if i := strings.IndexAny(h, "([,"); i > 0 {
		h = h[:i]
	}
	h = strings.TrimSpace(h)
	for _, unit := range []string{"mm", "percent", "cd_m2", "cd/m2", "%"} {
		if short, ok := strings.CutSuffix(h, unit); ok && short != "" {
			h = strings.TrimRight(short, " _")
		}
	}
	return h
}

// commaOf is what stands between the fields: of the first line that is no
// comment, ; or a tab where there is one.
func commaOf(text string) rune {
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "#") || strings.TrimSpace(line) == "" {
			continue
		}
		for _, r := range []rune{';', '\t'} {
			if strings.ContainsRune(line, r) {
				return r
			}
		}
		break
	}
	return ','
}
