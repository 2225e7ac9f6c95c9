package report_test

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"backporch/internal/job"
	"backporch/internal/job/report"
	"backporch/internal/table"

	"github.com/stretchr/testify/require"
)

// thin leaves out at random what a person may have left out: measurements,
// steps, fields, zones, crossings; and makes some of the rest strange.
func thin(r *rand.Rand, j *job.Job) {
	rest := j.Entries[:1]
	for _, e := range j.Entries[1:] {
		if r.IntN(4) == 0 {
			continue
		}
		if m := e.Measure; m != nil {
			m.Invented = r.IntN(2) == 0
			m.Light, m.Rulers, m.Offsets, m.Grades = some(r, m.Light), some(r, m.Rulers), some(r, m.Offsets), some(r, m.Grades)
			m.Bars, m.Sizes = some(r, m.Bars), some(r, m.Sizes)
			for i := range m.Light {
				switch r.IntN(12) {
				case 0:
					m.Light[i].X, m.Light[i].Y, m.Light[i].Z = 0, 0, 0
				case 1:
					m.Light[i].Z *= 3
				case 2:
					m.Light[i].Y *= 1e-4
				}
			}
			for i := range m.Rulers {
				switch r.IntN(6) {
				case 0:
					m.Rulers[i].Across = nil
				case 1:
					m.Rulers[i].Down = nil
				}
			}
		}
		rest = append(rest, e)
	}
	j.Entries = rest
}

func some[T any](r *rand.Rand, list []T) (rest []T) {
	whole := r.IntN(2) == 0
	for _, v := range list {
		if whole || r.IntN(3) > 0 {
			rest = append(rest, v)
		}
	}
	return rest
}

// Whatever was read and whatever was not, the pages are whole and the records
// print; what cannot be evaluated is told.
func TestWhateverWasRead(t *testing.T) {
	seen, seeds := 0, uint64(20)
	if testing.Short() {
		seeds = 8
	}
	for seed := range seeds {
		r := rand.New(rand.NewPCG(seed, 5))
		j := measured(t)
		thin(r, j)
		g := given(t, j)
		if r.IntN(4) == 0 {
			g.Plan = nil
		}
		if r.IntN(4) == 0 {
			g.Nominal = nil
		}
		s := &report.Sheet{Job: j, Given: g}
		_, drawings := page(t, write(t, s))
		seen += drawings
		for _, f := range []table.Format{table.Text, table.CSV, table.JSON} {
			require.NoError(t, s.Record().Write(&bytes.Buffer{}, f, 100))
		}
		page(t, write(t, &report.Worksheet{Given: g}))
		other := measured(t)
		thin(r, other)
		c, err := report.Compare(&report.Side{Name: "a", Job: j, Given: g}, &report.Side{Name: "b", Job: other, Given: given(t, other)}, report.CompareOptions{})
		if err != nil {
			require.ErrorContains(t, err, "nothing was read on both")
			continue
		}
		var b bytes.Buffer
		require.NoError(t, c.Page(&b))
		page(t, b.Bytes())
		require.NoError(t, c.Record().Write(&bytes.Buffer{}, table.JSON, 0))
		for _, d := range c.Differences {
			require.NotEmpty(t, d.State)
			require.False(t, d.State == report.OnlyOne && d.Why == "", d.Key)
		}
	}
	require.Greater(t, seen, int(seeds), "most of them have drawings")
}
