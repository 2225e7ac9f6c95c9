package cli

import (
	"fmt"
	"strconv"

	"backporch/colorimetry"
	"backporch/internal/job"
	"backporch/internal/job/report"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// usualLattice is what rulers are held against where nothing else is named.
const usualLattice = "crosshatch"

// given is what the readings of a job are held against. Which reading of the
// guns belongs to a stage is left to package report.
func (w *jobWork) given() (*report.Given, error) {
	set := w.Set()
	g := &report.Given{Set: set, Plan: w.Plan}
	r, _, err := setRaster(set)
	if err != nil {
		return nil, fmt.Errorf("job %s: %w; `backporch job set` corrects the description", w.Name, err)
	}
	g.System = strconv.Itoa(r.Scan.System.Lines())
	g.Lines = int(r.Scan.System.Height.Num) * r.Scan.Fields
	spec := usualLattice
	if e, ok := w.Latest(job.WhatGeometry, "", ""); ok && e.Measure.Pattern != "" {
		spec = e.Measure.Pattern
	}
	if err := nominal(g, spec); err != nil {
		return nil, fmt.Errorf("job %s: readings of geometry: pattern %s: %w", w.Name, spec, err)
	}
	// The gamma of the tube itself, where gray steps told it.
	if e, ok := w.Latest(job.WhatGray, "", ""); ok {
		if res, err := report.Evaluate(e.Measure, g); err == nil && res.Gray != nil && res.Gray.Gamma.OK {
			g.Gamma = res.Gray.Gamma.Value
		}
	}
	return g, nil
}

// setRaster is the raster that a set is played, on its screen.
func setRaster(set *job.Set) (*timing.Raster, timing.Ratio, error) {
	_, r, err := setPicture(set).lattice()
	if err != nil {
		// A profile that has gone since is not missed where the raster is known.
		if r = timing.Lookup(set.Raster); r == nil {
			return nil, timing.Ratio{}, err
		}
	}
	aspect := aspect4x3
	if set.Aspect != "" {
		if aspect, err = parseAspect(set.Aspect); err != nil {
			return nil, aspect, err
		}
	}
	return r, aspect, nil
}

// nominal says where the crossings of a pattern belong on the tube.
func nominal(g *report.Given, spec string) error {
	c, width, err := crossings(g.Set, spec)
	if err != nil {
		return err
	}
	g.Nominal, g.Picture = c.At, width
	return nil
}

// crossings are those of a pattern on a set, and the width of its picture in
// picture heights.
func crossings(set *job.Set, spec string) (c pattern.Crossings, width float64, err error) {
	r, aspect, err := setRaster(set)
	if err != nil {
		return c, 0, err
	}
	p, err := pattern.Parse(spec)
	if err != nil {
		return c, 0, err
	}
	v := pattern.NewView(r, colorimetry.YCbCr10, frame.S422, pattern.Shaped)
	v.Aspect = aspect.Float64()
	c, err = v.Crossings(p)
	return c, v.Width(), err
}
