package report_test

import (
	"bytes"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"backporch/colorimetry"
	"backporch/internal/job"
	"backporch/internal/job/report"
	"backporch/internal/table"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// one is a job with one reading of gray steps.
func one(name, instrument string, light []job.Light, later time.Duration) *job.Job {
	set := benchA()
	set.Label = name
	return &job.Job{Name: name, Entries: []job.Entry{{ID: 1, Time: start(), Kind: job.KindSet, Set: set},
		{ID: 2, Time: start().Add(later), Kind: job.KindMeasure, Measure: &job.Measurement{What: job.WhatGray, Stage: job.After, Instrument: instrument, Light: light}}}}
}

func side(t testing.TB, j *job.Job) *report.Side {
	return &report.Side{Name: j.Name, Job: j, Given: given(t, j)}
}

func difference(t testing.TB, c *report.Comparison, key string) report.Difference {
	t.Helper()
	for _, d := range c.Differences {
		if d.Key == key {
			return d
		}
	}
	require.Failf(t, "no difference", "%s", key)
	return report.Difference{}
}

// noisy reads a tube with a meter that repeats to 0.3 % and moves X, Y, Z
// together for the most part, so that chromaticity repeats to some 0.0003.
func noisy(r *rand.Rand, list []job.Light) []job.Light {
	for i := range list {
		all := 1 + 0.003*r.NormFloat64()
		list[i].X *= all * (1 + 0.0006*r.NormFloat64())
		list[i].Y *= all * (1 + 0.0006*r.NormFloat64())
		list[i].Z *= all * (1 + 0.0006*r.NormFloat64())
	}
	return list
}

// The same tube read twice differs in hardly anything; what is called a
// difference is one in twenty at the most, as twice the deviation promises.
func TestSameTubeTwice(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	differ, all := 0, 0
	for range 30 {
		c, err := report.Compare(side(t, one("bench-a", "meter 1", noisy(r, aligned().gray()), 0)), side(t, one("bench-b", "meter 1", noisy(r, aligned().gray()), 0)), report.CompareOptions{})
		require.NoError(t, err)
		for _, d := range c.Differences {
			all++
			if d.State == report.Differs {
				differ++
			}
		}
	}
	assert.Less(t, float64(differ)/float64(all), 0.06)
	assert.Greater(t, all, 900)
}

// Two sets whose whites are off by the same amount to opposite sides have the
// same distance from the target, and yet differ.
func TestOppositeWhites(t *testing.T) {
	uv := colorimetry.D65.UV1976()
	a := colorimetry.UV{U: uv.U + 0.003, V: uv.V}.XY1976()
	b := colorimetry.UV{U: uv.U - 0.003, V: uv.V}.XY1976()
	c, err := report.Compare(side(t, one("bench-a", "meter 1", grayOf(a, 100), 0)), side(t, one("bench-b", "meter 1", grayOf(b, 100), 0)), report.CompareOptions{})
	require.NoError(t, err)
	assert.Equal(t, report.Noise, difference(t, c, "white-point").State)
	d := difference(t, c, "whites-apart")
	assert.Equal(t, report.Differs, d.State)
	assert.InDelta(t, 0.006, d.Value, 1e-6)
	assert.True(t, c.Differ())
}

// Between two meters less can be told than with one: the assumption is 2 % and
// 0.002 u'v' of each (common practice).
func TestTwoMeters(t *testing.T) {
	a, b := grayOf(colorimetry.D65.XY, 100), grayOf(colorimetry.D65.XY, 97)
	c, err := report.Compare(side(t, one("bench-a", "meter 1", a, 0)), side(t, one("bench-b", "Meter 1", b, 0)), report.CompareOptions{})
	require.NoError(t, err)
	assert.Equal(t, report.Differs, difference(t, c, "white-luminance").State)
	assert.InDelta(t, -3, difference(t, c, "white-luminance").Value, 1e-9)
	for _, instrument := range []string{"meter 2", ""} {
		c, err = report.Compare(side(t, one("bench-a", "meter 1", a, 0)), side(t, one("bench-b", instrument, b, 0)), report.CompareOptions{})
		require.NoError(t, err)
		assert.Equal(t, report.Noise, difference(t, c, "white-luminance").State)
		assert.Contains(t, strings.Join(c.Notes, "\n"), "not read with one and the same named instrument")
		assert.Equal(t, report.Noise, difference(t, c, "gamma").State)
	}
}

func TestYearApart(t *testing.T) {
	c, err := report.Compare(side(t, one("bench-a", "meter 1", aligned().gray(), 0)), side(t, one("bench-a", "meter 1", untouched().gray(), 365*24*time.Hour)), report.CompareOptions{})
	require.NoError(t, err)
	assert.Contains(t, strings.Join(c.Notes, "\n"), "365 days apart; what the instrument itself has drifted")
	assert.True(t, c.Differ())
}

func TestUnlikeTargets(t *testing.T) {
	b := one("bench-b", "meter 1", aligned().gray(), 0)
	b.Entries[0].Set.White = "D93"
	c, err := report.Compare(side(t, one("bench-a", "meter 1", aligned().gray(), 0)), side(t, b), report.CompareOptions{})
	require.NoError(t, err)
	d := difference(t, c, "white-point")
	assert.Equal(t, report.OnlyOne, d.State)
	assert.Contains(t, d.Why, "bench-a is held to D65 and bench-b to D93")
	assert.Equal(t, report.Noise, difference(t, c, "whites-apart").State)
}

func TestNothingInCommon(t *testing.T) {
	b := measured(t)
	kept := b.Entries[:1]
	for _, e := range b.Entries {
		if e.Measure != nil && e.Measure.What == job.WhatFocus {
			kept = append(kept, e)
		}
	}
	b.Entries = kept
	_, err := report.Compare(side(t, one("bench-a", "", aligned().gray(), 0)), side(t, b), report.CompareOptions{})
	require.EqualError(t, err, "nothing was read on both: bench-a has gray steps, bench-a has focus; take the same readings on both with `backporch job measure`")
}

// A difference that the source at hand cannot show is marked, one that it shows
// is not, and one that it shows coarsely is marked below its step.
func TestBlind(t *testing.T) {
	a, b := measured(t), measured(t)
	for _, tt := range []struct {
		name   string
		blind  report.Blind
		key    string
		hidden bool
	}{
		{"not at all", report.Blind{Quantity: "gamma", Why: "It has few grays.", Way: "Video."}, "gamma", true},
		{"below its step", report.Blind{Quantity: job.LimitChromaPhase, Less: 5, Why: "Coarse.", Way: "Video."}, "chroma-phase", true},
		{"above its step", report.Blind{Quantity: job.LimitChromaPhase, Less: 1, Why: "Coarse.", Way: "Video."}, "chroma-phase", false},
		{"another", report.Blind{Quantity: job.LimitPeaking, Why: "Slow.", Way: "Video."}, "chroma-phase", false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, err := report.Compare(&report.Side{Name: "bench-a:before", Job: a, Given: given(t, a), Stage: job.Before}, &report.Side{Name: "bench-b", Job: b, Given: given(t, b)},
				report.CompareOptions{Blind: []report.Blind{tt.blind}})
			require.NoError(t, err)
			d := difference(t, c, tt.key)
			require.Equal(t, report.Differs, d.State)
			assert.Equal(t, tt.hidden, d.Blind != nil)
			var text bytes.Buffer
			require.NoError(t, c.Record().Write(&text, table.JSON, 0))
			assert.Equal(t, tt.hidden, strings.Contains(text.String(), `"hides":true`))
			assert.Contains(t, text.String(), tt.blind.Why)
		})
	}
}

func TestComparePage(t *testing.T) {
	j := measured(t)
	c, err := report.Compare(&report.Side{Name: "bench-a:before", Job: j, Given: given(t, j), Stage: job.Before}, &report.Side{Name: "bench-a:after", Job: j, Given: given(t, j), Stage: job.After},
		report.CompareOptions{Cautions: job.AllCautions(), Program: "backporch", Now: start()})
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, c.Page(&b))
	text, drawings := page(t, b.Bytes())
	assert.Equal(t, 7, drawings)
	for _, want := range []string{"Bench A, before against Bench A, after", "INVENTED", "Whites apart:", "What differs", "Within what readings can tell",
		"The source: read on bench-a:before only; read it on bench-a:after, too", "assumed: a meter repeats to 0.3 %", "Cautions"} {
		assert.Contains(t, text, want)
	}
	for _, f := range []table.Format{table.Text, table.CSV, table.JSON} {
		require.NoError(t, c.Record().Write(&bytes.Buffer{}, f, 100))
	}
	assert.Contains(t, b.String(), `content: "Bench A\00002c  before against`)
}
