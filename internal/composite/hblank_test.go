package composite

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/testtable"
	"backporch/pattern/frame"
	"backporch/timing"
)

// flatFrame is a picture of one color on a lattice.
func flatFrame(r *timing.Raster, y, cb, cr float64) *frame.Frame {
	f := &frame.Frame{Raster: r, Sampling: frame.S444}
	for c, v := range []float64{y, cb, cr} {
		row := make([]float64, r.Width)
		for i := range row {
			row[i] = v
		}
		f.Planes[c] = frame.Plane{Rows: [][]float64{row}, Lines: make([]int32, r.Height())}
	}
	return f
}

func encode(t testing.TB, wire string, s *timing.Scan, o Options, frames int, y, cb, cr float64) *Wave {
	t.Helper()
	e, err := NewEncoder(Lookup(wire), s, o)
	require.NoError(t, err)
	var f *frame.Frame
	w, err := e.Encode(0, frames, func(r *timing.Raster, k int) (*frame.Frame, error) {
		if f == nil || f.Raster != r {
			f = flatFrame(r, y, cb, cr)
		}
		return f, nil
	})
	require.NoError(t, err)
	return w
}

// code525 is the 10-bit code of SMPTE 244M clause 4.2: 240 at blanking, 800 at
// 100 IRE.
func code525(mv float32) float64 { return math.Floor(240 + 5.6*float64(mv)*0.14 + 0.5) }

// TestHorizontalBlanking holds every word of horizontal blanking of every line
// with a burst to SMPTE 244M-2003 table 5, within one code.
func TestHorizontalBlanking(t *testing.T) {
	w := encode(t, "composite-m", timing.Scan525i, Standard, 2, 0, 0, 0)
	table := testtable.Table(t, "smpte244_hblank.csv")
	require.Len(t, table, 142) // words 768 to 909
	require.Len(t, w.Samples[0], 2*477_750)
	used := [2]int{}
	for n := range 2 {
		for line := 10; line <= 525; line++ {
			if line >= 263 && line <= 272 {
				continue
			}
			// Word 785 of the line before is the first sample of this one; words 768
			// to 784 are the end of the line before.
			at := n*477_750 + (line-1)*910
			polarity := "code10_burst_0deg"
			if w.Samples[0][at+866-785] < 0 {
				polarity = "code10_burst_180deg"
				used[1]++
			} else {
				used[0]++
			}
			for _, row := range table {
				word, err := strconv.Atoi(row["word"])
				require.NoError(t, err)
				want, err := strconv.ParseFloat(row[polarity], 64)
				require.NoError(t, err)
				got := code525(w.Samples[0][at+word-785])
				if math.Abs(got-want) > 1 {
					t.Fatalf("frame %d line %d word %d: code %v, SMPTE 244M table 5 has %v", n, line, word, got, want)
				}
			}
		}
	}
	assert.Equal(t, used[0], used[1], "both phases alike often")
}
