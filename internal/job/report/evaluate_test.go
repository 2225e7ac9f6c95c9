package report_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/job"
	"backporch/internal/job/report"
	"backporch/internal/table"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func find(t testing.TB, r *report.Result, key string) report.Judged {
	t.Helper()
	for _, j := range r.Judged {
		if j.Key == key {
			return j
		}
	}
	require.Failf(t, "no finding", "%s among %v", key, r.Judged)
	return report.Judged{}
}

// limits is a plan with tolerances of the test's own.
func limits(list ...job.Limit) *job.Plan { return &job.Plan{Limits: list} }

func v(f float64) *float64 { return &f }

// grayOf is black, half and white of a chromaticity.
func grayOf(c colorimetry.XY, white float64) []job.Light {
	var list []job.Light
	for _, level := range []float64{20, 50, 100} {
		x := c.At(white * math.Pow(level/100, 2.4))
		list = append(list, job.Light{Level: level, X: x.X, Y: x.Y, Z: x.Z})
	}
	return list
}

// Distances from D65 in du*v* at the luminance of white, computed beside EBU
// Tech 3320 v3 Annex B: white C 10.4, D93 31.6, .281 .311 27.9; dx +.001 .92, dy
// +.001 .85.
func TestWhitePoint(t *testing.T) {
	for _, tt := range []struct {
		name string
		xy   colorimetry.XY
		want float64
	}{
		{"D65", colorimetry.XY{X: .3127, Y: .3290}, 0},
		{"C", colorimetry.XY{X: .31006, Y: .31616}, 10.4},
		{"D93", colorimetry.XY{X: .2831, Y: .2971}, 31.6},
		{"9300 K + 27 MPCD", colorimetry.XY{X: .281, Y: .311}, 27.9},
		{"x a thousandth up", colorimetry.XY{X: .3137, Y: .3290}, .92},
		{"y a thousandth up", colorimetry.XY{X: .3127, Y: .3300}, .85},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m := &job.Measurement{What: job.WhatGray, Light: grayOf(tt.xy, 100)}
			r, err := report.Evaluate(m, &report.Given{Set: benchA(), Plan: limits(job.Limit{Key: job.LimitWhitePoint, Max: v(1.3), Source: "EBU Tech 3320 v3 clause 5.7"})})
			require.NoError(t, err)
			j := find(t, r, "white-point")
			assert.InDelta(t, tt.want, j.Value, 0.06) // printed to a tenth
			assert.Equal(t, tt.want > 1.3, j.Out)
			assert.Equal(t, tt.want > 1.3, r.Out())
			assert.Equal(t, "EBU Tech 3320 v3 clause 5.7", j.Source)
			assert.InDelta(t, 2.4, find(t, r, "gamma").Value, 1e-6)
		})
	}
}

// What is printed is judged: a value that rounds to the bound is within.
func TestBounds(t *testing.T) {
	for _, tt := range []struct {
		name  string
		white float64
		out   bool
	}{{"below", 69.94, true}, {"rounds to the least", 69.96, false}, {"most", 100.04, false}, {"above", 100.06, true}} {
		r, err := report.Evaluate(&job.Measurement{What: job.WhatGray, Light: grayOf(colorimetry.D65.XY, tt.white)},
			&report.Given{Set: benchA(), Plan: limits(job.Limit{Key: job.LimitWhiteLuminance, Min: v(70), Max: v(100)})})
		require.NoError(t, err)
		assert.Equal(t, tt.out, find(t, r, "white-luminance").Out, tt.name)
	}
}

// A phase of +5 degrees: cyan .8308, magenta .6799, blue .7608 of a true .75
// (computed from SMPTE 170M-2004 A.3; also in testdata/bars_blue_only.csv).
func TestChroma(t *testing.T) {
	light := func(level float64) float64 { return 20 * math.Pow(level/.75, 2.4) }
	g := &report.Given{Set: benchA(), System: "525", Plan: limits(job.Limit{Key: job.LimitChromaPhase, Min: v(-.5), Max: v(.5)}, job.Limit{Key: job.LimitChromaGain, Min: v(-1), Max: v(1)})}
	r, err := report.Evaluate(&job.Measurement{What: job.WhatChroma, Input: "video-1", Bars: bars(light(.75), light(.8308), light(.6799), light(.7608))}, g)
	require.NoError(t, err)
	phase := find(t, r, "chroma-phase")
	assert.InDelta(t, 5, phase.Value, 0.02)
	assert.True(t, phase.Out)
	assert.InDelta(t, 0, find(t, r, "chroma-gain").Value, 0.05)
	assert.False(t, find(t, r, "chroma-gain").Out)

	r, err = report.Evaluate(&job.Measurement{What: job.WhatChroma, Input: "video-1", Bars: []job.Bar{{Name: "blue", Than: "gray", Looks: "equal"}, {Name: "cyan", Than: "magenta", Looks: "brighter"}}}, g)
	require.NoError(t, err)
	assert.Contains(t, find(t, r, "chroma-gain").Text, "equal by eye, within about 0.9 %")
	assert.False(t, find(t, r, "chroma-gain").Out)
	assert.True(t, find(t, r, "chroma-phase").Out)
	assert.True(t, r.Out())
}

