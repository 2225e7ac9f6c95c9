package crosscheck

import (
	"bytes"
	"math"
	"testing"

	"backporch/internal/format"
	"backporch/internal/oracle"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The tests of this file measure where things stand in the codes that the
// converter reads out of a file, in microseconds after 0H and analog lines.

// codesOf returns the planes of a 10-bit 4:2:2 file as read by the converter.
func codesOf(t *testing.T, spec string, r *timing.Raster) (planes [3][][]float64) {
	t.Helper()
	b := shot{spec: spec, raster: r, choice: format.Choice{Name: "v210"}}.bytes(t)
	s := oracle.Stream{Format: "v210", W: r.Width, H: r.Height(), Data: bytes.NewReader(b)}
	n := oracle.ReadCodes(t, s, func(_ int, c *oracle.Codes) {
		for i, p := range c.Plane {
			for k := range c.H[i] {
				row := make([]float64, c.W[i])
				for x := range row {
					row[x] = float64(p[k*c.W[i]+x])
				}
				planes[i] = append(planes[i], row)
			}
		}
	})
	require.Equal(t, 1, n)
	return planes
}

// crossing returns where a row passes halfway from one level to another between
// samples from and to, by a straight line through two samples; NaN if nowhere.
func crossing(row []float64, from, to int, a, b float64) float64 {
	middle := (a + b) / 2
	for i := from; i < to; i++ {
		if (row[i]-middle)*(row[i+1]-middle) <= 0 && row[i] != row[i+1] {
			return float64(i) + (middle-row[i])/(row[i+1]-row[i])
		}
	}
	return math.NaN()
}

// TestBarEdges: the seven transitions of full-field bars pass their middle at
// eighths of the shown part of the analog line. On 13.5 MHz rasters that is
// the whole of it (SMPTE 170M-2004 table 2: 9.2 us to 1.5 us before the next
// 0H; ITU-R BT.1700: 10.5 to 62.5 us).
//
// Rounding a code turns a middle by up to half a code of the step's height, and
// a straight line stands for the cosine: 3 ns together for the least step of
// luma, 75 codes. Chroma has half the samples and twice the edges.
func TestBarEdges(t *testing.T) {
	for _, r := range rasters() {
		t.Run(r.Name, func(t *testing.T) {
			planes := codesOf(t, "bars-full", r)
			g := geometryOf(r)
			j := r.Height() / 2
			for n := 1; n < 8; n++ {
				want := g.left + (g.right-g.left)*float64(n)/8
				place := want*13.5 - g.start
				for c, plane := range planes {
					row, at, across, tolerance := plane[j], place, 1.0, 0.003
					if c > 0 {
						at, across, tolerance = place/2, 2, 0.006
					}
					from, to := int(at)-6, int(at)+7
					a, b := row[from], row[to]
					if math.Abs(a-b) < 20 {
						continue // this component hardly changes here
					}
					got := crossing(row, from, to, a, b)
					us := (got*across + g.start) / 13.5
					assert.InDelta(t, want, us, tolerance, "edge %d, component %d", n, c)
				}
			}
		})
	}
}

// TestEdgeTime: the edge from yellow to cyan is a raised cosine, four luma
// samples of 74.07 ns wide in luma and four chroma samples in chroma, which
// makes 175 ns and 350 ns from 10 to 90 %. Each sample on the edge is turned
// back into its place on the cosine; a code of rounding moves it by up to 1 %.
func TestEdgeTime(t *testing.T) {
	for _, r := range rasters() {
		planes := codesOf(t, "bars-full set=100/0/100/0", r)
		g := geometryOf(r)
		place := (g.left+(g.right-g.left)*2/8)*13.5 - g.start
		for c, across := range []float64{1, 2} {
			row, at := planes[c][r.Height()/2], place/across
			from, to := int(at)-6, int(at)+7
			a, b := row[from], row[to]
			var u []float64 // of the samples on the edge, 0 to 1
			for i := from; i <= to; i++ {
				if part := (row[i] - a) / (b - a); part > 0.05 && part < 0.95 {
					u = append(u, math.Acos(1-2*part)/math.Pi)
				}
			}
			require.GreaterOrEqual(t, len(u), 3, "%s, component %d", r.Name, c)
			for i := 1; i < len(u); i++ {
				assert.InDelta(t, 0.25, u[i]-u[i-1], 0.008, "%s, component %d: a quarter of the edge from sample to sample", r.Name, c)
			}
			width := across / 13.5 * float64(len(u)-1) / (u[len(u)-1] - u[0])
			assert.InDelta(t, 0.1749*across, 0.5903*width, 0.003*across, "%s, component %d: us from 10 to 90 %%", r.Name, c)
		}
	}
}

// TestCenterMark: the lines through the middle of a crosshatch, and the mark of
// the safe-area picture, stand in the middle of the analog picture on every
// raster, so a mark of 240p lies over that of 480i. Horizontally within 5 ns;
// vertically within half a row, because rows cannot be had in halves.
func TestCenterMark(t *testing.T) {
	for _, spec := range []string{"crosshatch marks=false", "safe-area"} {
		for _, r := range rasters() {
			luma := codesOf(t, spec, r)[0]
			g := geometryOf(r)
			name := spec + " on " + r.Name

			// A row that only the upright line crosses, near the middle.
			below := nearest(g, r, 0.03)
			center := (g.left + g.right) / 2
			i := int(center*13.5 - g.start)
			us := (centroid(luma[below], i-10, i+11) + g.start) / 13.5
			assert.InDelta(t, center, us, 0.005, "upright line, %s", name)

			// Down a column that only the level line crosses.
			column := make([]float64, r.Height())
			x := int((center+0.03/g.heights())*13.5 - g.start)
			for k := range column {
				column[k] = luma[k][x]
			}
			k := nearest(g, r, 0)
			at := centroid(column, k-5, k+6)
			y := g.y(r, 0) + at*(g.y(r, 1)-g.y(r, 0))
			row := 1 / g.lines / float64(r.Scan.Fields)
			assert.InDelta(t, 0, y, row/2+1e-9, "level line, %s", name)
		}
	}
}

// nearest returns the row nearest to y, in picture heights.
func nearest(g geometry, r *timing.Raster, y float64) int {
	best := 0
	for k := range r.Height() {
		if math.Abs(g.y(r, k)-y) < math.Abs(g.y(r, best)-y) {
			best = k
		}
	}
	return best
}

// centroid returns the middle of what stands out of the level at both ends.
func centroid(v []float64, from, to int) float64 {
	ground := v[from]
	var sum, moment float64
	for i := from; i < to; i++ {
		sum += v[i] - ground
		moment += (v[i] - ground) * float64(i)
	}
	return moment / sum
}
