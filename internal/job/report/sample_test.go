package report_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"backporch/colorimetry"
	"backporch/internal/job"
	"backporch/internal/job/report"

	"github.com/stretchr/testify/require"
)

// start is when the invented job begins.
func start() time.Time { return time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC) }

// gunModel is a tube of three guns: light is k (drive V + cutoff)^gamma, cd/m2
// of the target white each. It shares nothing with the code under test.
type gunModel struct {
	drive, cutoff [3]float64
	white, gamma  float64
}

func (m gunModel) light(level float64) job.Light {
	npm := colorimetry.AllPrimaries()[0].Matrix(colorimetry.D65.XY)
	var gun [3]float64
	for i := range gun {
		gun[i] = m.white * math.Pow(max(m.drive[i]*level/100+m.cutoff[i], 0), m.gamma)
	}
	x := npm.XYZ(gun[0], gun[1], gun[2])
	return job.Light{Level: level, X: x.X + 0.02, Y: x.Y + 0.02, Z: x.Z + 0.02}
}

func (m gunModel) gray() (list []job.Light) {
	for level := 0.0; level <= 100; level += 10 {
		list = append(list, m.light(level))
	}
	return list
}

// field is a gun's full field.
func (m gunModel) fields() (list []job.Light) {
	for _, f := range []struct {
		name string
		on   [3]float64
	}{{"red", [3]float64{1, 0, 0}}, {"green", [3]float64{0, 1, 0}}, {"blue", [3]float64{0, 0, 1}}, {"white", [3]float64{1, 1, 1}}, {"black", [3]float64{}}} {
		one := m
		for i := range one.drive {
			one.drive[i] *= f.on[i]
			one.cutoff[i] *= f.on[i]
		}
		l := one.light(100)
		l.Name = f.name
		list = append(list, l)
	}
	return list
}

func untouched() gunModel {
	return gunModel{[3]float64{1.04, 1, 0.94}, [3]float64{-0.02, 0, 0.025}, 96, 2.45}
}

func aligned() gunModel {
	return gunModel{[3]float64{1.002, 1, 0.999}, [3]float64{0.0005, 0, -0.001}, 80, 2.4}
}

func zones(worst float64) (list []job.Light) {
	for _, z := range []struct {
		name  string
		share float64
		blue  float64
	}{{"center", 1, 0}, {"top", .93, .5}, {"bottom", .92, .4}, {"left", .9, .8}, {"right", .89, 1}, {"top-left", .84, 1.2}, {"top-right", .85, 1.1}, {"bottom-left", worst, 1.6}, {"bottom-right", .82, 1.4}} {
		l := aligned().light(100)
		list = append(list, job.Light{Level: 100, Name: z.name, X: l.X * z.share, Y: l.Y * z.share, Z: l.Z * z.share * (1 + z.blue/100)})
	}
	return list
}

// rulers are 7 by 5 crossings of a raster that is pincushioned by so many mm,
// on a screen 400 by 300 mm.
func rulers(pin, tilt float64) (list []job.Ruler) {
	for c := -6; c <= 6; c += 2 {
		for r := -4; r <= 4; r += 2 {
			x, y := nominal(c, r)
			u, v := x/(2./3), y/0.5
			across := 200 + 3 + 310*x*(1+0.0) + pin*u*(v*v-1)*0.5
			down := 150 + 310*y + tilt*u
			list = append(list, job.Ruler{Column: c, Row: r, Across: &across, Down: &down})
		}
	}
	return list
}

func nominal(column, row int) (x, y float64) { return 0.1 * float64(column), 0.1 * float64(row) }

func offsets(k float64) (list []job.Offset) {
	for i, z := range []string{"center", "top", "bottom", "left", "right", "top-left", "top-right", "bottom-left", "bottom-right"} {
		n := float64(i)
		list = append(list, job.Offset{Zone: z, Gun: "red", Right: k * (0.2 + 0.05*n), Down: -k * 0.04 * n},
			job.Offset{Zone: z, Gun: "blue", Right: -k * (0.1 + 0.04*n), Down: k * 0.06 * (4 - n)})
	}
	return list
}

func grades(field string, g int) (list []job.Grade) {
	for _, z := range []string{"center", "top", "bottom", "left", "right", "top-left", "top-right", "bottom-left", "bottom-right"} {
		v := 5
		if z == "bottom-left" {
			v = g
		}
		list = append(list, job.Grade{Zone: z, Field: field, Grade: v})
	}
	return list
}

func bars(light ...float64) (list []job.Bar) {
	for i, n := range []string{"gray", "cyan", "magenta", "blue"} {
		list = append(list, job.Bar{Name: n, Light: &light[i]})
	}
	return list
}