// A raster of known faults: the picture is moved 3 mm right on a screen 400 mm
// wide, its height is 310 mm, its right end hangs.
func TestGeometry(t *testing.T) {
	m := &job.Measurement{What: job.WhatGeometry, Rulers: rulers(0, 2), Edges: &job.Edges{Width: 400, Height: 300}}
	r, err := report.Evaluate(m, &report.Given{Set: benchA(), Nominal: nominal, Picture: 4. / 3, Plan: limits(job.Limit{Key: job.LimitCentering, Min: v(-.5), Max: v(.5)})})
	require.NoError(t, err)
	assert.InDelta(t, 310, find(t, r, "height").Value, 0.01)
	assert.InDelta(t, 310*4./3, find(t, r, "width").Value, 0.01)
	assert.InDelta(t, 100*3./310, find(t, r, "center-right").Value, 0.01)
	assert.True(t, find(t, r, "center-right").Out)
	assert.InDelta(t, 100*4./310, find(t, r, "tilt").Value, 0.01)
	// left and right hide (413.33-400)/2 -3 and +3 mm of 413.33, top and bottom 5 of 310.
	assert.InDelta(t, 100*(20./3+3)/(1240./3)-100*5./310*0-100*(20./3-3)/(1240./3), find(t, r, "overscan-spread").Value, 0.02)
	assert.NotEmpty(t, r.Words)
}

func TestGradesAndRegulation(t *testing.T) {
	g := &report.Given{Set: benchA(), Plan: limits(job.Limit{Key: job.LimitPurityGrade, Min: v(4)}, job.Limit{Key: job.LimitRegulation, Max: v(1)})}
	r, err := report.Evaluate(&job.Measurement{What: job.WhatPurity, Grades: grades("red", 3)}, g)
	require.NoError(t, err)
	assert.Equal(t, 3.0, find(t, r, "purity-grade").Value)
	assert.True(t, r.Out())
	assert.Contains(t, r.Words[0], "bottom-left in red")

	r, err = report.Evaluate(&job.Measurement{What: job.WhatRegulation, Sizes: []job.Size{{Level: 100, Width: 404, Height: 302}, {Level: 10, Width: 400, Height: 300}}}, g)
	require.NoError(t, err)
	assert.InDelta(t, 1, find(t, r, "regulation").Value, 1e-9)
	assert.False(t, r.Out(), "1.00 is within 1")
}

func TestSourceVerdicts(t *testing.T) {
	for verdict, out := range map[string]bool{"fit": false, "fit-with-correction": false, "not-fit": true, "cannot-tell": true} {
		r, err := report.Evaluate(&job.Measurement{What: job.WhatSource, Source: &job.Check{Verdict: verdict, Sentence: "as it says"}}, &report.Given{Set: benchA()})
		require.NoError(t, err)
		assert.Equal(t, out, r.Out(), verdict)
		j := find(t, r, "source")
		assert.Equal(t, verdict == "not-fit", j.Out, verdict)
		assert.Equal(t, verdict == "cannot-tell", j.Untold, verdict)
		var b bytes.Buffer
		require.NoError(t, r.Text().Write(&b, table.Text, 80))
		assert.Equal(t, verdict == "cannot-tell", strings.Contains(b.String(), "cannot be told: verdict on the source"), b.String())
		assert.Equal(t, verdict == "not-fit", strings.Contains(b.String(), "out of tolerance: verdict on the source"), b.String())
	}
}

