package cli

import (
	"strconv"
	"strings"

	"backporch/internal/compare"
	"backporch/internal/composite"
	"backporch/internal/tube"
	"backporch/timing"
)

// values reads --values.
func (o *compareOptions) values(axis compare.Axis) (list []float64, err error) {
	if o.Values == "" {
		return nil, nil
	}
	if !axis.Numeric() {
		return nil, usagef("--values: %v", axis.CheckValues([]float64{0}))
	}
	for _, word := range strings.Split(o.Values, ",") {
		word = strings.TrimSpace(word)
		if axis == compare.TVLines && word == "full" {
			list = append(list, 0)
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimRight(word, "%K°"), 64)
		if err != nil {
			return nil, usagef("--values: %q is not a number; write them with commas, as in %s", word, usualValues(axis))
		}
		if axis == compare.TVLines && v == 0 {
			return nil, usagef("--values: 0 TV lines show nothing; full means that the bandwidth is not limited")
		}
		list = append(list, v)
	}
	if err := axis.CheckValues(list); err != nil {
		return nil, usagef("--values: %v", err)
	}
	return list, nil
}

func usualValues(axis compare.Axis) string {
	var words []string
	for _, v := range axis.Values() {
		if axis == compare.TVLines && v == 0 {
			words = append(words, "full")
			continue
		}
		words = append(words, strconv.FormatFloat(v, 'f', -1, 64))
	}
	return strings.Join(words, ",")
}

func (o *compareOptions) gun() (gun compare.Gun, err error) {
	for i, g := range []compare.Gun{compare.RedOnly, compare.GreenOnly, compare.BlueOnly} {
		if !o.Only[i] {
			continue
		}
		if gun != compare.AllGuns {
			return 0, usagef("--red-only, --green-only and --blue-only each light one gun; give one of them")
		}
		gun = g
	}
	return gun, nil
}

// set reads the flags of the set; the axis and the source add the rest.
func (o *compareOptions) set(r *timing.Raster, w *composite.Wire) (s tube.Set, err error) {
	glow, err := o.glow(r.Scan.System)
	if err != nil {
		return s, &usageError{err: err}
	}
	s.Curve, s.White, s.Primaries = glow.Tube, glow.White, glow.Primaries
	if o.Separation == "" {
		return s, nil
	}
	if w.Kind != composite.Composite {
		return s, usagef("--separation belongs to composite; on %s luma and color run apart: leave it out", w.Name)
	}
	for i, n := range compare.SeparationNames() {
		if n == o.Separation {
			s.Input.Separation = composite.Separation(i)
			return s, nil
		}
	}
	return s, usagef("--separation %q is none of %s", o.Separation, strings.Join(compare.SeparationNames(), ", "))
}
