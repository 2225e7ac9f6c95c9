package trace

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// choose finds the columns that are wanted.
func (h *headings) choose(o Options) (columns, error) {
	c := columns{-1, -1, -1}
	var signals []column
	for _, x := range h.all {
		if !x.clock && !x.count {
			signals = append(signals, x)
		}
	}
	if o.Time != "" {
		x, err := find(h.all, o.Time, "--time-column", func(n int) int { return slices.IndexFunc(h.all, func(x column) bool { return x.index == n-1 }) })
		if err != nil {
			return c, err
		}
		c.at = x.index
		signals = slices.DeleteFunc(signals, func(s column) bool { return s.index == x.index })
	}
	if len(signals) == 0 {
		return c, errors.New("there is no column of a signal beside the time; export the samples of a channel")
	}
	nth := func(n int) int {
		if n < 1 || n > len(signals) {
			return -1
		}
		return n - 1
	}
	switch {
	case o.Channel != "":
		x, err := find(signals, o.Channel, "--channel", nth)
		if err != nil {
			return c, err
		}
		c.signal = x.index
	case len(signals) > 1:
		return c, fmt.Errorf("the file has %d signals; choose one with --channel: %s", len(signals), namesOf(signals))
	default:
		c.signal = signals[0].index
	}
	if o.Sync != "" {
		x, err := find(signals, o.Sync, "--sync-channel", nth)
		if err != nil {
			return c, err
		}
		if x.index != c.signal {
			c.second = x.index
		}
	}
	if c.at < 0 { // the nearest to the left of the signal: each channel may have its own
		for _, x := range h.all {
			if x.clock && (c.at < 0 || x.index < c.signal) {
				c.at = x.index
			}
		}
	}
	return c, nil
}

// find looks a column up by its heading, else by its number.
func find(list []column, text, flag string, nth func(int) int) (column, error) {
	for _, x := range list {
		if strings.EqualFold(x.name, strings.TrimSpace(text)) {
			return x, nil
		}
	}
	if name, _, q := unitOf(text); q != noQuantity {
		for _, x := range list {
			if strings.EqualFold(x.name, name) {
				return x, nil
			}
		}
	}
	if n, err := strconv.Atoi(text); err == nil {
		if i := nth(n); i >= 0 {
			return list[i], nil
		}
	}
	return column{}, fmt.Errorf("%s: the file has no column %q; it has %s", flag, text, namesOf(list))
}

func namesOf(list []column) string {
	var names []string
	for _, x := range list {
		names = append(names, x.name)
	}
	return strings.Join(names, ", ")
}

// name returns the heading of a column of the file.
func (h *headings) name(index int) string {
	for _, c := range h.all {
		if c.index == index {
			return c.name
		}
	}
	return ""
}

// unit returns how many mV the unit of a column is, and what was assumed.
func (h *headings) unit(index int, told string) (size float64, note string, err error) {
	if told != "" {
		size, q := unitWord(told)
		if q != ofVoltage {
			return 0, "", fmt.Errorf("--scope-unit: %q is neither V nor mV", told)
		}
		return size, "", nil
	}
	for _, c := range h.all {
		if c.index == index && c.of == ofVoltage {
			return c.size, "", nil
		}
	}
	return 1e3, fmt.Sprintf("Column %q has no unit; it is read as volts.", h.name(index)), nil
}

// timeUnit returns how many seconds the unit of a column is, or 0.
func (h *headings) timeUnit(index int) float64 {
	for _, c := range h.all {
		if c.index == index && c.of == ofTime {
			return c.size
		}
	}
	return 0
}
