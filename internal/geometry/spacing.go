package geometry

import (
	"math"
	"slices"
)

// spacings are the linearity of the trade (common practice): of the spacings
// between lines that should be equally far apart, the largest less the smallest
// over their mean, along the row and the column nearest to the middle.
func spacings(points []Point, s Screen) []Term {
	row := Term{Key: "spacing-across", Name: "Spacing of the columns", Unit: "% of mean spacing",
		Means:    "largest less smallest spacing of the columns along the row nearest to the middle, over their mean (common practice)",
		Controls: "horizontal linearity, then S-correction"}
	column := Term{Key: "spacing-down", Name: "Spacing of the rows", Unit: "% of mean spacing",
		Means:    "largest less smallest spacing of the rows along the column nearest to the middle, over their mean (common practice)",
		Controls: "vertical linearity, then its S-correction"}
	for _, t := range []struct {
		term *Term
		c    channel
	}{{&row, across}, {&column, down}} {
		t.term.Value, t.term.Sigma, t.term.Known = spacing(points, t.c, s.Error)
	}
	return []Term{row, column}
}

// spacing needs three lines on one row or column. Spacings that should be
// unlike are held against what they should be.
func spacing(points []Point, c channel, reading float64) (spread, sigma float64, ok bool) {
	type line struct{ at, mm float64 }
	nearest := math.Inf(1)
	for _, p := range points {
		if !math.IsNaN(p.read(c)) && math.Abs(p.cross(c)) < math.Abs(nearest)-1e-6 {
			nearest = p.cross(c)
		}
	}
	var lines []line
	for _, p := range points {
		if v := p.read(c); !math.IsNaN(v) && math.Abs(p.cross(c)-nearest) < 1e-6 {
			lines = append(lines, line{p.along(c), v})
		}
	}
	slices.SortFunc(lines, func(a, b line) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		}
		return 0
	})
	least, most, wide := math.Inf(1), math.Inf(-1), math.Inf(1)
	for i := 1; i < len(lines); i++ {
		d := lines[i].at - lines[i-1].at
		if d < 1e-6 {
			return 0, 0, false // two readings of one crossing
		}
		per := (lines[i].mm - lines[i-1].mm) / d
		least, most, wide = math.Min(least, per), math.Max(most, per), math.Min(wide, d)
	}
	if len(lines) < 3 {
		return 0, 0, false
	}
	first, last := lines[0], lines[len(lines)-1]
	mean := (last.mm - first.mm) / (last.at - first.at)
	if !(mean > 0) {
		return 0, 0, false
	}
	return 100 * (most - least) / mean, 100 * 2 * reading / (wide * mean), true
}

// along is where the point should lie in the direction of the channel, cross
// in the other.
func (p Point) along(c channel) float64 {
	if c == across {
		return p.X
	}
	return p.Y
}

func (p Point) cross(c channel) float64 {
	if c == across {
		return p.Y
	}
	return p.X
}