func TestErrors(t *testing.T) {
	set := benchA()
	g := &report.Given{Set: set, Plan: limits(), Nominal: nominal, Picture: 4. / 3}
	bad := *set
	bad.White = "mauve"
	for _, tt := range []struct {
		name string
		m    job.Measurement
		g    *report.Given
		want string
	}{
		{"kind", job.Measurement{What: "smell"}, g, `no kind of measurement "smell"; use one of source, purity`},
		{"no set", job.Measurement{What: job.WhatGray}, &report.Given{}, "no description of the set"},
		{"white", job.Measurement{What: job.WhatGray}, &report.Given{Set: &bad}, `unknown white "mauve"`},
		{"no steps", job.Measurement{What: job.WhatGray}, g, "read two or more levels"},
		{"no screen", job.Measurement{What: job.WhatGeometry}, g, "size of the visible screen is missing"},
		{"no raster", job.Measurement{What: job.WhatGeometry, Edges: &job.Edges{Width: 400, Height: 300}}, &report.Given{Set: set}, "raster of the set is missing"},
		{"no input", job.Measurement{What: job.WhatChroma}, g, "say which of [video-1 component] with --input"},
		{"other input", job.Measurement{What: job.WhatChroma, Input: "video-9"}, g, `no input "video-9"`},
		{"no bars", job.Measurement{What: job.WhatChroma, Input: "video-1"}, g, "no bar was read"},
		{"some bars", job.Measurement{What: job.WhatChroma, Input: "video-1", Bars: bars(1, 1, 1, 1)[:2]}, g, "[magenta blue] is missing"},
		{"no grade", job.Measurement{What: job.WhatFocus}, g, "no zone was graded"},
		{"no offsets", job.Measurement{What: job.WhatConvergence}, g, "no offset was given"},
		{"no size", job.Measurement{What: job.WhatConvergence}, &report.Given{Set: &job.Set{}}, "give the size of the screen with the set"},
		{"no verdict", job.Measurement{What: job.WhatSource}, g, "no verdict"},
		{"one size", job.Measurement{What: job.WhatRegulation, Sizes: []job.Size{{Level: 10, Width: 400}}}, g, "needs two levels"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, err := report.Evaluate(&tt.m, tt.g)
			require.ErrorContains(t, err, tt.want)
			assert.Nil(t, r)
		})
	}
}

// Every result prints in every form, and says when it is invented.
func TestRecords(t *testing.T) {
	j := measured(t)
	g := given(t, j)
	n := 0
	for _, e := range j.Counting() {
		if e.Measure == nil {
			continue
		}
		r, err := report.Evaluate(e.Measure, g)
		require.NoError(t, err, "entry %d", e.ID)
		require.NotEmpty(t, r.Judged)
		for _, f := range []table.Format{table.Text, table.CSV, table.JSON} {
			var b bytes.Buffer
			require.NoError(t, r.Record().Write(&b, f, 100), "entry %d", e.ID)
			if f != table.CSV {
				assert.Contains(t, b.String(), "made up for an example")
			}
		}
		n++
	}
	assert.Equal(t, 18, n)
}

// Corrected readings do not count, and one bad reading does not hide the others.
func TestCollect(t *testing.T) {
	j := measured(t)
	g := given(t, j)
	all, bad := report.Collect(j, g, job.After)
	require.Empty(t, bad)
	var whats []job.What
	for _, r := range all {
		whats = append(whats, r.M.What)
		assert.NotNil(t, r.Entry)
	}
	assert.Equal(t, []job.What{job.WhatPurity, job.WhatConvergence, job.WhatGeometry, job.WhatFocus, job.WhatGuns, job.WhatGray, job.WhatUniformity, job.WhatChroma, job.WhatRegulation}, whats)

	last := len(j.Entries)
	broken := job.Measurement{What: job.WhatGray, Stage: job.After, Light: []job.Light{{Level: 50, X: 1, Y: 1, Z: 1}}}
	j.Entries = append(j.Entries, job.Entry{ID: last + 1, Time: start(), Kind: job.KindMeasure, Measure: &broken})
	all, bad = report.Collect(j, g, job.After)
	assert.Len(t, all, 8)
	require.Len(t, bad, 1)
	assert.ErrorContains(t, bad[0], "gray: the step at 50 per cent alone")
	j.Entries = append(j.Entries, job.Entry{ID: last + 2, Time: start(), Kind: job.KindNote, Text: "mistyped", Corrects: last + 1})
	all, bad = report.Collect(j, g, job.After)
	assert.Len(t, all, 9)
	assert.Empty(t, bad)
}

// A set that is said to have the phosphors of EBU Tech 3213-E is held to them;
// those of SMPTE C have blue just outside its area.
func TestStudioPhosphors(t *testing.T) {
	set := benchA()
	set.Primaries = "ebu"
	r, err := report.Evaluate(&job.Measurement{What: job.WhatGuns, Light: aligned().fields()}, &report.Given{Set: set})
	require.NoError(t, err)
	assert.Equal(t, "inside its area", find(t, r, "phosphor-area-red").Text)
	assert.True(t, find(t, r, "phosphor-area-blue").Out)
	assert.InDelta(t, .0700, find(t, r, "blue-y").Value, 0.0005, "less black it is the phosphor's own")
	r, err = report.Evaluate(&job.Measurement{What: job.WhatGuns, Light: aligned().fields()}, &report.Given{Set: benchA()})
	require.NoError(t, err)
	assert.False(t, r.Out())
}
