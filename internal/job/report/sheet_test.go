package report_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"backporch/internal/job"
	"backporch/internal/job/report"

	"github.com/stretchr/testify/require"
)

func TestLook(t *testing.T) {
	dir := os.Getenv("LOOK")
	if dir == "" {
		t.Skip()
	}
	j := measured(t)
	states := playAll(t, j, 12)
	var b bytes.Buffer
	s := &report.Sheet{Job: j, Given: given(t, j), States: states, Cautions: job.AllCautions(), Program: "backporch dev", Now: start().AddDate(0, 0, 1), Signal: report.Signal{Device: "a player of discs", Setup: "the player adds 7.5 IRE"}}
	require.NoError(t, s.Write(&b))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "sheet.html"), b.Bytes(), 0o644))
	b.Reset()
	w := &report.Worksheet{Name: "bench-a", Given: given(t, j), Cautions: job.AllCautions(), Program: "backporch dev", Now: start()}
	require.NoError(t, w.Write(&b))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "worksheet.html"), b.Bytes(), 0o644))
	b.Reset()
	c, err := report.Compare(&report.Side{Name: "bench-a:before", Job: j, Given: given(t, j), Stage: job.Before}, &report.Side{Name: "bench-a:after", Job: j, Given: given(t, j), Stage: job.After},
		report.CompareOptions{Blind: []report.Blind{{Quantity: "chroma-phase", Less: 20, Why: "Its palette is coarse.", Way: "A source that plays video."}}, Cautions: job.AllCautions(), Program: "backporch dev", Now: start()})
	require.NoError(t, err)
	require.NoError(t, c.Page(&b))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "compare.html"), b.Bytes(), 0o644))
	require.NoError(t, c.Record().Write(os.Stdout, 0, 120))
	require.NoError(t, s.Record().Write(os.Stdout, 0, 120))
	for _, e := range j.Counting() {
		if e.Measure != nil && e.Measure.Stage == job.After {
			r, err := report.Evaluate(e.Measure, given(t, j))
			require.NoError(t, err)
			require.NoError(t, r.Record().Write(os.Stdout, 0, 120))
		}
	}
}
