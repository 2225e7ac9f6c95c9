package report_test

import (
	"bytes"
	"strings"
	"testing"

	"backporch/internal/job"
	"backporch/internal/job/report"
	"backporch/internal/table"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// On a terminal of 80 columns no line is longer, no column is so narrow that
// words are cut, and nothing that is out of tolerance is missing.
func TestTextFits(t *testing.T) {
	j := measured(t)
	for _, stage := range []job.Stage{job.Before, job.After} {
		all, bad := report.Collect(j, given(t, j), stage)
		require.Empty(t, bad)
		for _, r := range all {
			t.Run(string(r.M.What)+" "+string(stage), func(t *testing.T) {
				var b bytes.Buffer
				require.NoError(t, r.Text().Write(&b, table.Text, 80))
				for line := range strings.Lines(b.String()) {
					assert.LessOrEqual(t, len(strings.TrimRight(line, "\n")), 80, line)
					assert.NotRegexp(t, `^[a-z]{1,3}$`, line, "the rest of a word that was cut")
				}
				if r.M.What == job.WhatConvergence || r.M.What == job.WhatUniformity {
					assert.Contains(t, b.String(), "\nbottom-right ")
				}
				for _, v := range r.Judged {
					if v.Out {
						assert.Contains(t, b.String(), "OUT", v.Name)
					}
				}
				assert.NotContains(t, b.String(), "00000000", "digits of arithmetic")
			})
		}
	}
}

// Tolerances are told as people write them, wherever they are computed.
func TestPlainTolerances(t *testing.T) {
	j := measured(t)
	j.Entries[0].Set.Luminance = 90
	g := given(t, j)
	low, high := .1+.2, 1.1*90 // 0.30000000000000004 and 99.00000000000001
	for i := range g.Plan.Limits {
		switch l := &g.Plan.Limits[i]; l.Key {
		case job.LimitWhiteLuminance:
			l.Min, l.Max = &low, &high
		case job.LimitChromaPhase:
			one := 1.0
			l.Min, l.Max = nil, &one
		}
	}
	s := sheet(t, j, nil)
	s.Given = g
	text, _ := page(t, write(t, s))
	assert.Contains(t, text, "cd/m2 0.3 to 99")
	assert.Contains(t, text, "degrees up to 1 ")
	text, _ = page(t, write(t, &report.Worksheet{Name: "bench-a", Given: g, Now: start()}))
	assert.Contains(t, text, "white, luminance 0.3 to 99 cd/m2")
	assert.Contains(t, text, "chroma phase, error up to 1 degree.")
	for _, f := range []table.Format{table.Text, table.CSV, table.JSON} {
		var b bytes.Buffer
		require.NoError(t, s.Record().Write(&b, f, 80))
		assert.NotContains(t, b.String(), "00000000")
		if f == table.JSON {
			assert.Regexp(t, `"key":"gray-tracking".*"before_judged":"OUT","after_judged":"within"`, b.String())
		}
	}
}

// Commands between back quotes are set as code; one quote alone stays.
func TestCommandsAreCode(t *testing.T) {
	j := measured(t)
	g := given(t, j)
	g.Plan.Steps[0].Do, g.Plan.Steps[1].Do = "Run `backporch white <x>` now.", "One ` alone."
	b := string(write(t, &report.Worksheet{Name: "bench-a", Given: g, Now: start()}))
	assert.Contains(t, b, "Run <code>backporch white &lt;x&gt;</code> now.")
	assert.Contains(t, b, "One ` alone.")
}

// A step that was done again after something opened it says what, and a
// correction of an entry stands where the entry stood.
func TestOpenedAgain(t *testing.T) {
	j := measured(t)
	playAll(t, j, 7) // to Size
	n := len(j.Entries)
	add := func(e job.Entry) {
		e.ID, e.Time, e.Kind = len(j.Entries)+1, start().AddDate(0, 0, len(j.Entries)-n+1), job.KindDone
		j.Entries = append(j.Entries, e)
	}
	tilt := 0
	for _, e := range j.Entries {
		if e.Done != nil && e.Done.Step == "tilt" {
			tilt = e.ID
		}
	}
	require.NotZero(t, tilt)
	add(job.Entry{By: "Kim", Done: &job.Done{Step: "tilt", Adjusted: "yoke once more", Outcome: job.OutcomeOK}})
	add(job.Entry{By: "Lou", Done: &job.Done{Step: "size", Adjusted: "height a hair", Outcome: job.OutcomeOK}})
	add(job.Entry{By: "Lou", Corrects: tilt, Done: &job.Done{Step: "tilt", Adjusted: "yoke 1 mm", Outcome: job.OutcomeOK}})
	text, _ := page(t, write(t, sheet(t, j, given(t, j).Plan.States(j.Counting()))))
	first, again := strings.Index(text, "yoke 1 mm"), strings.Index(text, "Tilt (again) in order yoke once more")
	require.True(t, first > 0 && again > 0, "%d %d", first, again)
	assert.Less(t, first, again, "the correction stands where the entry stood")
	assert.Contains(t, text, "Size (again) in order height a hair. Opened again: Tilt was done again on 2026-03-03 09:00: ")
	assert.NotContains(t, text, "yoke once more. Opened again", "nothing had opened it")
}
