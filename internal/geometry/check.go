package geometry

import (
	"errors"
	"fmt"
	"math"
)

func isReal(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// check refuses what no ruler can have read.
func check(points []Point, s Screen) error {
	for _, v := range []struct {
		name string
		v    float64
	}{{"width of the visible screen", s.Width}, {"height of the visible screen", s.Height}} {
		if !(v.v >= 20 && v.v <= 5000) {
			return fmt.Errorf("the %s is %g mm: measure it on the glass, in mm (20 to 5000)", v.name, v.v)
		}
	}
	if !(s.Picture > 0.2 && s.Picture < 5) {
		return fmt.Errorf("the picture is %g picture heights wide: give the width of the active picture, such as 1.333", s.Picture)
	}
	if !(s.Error >= 0 && s.Error <= 50) {
		return fmt.Errorf("a reading error of %g mm: give the standard error of one ruler reading, such as 0.5", s.Error)
	}
	read := 0
	for i, p := range points {
		if !isReal(p.X) || !isReal(p.Y) || math.Abs(p.X) > s.Picture || math.Abs(p.Y) > 1 {
			return fmt.Errorf("point %d should lie at %g, %g picture heights, which is outside the picture", i+1, p.X, p.Y)
		}
		for _, r := range []struct {
			what  string
			v, to float64
			edge  string
		}{{"across", p.Across, s.Width, "left"}, {"down", p.Down, s.Height, "upper"}} {
			if math.IsNaN(r.v) {
				continue
			}
			read++
			if !(r.v >= -0.1*r.to && r.v <= 1.1*r.to) {
				return fmt.Errorf("the crossing at %.3g, %.3g picture heights was read %g mm %s, but the screen ends at %g mm: count mm from the %s edge of the visible screen",
					p.X, p.Y, r.v, r.what, r.to, r.edge)
			}
		}
	}
	if read == 0 {
		return errors.New("no place was read: read the crossings of the middle row across and of the middle column down, at least two of each")
	}
	return nil
}

// upright refuses a raster that is mirrored or has no size: mm that were
// counted from the wrong edge, or columns that were mixed up.
func (m *model) upright(s Screen) error {
	for _, d := range []struct {
		c                   channel
		lin                 power
		what, edge, ordered string
		size                float64
	}{
		{across, power{1, 0}, "across", "left", "columns from left to right", s.Width},
		{down, power{0, 1}, "down", "upper", "rows from top to bottom", s.Height},
	} {
		if !m.has(d.c, d.lin) {
			continue
		}
		if size := m.size(d.c); size < 0.05*d.size {
			return fmt.Errorf("the readings %s make a picture of %.0f mm: count mm from the %s edge of the visible screen, and number the %s", d.what, size, d.edge, d.ordered)
		}
	}
	return nil
}
