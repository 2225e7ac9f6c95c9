package trace

import (
	"fmt"
	"slices"
	"strings"
)

// A column is one column of numbers and what its heading says.
type column struct {
	index int // in the file, from 0
	name  string
	size  float64 // of its unit, in seconds or mV; 0 if it has none
	of    quantity
	clock bool // it is a time
	count bool // it numbers the samples
}

// headings are what stands above the samples.
type headings struct {
	all             []column
	interval, start float64 // seconds; 0 if not said
}

// columns are the places of what is wanted in a row; -1 for what is not there.
type columns struct{ at, signal, second int }

// byLine reports a column that numbers lines.
func (h *headings) byLine() bool {
	return slices.ContainsFunc(h.all, func(c column) bool { return c.count && strings.EqualFold(c.name, "line") })
}

// headings reads the lines above the samples.
func (f *form) headings(head []string, first int) *headings {
	h := &headings{}
	last := f.numbers[len(f.numbers)-1]
	var names, units []string
	for i := first - 1; i >= 0; i-- {
		cells := f.headCells(head[i])
		if h.fact(f, cells) || len(cells) <= last || names != nil {
			continue
		}
		switch {
		case units == nil && f.allUnits(cells):
			units = cells
		case f.isHeading(cells):
			names = cells
			h.sideFacts(f, cells, head[i+1:first])
		}
	}
	for i := first; i < min(len(head), first+60); i++ { // settings may stand to the left of the samples
		if f.numbers[0] >= 2 {
			h.fact(f, f.split(nil, head[i])[:2])
		}
	}
	for _, c := range f.numbers {
		h.all = append(h.all, columnOf(c, cell(names, c), cell(units, c)))
	}
	h.findClock(f, head[first:])
	return h
}

// headCells splits a line above the samples, which need not have the separator
// that is between these.
func (f *form) headCells(line string) []string {
	line = strings.TrimLeft(line, "#% ")
	cells := f.split(nil, line)
	if f.separator == ' ' {
		if wide := gaps(line); len(wide) > 1 && len(wide) < len(cells) {
			cells = wide // "Time (s)   CH1 (V)"
		}
	}
	for _, c := range []byte{'\t', ';', ','} {
		if other := (&form{separator: c}).split(nil, line); len(cells) < 2 && len(other) > 1 {
			cells = other
		}
	}
	return cells
}

// gaps splits a line where there are two blanks or more.
func gaps(line string) (cells []string) {
	for _, c := range strings.Split(line, "  ") {
		if c = strings.TrimSpace(c); c != "" {
			cells = append(cells, c)
		}
	}
	return cells
}

func cell(cells []string, i int) string {
	if i < len(cells) {
		return cells[i]
	}
	return ""
}

// columnOf reads the heading of one column and the unit below it.
func columnOf(index int, name, unit string) column {
	c := column{index: index}
	c.name, c.size, c.of = unitOf(strings.TrimLeft(name, "#% "))
	if size, q := unitWord(strings.Trim(unit, "()[] ")); q != noQuantity {
		c.size, c.of = size, q
	}
	low := strings.ToLower(c.name)
	c.clock = c.of == ofTime || c.of == noQuantity && (strings.HasPrefix(low, "time") || low == "t" || low == "x" || low == "x-axis" || low == "x axis")
	switch low {
	case "line", "index", "sample", "samples", "point", "points", "sequence", "no", "no.", "n", "nr", "#":
		c.count, c.clock = c.of == noQuantity, false
	}
	if strings.EqualFold(strings.TrimSpace(unit), "sequence") {
		c.count, c.clock = true, false
	}
	if c.name == "" {
		c.name = fmt.Sprintf("column %d", index+1)
	}
	return c
}

// allUnits reports a row of units alone.
func (f *form) allUnits(cells []string) bool {
	n := 0
	for _, c := range f.numbers {
		text := strings.Trim(cell(cells, c), "()[] ")
		if _, q := unitWord(text); q == noQuantity && !strings.EqualFold(text, "sequence") && text != "" {
			return false
		}
		if text != "" {
			n++
		}
	}
	return n > 0
}

// isHeading reports a row whose first cell above numbers is none.
func (f *form) isHeading(cells []string) bool {
	text := cell(cells, f.numbers[0])
	_, number := f.parse(text)
	return text != "" && !number
}

// fact takes the sample interval or rate from a row such as "Sample Interval,4e-9",
// and reports whether it was one.
func (h *headings) fact(f *form, cells []string) bool {
	if len(cells) == 0 {
		return false
	}
	key, value := strings.Trim(cells[0], "#% "), cell(cells, 1)
	if k, v, ok := strings.Cut(key, ":"); ok {
		key, value = k, v+" "+value
	} else if k, v, ok := strings.Cut(key, "="); ok {
		key, value = k, v+" "+value
	}
	size := ""
	value = strings.TrimSpace(value)
	at := strings.IndexFunc(value, func(r rune) bool { return !strings.ContainsRune("+-.,0123456789eE", r) })
	if at > 0 {
		value, size = value[:at], value[at:]
	} else {
		size = cell(cells, 2)
	}
	v, ok := f.parse(value)
	if !ok {
		if v, ok = (&form{}).parse(value); !ok {
			return false
		}
	}
	switch kindOfFact(key) {
	case "interval":
		h.interval = v * prefixed(size)
	case "rate":
		if v > 0 {
			h.interval = 1 / (v * prefixed(size))
		}
	case "start":
		h.start = v * prefixed(size)
	default:
		return false
	}
	return true
}

// kindOfFact says what a heading is about: "interval", "rate", "start" or "".
func kindOfFact(key string) string {
	key = strings.ToLower(key)
	switch {
	case strings.Contains(key, "increment") || strings.Contains(key, "interval") || strings.Contains(key, "sample period") || strings.Contains(key, "sampling period") || key == "xinc" || key == "dt" || key == "delta t":
		return "interval"
	case strings.Contains(key, "sample rate") || strings.Contains(key, "sampling rate") || strings.Contains(key, "samples per second") || strings.Contains(key, "sampling frequency"):
		return "rate"
	case key == "start" || key == "start time" || key == "x start" || key == "xorigin":
		return "start"
	}
	return ""
}

// sideFacts takes start and increment from the row below headings of that name.
func (h *headings) sideFacts(f *form, names []string, below []string) {
	for c, name := range names {
		kind := kindOfFact(name)
		if kind == "" || slices.Contains(f.numbers, c) {
			continue
		}
		for _, line := range below {
			if v, ok := f.parse(cell(f.split(nil, line), c)); ok {
				if kind == "interval" {
					h.interval = v
				} else if kind == "start" {
					h.start = v
				}
			}
		}
	}
}

// findClock marks the first column as time where no heading says so and it
// advances as one.
func (h *headings) findClock(f *form, rows []string) {
	for _, c := range h.all {
		if c.clock {
			return
		}
	}
	if len(h.all) < 2 || h.all[0].of == ofVoltage {
		return
	}
	var v []float64
	for _, line := range rows {
		if x, ok := f.parse(cell(f.split(nil, line), h.all[0].index)); ok {
			v = append(v, x)
		}
	}
	d := differences(v)
	for _, x := range d {
		if x < 0 {
			return
		}
	}
	if len(d) == 0 || v[len(v)-1] <= v[0] {
		return
	}
	if h.interval > 0 && (h.all[0].count || d[0] == 1) {
		h.all[0].count = true
		return
	}
	if !h.all[0].count {
		h.all[0].clock = true
	}
}
