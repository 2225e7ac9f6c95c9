package pattern

import (
	"testing"

	"backporch/pattern/frame"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// litRows returns the rows that are lit at the middle of a patch's width, from
// the first to the last of a stack of lines that begins with it.
func litRows(v View, f *frame.Frame, q Patch) (rows []int) {
	c := v.Shown.Comb(0)
	x := int(((q.X0+q.X1)/2 - c.X0) / c.DX)
	for j := range v.Shown.Height() * 2 / 3 {
		if f.Planes[0].Row(j)[x] > 0.3 {
			rows = append(rows, j)
		}
	}
	return rows
}

// gaps are the distances of what is shown on a tube whose field 2 is shifted up
// by so many rows: 0 is sound, 1 is no interlace.
func gaps(v View, rows []int, shift float64) (list []float64) {
	place := func(j int) float64 {
		if v.Shown.Lines[j].Field == 2 {
			return float64(j) - shift
		}
		return float64(j)
	}
	for i := 1; i < len(rows); i++ {
		list = append(list, place(rows[i])-place(rows[i-1]))
	}
	return list
}

// TestLineTwitter: lines of the first group belong to one field, so that they
// are lit at half of the field rate; those of the second to both by turns, all
// the same distance apart, which pairing makes unequal.
func TestLineTwitter(t *testing.T) {
	for _, raster := range []string{"480i", "480i-dv", "576i"} {
		s, v, at := laid(t, "line-twitter", raster)
		f := at(0)
		single := litRows(v, f, patch(t, s, "line of one row"))
		require.Greater(t, len(single), 15, raster)
		for _, j := range single {
			assert.Equal(t, v.Shown.Lines[single[0]].Field, v.Shown.Lines[j].Field, raster)
		}
		pairs := litRows(v, f, patch(t, s, "lines 3 rows apart"))
		require.Greater(t, len(pairs), 60, raster)
		for i := 1; i < len(pairs); i++ {
			assert.NotEqual(t, v.Shown.Lines[pairs[i-1]].Field, v.Shown.Lines[pairs[i]].Field, "%s row %d", raster, pairs[i])
		}
		for shift, want := range map[float64][2]float64{0: {3, 3}, 0.5: {2.5, 3.5}, 1: {2, 4}} {
			g := gaps(v, pairs, shift)
			if g[0] > g[1] {
				g = g[1:]
			}
			for i, d := range g {
				assert.Equal(t, want[i%2], d, "%s shifted by %v", raster, shift)
			}
		}
	}
}

// TestHalfLine: on interlaced rasters the lines of the left half are rows of
// field 1 and each meets a row of field 2 beside it, half the distance between
// the lines of a field away; the blocks have the rows of one field. On others
// the lines run through and the blocks are solid.
func TestHalfLine(t *testing.T) {
	for _, raster := range []string{"480i", "480i-dv", "576i", "240p", "288p"} {
		s, v, at := laid(t, "half-line", raster)
		f, l := at(0), v.sampleGrid()
		lines := patch(t, s, "lines of the halves")
		first := int((lines.Y0-l.y0)/l.dy + 0.5)
		last := int((lines.Y1-l.y0)/l.dy + 0.5)
		lit := func(share float64, j int) bool { return f.Planes[0].Row(j)[int(share*float64(l.n))] > 0.3 }
		interlaced := v.Shown.Scan.Interlaced()
		seen := 0
		for j := first; j < last; j++ {
			if lit(0.7, j) {
				seen++
			}
			if !interlaced {
				require.Equal(t, lit(0.3, j), lit(0.7, j), "%s row %d", raster, j)
				continue
			}
			if lit(0.3, j) {
				require.Equal(t, 1, v.Shown.Lines[j].Field, raster)
				require.False(t, lit(0.7, j))
				require.True(t, lit(0.7, j+1) || lit(0.7, j-1), "%s row %d", raster, j)
			}
			if lit(0.7, j) {
				require.Equal(t, 2, v.Shown.Lines[j].Field, raster)
			}
		}
		require.Greater(t, seen, 20, raster)

		block := patch(t, s, "rows of both fields")
		for j := rowNear(v.Shown, block.Y0) + 1; j < rowNear(v.Shown, block.Y1); j++ {
			field := v.Shown.Lines[j].Field
			assert.True(t, lit(0.5, j), "%s row %d", raster, j)
			assert.Equal(t, field == 1 || !interlaced, lit(0.26, j), "%s row %d", raster, j)
			assert.Equal(t, field == 2 || !interlaced, lit(0.74, j), "%s row %d", raster, j)
		}
	}
}
