package trace

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// A form is how the numbers of a file are written down.
type form struct {
	separator byte // ',', ';', '\t' or ' ', which stands for blanks of any length
	comma     bool // the decimal point is a comma
	numbers   []int
}

// settled is how many rows in a run must be numbers for the samples to begin.
const settled = 3

// formOf finds how the samples are written, from the first lines of a file, and
// the index of the line with the first of them.
func formOf(head []string) (form, int, error) {
	lines := make([]int, 0, len(head)) // that are not blank
	for i, l := range head {
		if !blank(l) {
			lines = append(lines, i)
		}
	}
	if len(lines) == 0 {
		return form{}, 0, errors.New("the file is empty; export the record again")
	}
	tail := lines[max(0, len(lines)*2/3, len(lines)-60):]
	var best form
	most := 0.0
	for _, f := range []form{{separator: '\t'}, {separator: '\t', comma: true}, {separator: ';'}, {separator: ';', comma: true},
		{separator: ','}, {separator: ' '}, {separator: ' ', comma: true}} {
		if score := f.fit(head, tail); score > most {
			best, most = f, score
		}
	}
	if most == 0 {
		return form{}, 0, errors.New("there are no rows of numbers; export the samples as CSV or text, not a picture of the screen or its settings")
	}
	run := 0
	for k, i := range lines {
		if !best.isRow(head[i]) {
			run = 0
			continue
		}
		if run++; run == settled || run > 0 && k == len(lines)-1 {
			return best, lines[k-run+1], nil
		}
	}
	return form{}, 0, errors.New("there are no rows of numbers one after the other; export the samples as CSV or text")
}

// fit finds the columns of numbers, and returns which part of all cells on the
// given lines are numbers; 0 where there are none. More columns are better.
func (f *form) fit(head []string, lines []int) float64 {
	count := map[int]int{}
	cells, numbers := 0, 0
	for _, i := range lines {
		for c, text := range f.split(nil, head[i]) {
			if text == "" {
				continue
			}
			cells++
			if _, ok := f.parse(text); ok {
				count[c]++
				numbers++
			}
		}
	}
	f.numbers = nil
	for c := range 64 { // no scope has more
		if 5*count[c] >= 4*len(lines) && count[c] > 0 {
			f.numbers = append(f.numbers, c)
		}
	}
	if len(f.numbers) == 0 {
		return 0
	}
	return float64(numbers)/float64(cells) + 1e-3*float64(len(f.numbers))
}

// isRow reports whether a line has a number in every column of numbers.
func (f *form) isRow(line string) bool {
	cells := f.split(nil, line)
	for _, c := range f.numbers {
		if c >= len(cells) {
			return false
		}
		if _, ok := f.parse(cells[c]); !ok {
			return false
		}
	}
	return true
}

// split appends the cells of a line, without quotes and blanks around them.
func (f *form) split(dst []string, line string) []string {
	if f.separator == ' ' {
		return append(dst, strings.Fields(line)...)
	}
	for line != "" {
		end := strings.IndexByte(line, f.separator)
		if line[0] == '"' {
			if close := strings.IndexByte(line[1:], '"'); close >= 0 {
				dst = append(dst, strings.TrimSpace(line[1:1+close]))
				if end = strings.IndexByte(line[2+close:], f.separator); end < 0 {
					return dst
				}
				line = line[2+close+end+1:]
				continue
			}
		}
		if end < 0 {
			return append(dst, strings.TrimSpace(line))
		}
		dst = append(dst, strings.TrimSpace(line[:end]))
		line = line[end+1:]
	}
	return dst
}

// parse reads a finite number.
func (f *form) parse(s string) (float64, bool) {
	if s == "" || !strings.ContainsRune("+-.,0123456789", rune(s[0])) || len(s) > 64 {
		return 0, false
	}
	if f.comma {
		if strings.Contains(s, ".") {
			return 0, false
		}
		s = strings.Replace(s, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, false
	}
	return v, true
}

func blank(line string) bool {
	return !strings.ContainsFunc(line, func(r rune) bool { return !unicode.IsSpace(r) && r != ',' && r != ';' && r != '"' })
}
