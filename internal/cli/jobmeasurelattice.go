package cli

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"backporch/internal/job"
	"backporch/pattern"
)

// lattice says which crosshatch the rulers are held against, and how large the
// visible screen is. Numbers of lines mean nothing without their pattern, so
// all readings of a job are of the same.
func (o *jobMeasureOptions) lattice(m *job.Measurement, w *jobWork) (c pattern.Crossings, err error) {
	set := w.Set()
	if m.Edges == nil {
		if set.DiagonalMM == 0 {
			return c, usagef("the size of the visible screen is not known; give its width and height in mm as --screen 400x300, or its diagonal with `backporch job set --size`")
		}
		m.Edges = edgesOf(set)
		fmt.Fprintf(o.Err, "note: the visible screen is taken as %.0f x %.0f mm by the diagonal of the set; what was measured is given as --screen 400x300\n", m.Edges.Width, m.Edges.Height)
	}
	before, ok := w.Latest(job.WhatGeometry, "", "")
	ok = ok && before.Measure.Pattern != "" && before.ID != o.Corrects
	if m.Pattern == "" {
		m.Pattern = usualLattice
		if ok {
			m.Pattern = before.Measure.Pattern
		}
	}
	if ok && before.Measure.Pattern != m.Pattern {
		return c, usagef("--pattern: entry %d has rulers on %q, and before and after are told by the same lines; show that pattern, or replace the entry with --corrects %d", before.ID, before.Measure.Pattern, before.ID)
	}
	if c, _, err = crossings(set, m.Pattern); err != nil {
		return c, usagef("--pattern %s: %w", m.Pattern, err)
	}
	return c, nil
}

// edgesOf are those of a flat screen of the set's diagonal and shape, to 0.1 mm.
func edgesOf(set *job.Set) *job.Edges {
	across, down := 4.0, 3.0
	if set.Aspect == "16:9" {
		across, down = 16, 9
	}
	tenth := func(v float64) float64 { return math.Round(v*set.DiagonalMM/math.Hypot(across, down)*10) / 10 }
	return &job.Edges{Width: tenth(across), Height: tenth(down)}
}

// parseScreen reads --screen, "400x300" in mm.
func parseScreen(text string) (*job.Edges, error) {
	width, height, _ := strings.Cut(strings.TrimSuffix(strings.ToLower(text), "mm"), "x")
	e := &job.Edges{}
	var bad [2]error
	e.Width, bad[0] = strconv.ParseFloat(strings.TrimSpace(width), 64)
	e.Height, bad[1] = strconv.ParseFloat(strings.TrimSpace(height), 64)
	const least = 20
	if bad[0] != nil || bad[1] != nil || !(e.Width >= least && e.Width <= mostScreen && e.Height >= least && e.Height <= mostScreen) {
		return nil, usagef("--screen: %q is not width and height of a visible screen, %d to %d mm each; write them as 400x300", text, least, mostScreen)
	}
	return e, nil
}

// crossingRows are the crossings that the prompt asks for: middle, sides and
// corners, on the two middle lines those halfway, and then what else the
// worksheet has boxes for. The outermost lines often lie behind the bezel, so the
// ones beside them are taken.
func crossingRows(c pattern.Crossings) (rows []string) {
	places := func(n int) (outer, all []int) {
		if n >= 4 {
			n--
		}
		outer = []int{-n, 0, n}
		if n < 2 {
			return outer, outer
		}
		half := (n + 1) / 2
		return outer, []int{-n, -half, 0, half, n}
	}
	add := func(column, row int) {
		if text := fmt.Sprintf("%d,%d", column, row); !slices.Contains(rows, text) {
			rows = append(rows, text)
		}
	}
	outerX, x := places(c.Columns)
	outerY, y := places(c.Rows)
	for _, row := range outerY {
		for _, column := range outerX {
			add(column, row)
		}
	}
	for _, column := range x {
		add(column, 0)
	}
	for _, row := range y {
		add(0, row)
	}
	for _, row := range y {
		for _, column := range x {
			add(column, row)
		}
	}
	return rows
}

// within refuses rulers on lines that the pattern does not have.
func within(m *job.Measurement, c pattern.Crossings) error {
	for _, r := range m.Rulers {
		if max(r.Column, -r.Column) > c.Columns || max(r.Row, -r.Row) > c.Rows {
			return usagef("%d,%d: %s has upright lines -%d to %d and level lines -%d to %d, counted from the middle ones; name another crossing, or what was shown with --pattern",
				r.Column, r.Row, m.Pattern, c.Columns, c.Columns, c.Rows, c.Rows)
		}
	}
	return nil
}