func benchA() *job.Set {
	return &job.Set{Label: "Bench A", Tube: job.ApertureGrille, Guns: job.InLine, DiagonalMM: 500, Aspect: "4:3",
		Inputs: []job.Input{{Name: "video-1", Wire: "composite"}, {Name: "component", Wire: "component"}},
		Raster: "480i", Setup: "7.5", Player: "7.5", White: "D65", Primaries: "smpte-c", Class: job.Grade2, Remarks: "Left of the projection booth, looped through to Bench B."}
}

// measured is a whole job with readings before and after, all of them invented.
func measured(t testing.TB) *job.Job {
	t.Helper()
	set := benchA()
	j := &job.Job{Name: "bench-a"}
	add := func(hours float64, e job.Entry) {
		e.ID, e.Time, e.By = len(j.Entries)+1, start().Add(time.Duration(hours*float64(time.Hour))), "Kim"
		j.Entries = append(j.Entries, e)
	}
	measure := func(hours float64, m job.Measurement) {
		m.Invented = true
		if m.Light != nil {
			m.Instrument = "colorimeter 1"
		}
		add(hours, job.Entry{Kind: job.KindMeasure, Measure: &m})
	}
	add(0, job.Entry{Kind: job.KindSet, Set: set})
	measure(0.1, job.Measurement{What: job.WhatSource, Stage: job.Before, Pattern: "bars-eg1", Source: &job.Check{Verdict: "fit", Sentence: "Fit for class studio: all that this pattern shows is within tolerance.", File: "capture.y4m"}})
	edges := &job.Edges{Width: 400, Height: 300}
	for i, st := range []job.Stage{job.Before, job.After} {
		h := 0.2 + 5*float64(i)
		model := []gunModel{untouched(), aligned()}[i]
		measure(h, job.Measurement{What: job.WhatPurity, Stage: st, Pattern: "flat color=red", Grades: grades("red", 3+2*i)})
		measure(h+.1, job.Measurement{What: job.WhatConvergence, Stage: st, Pattern: "crosshatch", Offsets: offsets(1 - 0.7*float64(i))})
		measure(h+.2, job.Measurement{What: job.WhatGeometry, Stage: st, Pattern: "crosshatch", Rulers: rulers(9-7*float64(i), 3-2.6*float64(i)), Edges: edges})
		measure(h+.3, job.Measurement{What: job.WhatFocus, Stage: st, Pattern: "dots", Grades: grades("", 4)})
		measure(h+.4, job.Measurement{What: job.WhatGuns, Stage: st, Light: model.fields()})
		measure(h+.5, job.Measurement{What: job.WhatGray, Stage: st, Pattern: "window level=100", Light: model.gray()})
		measure(h+.6, job.Measurement{What: job.WhatUniformity, Stage: st, Pattern: "flat color=white", Light: zones(.72 + .02*float64(i))})
		measure(h+.7, job.Measurement{What: job.WhatChroma, Stage: st, Input: "video-1", Pattern: "bars-split-red", Bars: bars(10, 10.6-.58*float64(i), 8.9+1.06*float64(i), 11.1-1.05*float64(i))})
	}
	measure(6, job.Measurement{What: job.WhatRegulation, Stage: job.After, Sizes: []job.Size{{Level: 10, Width: 410, Height: 308}, {Level: 100, Width: 418, Height: 312}}})
	add(2, job.Entry{Kind: job.KindDone, Done: &job.Done{Step: "purity", Adjusted: "rings at the neck, yoke 2 mm forward", Outcome: job.OutcomeOK}})
	add(7, job.Entry{Kind: job.KindNote, Text: "The brightness knob crackles; cleaned."})
	return j
}

func given(t testing.TB, j *job.Job) *report.Given {
	t.Helper()
	plan, err := j.Plan(nil)
	require.NoError(t, err)
	return &report.Given{Set: j.Set(), Plan: plan, Nominal: nominal, Picture: 4. / 3, Lines: 486, System: "525"}
}

// playAll marks steps as done in the order of the plan, n of them.
func playAll(t testing.TB, j *job.Job, n int) []job.StepState {
	t.Helper()
	g := given(t, j)
	for i := range n {
		next := job.Next(g.Plan.States(j.Counting()))
		if next == nil {
			break
		}
		outcome := []job.Outcome{job.OutcomeOK, job.OutcomeOK, job.OutcomeOK, job.OutcomeOut, job.OutcomeCannot}[i%5]
		j.Entries = append(j.Entries, job.Entry{ID: len(j.Entries) + 1, Time: start().Add(8*time.Hour + time.Duration(i)*time.Minute), Kind: job.KindDone, By: "Kim",
			Done: &job.Done{Step: next.Key, Outcome: outcome, Adjusted: fmt.Sprintf("control %d", i)}})
	}
	return g.Plan.States(j.Counting())
}
