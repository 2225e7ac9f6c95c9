package pattern

import (
	"math"
	"testing"

	"backporch/colorimetry"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bigCircle measures the large circle where it meets the axes: centers of
// gravity of what lies within near of its line, right, left, below and above
// the middle.
func (u *tube) bigCircle(radius, near float64) (right, left, below, above float64) {
	row := u.across(rowNear(u.r, 0))
	// The row beside the axis meets the circle a little further in.
	offset := u.y(rowNear(u.r, 0))
	out := func(x float64) float64 { return math.Copysign(math.Hypot(x, offset), x) }
	column := u.down(0)
	return out(row.centroid(radius-near, radius+near)), out(row.centroid(-radius-near, -radius+near)),
		column.centroid(radius-near, radius+near), column.centroid(-radius-near, -radius+near)
}

// TestCircleIsRound measures the width and the height of large circles on the
// tube, at every raster. By definition their ratio is 1; the least diameter
// is over 100 rows of 240p.
func TestCircleIsRound(t *testing.T) {
	everyTube(t, func(t *testing.T, r *timing.Raster, aspect float64) {
		for _, c := range []struct {
			spec     string
			diameter float64
			near     float64 // holds the line's skirts, and no ring
		}{
			{"circles", 0.87, 0.0078},
			{"circles down=2 circle=45", 0.45, 0.02},
			{"circles down=2 circle=60 width=400", 0.6, 0.02},
		} {
			u := onTube(t, c.spec, r, aspect)
			require.Greater(t, c.diameter/u.dy(), 100.0, "rows")
			right, left, below, above := u.bigCircle(c.diameter/2, c.near)
			assert.InDelta(t, 1, (right-left)/(below-above), 0.002, "%s: width over height", c.spec)
			for side, got := range map[string]float64{"right": right, "left": -left, "below": below, "above": -above} {
				assert.InDelta(t, c.diameter/2/u.dy(), got/u.dy(), 0.05, "%s: radius %s, rows", c.spec, side)
			}
		}
	})
}

// TestSmallRings measures the edges of the ring in the middle, where they pass
// half white, against the two tolerances that they stand for.
func TestSmallRings(t *testing.T) {
	everyTube(t, func(t *testing.T, r *timing.Raster, aspect float64) {
		for _, c := range []struct {
			spec    string
			in, out float64
		}{
			{"circles circle=0", 0.01, 0.02},
			{"circles circle=0 down=6 inner=3 outer=4.5", 0.03, 0.045},
		} {
			u := onTube(t, c.spec, r, aspect)
			j := rowNear(r, 0)
			row, column := u.across(j), u.down(0)
			far := c.out + 0.01
			want := []float64{-c.out, -c.in, c.in, c.out}
			got := row.crossings(0.5, -far, far)
			require.Len(t, got, 4, "%s: edges across", c.spec)
			for i := range got {
				radius := math.Copysign(math.Hypot(got[i], u.y(j)), got[i])
				assert.InDelta(t, want[i]/u.dy(), radius/u.dy(), 0.05, "%s: edge %d across, rows", c.spec, i)
			}
			got = column.crossings(0.5, -far, far)
			require.Len(t, got, 4, "%s: edges down", c.spec)
			for i := range got {
				assert.InDelta(t, want[i]/u.dy(), got[i]/u.dy(), 0.05, "%s: edge %d down, rows", c.spec, i)
			}
		}
	})
}

// TestRingsOnTheCrosshatch: the rings lie around the crossings of the
// crosshatch with the same options, so that the lines tell the error.
func TestRingsOnTheCrosshatch(t *testing.T) {
	everyTube(t, func(t *testing.T, r *timing.Raster, aspect float64) {
		lines, rings := onTube(t, "crosshatch down=8 marks=false", r, aspect), onTube(t, "circles down=8 circle=0", r, aspect)
		// Cuts between the lines see the lines of the other direction only.
		xs := lines.across(rowNear(r, 0.03)).runs(0.5)
		ys := lines.down(0.03).runs(0.5)
		require.NotEmpty(t, xs)
		require.Len(t, ys, 9)
		column := rings.down(0)
		for _, y := range ys {
			if e := rasterExtent(r); y-0.03 < e.Y0 || y+0.03 > e.Y1 {
				continue // the raster cuts the ring
			}
			at := column.centroid(y-0.03, y+0.03)
			// A line of 240 rows lies a quarter of a field line below its place.
			assert.InDelta(t, y, at, 0.26/r.Scan.System.Height.Float64(), "ring at the height of a line")
		}
		row := rings.across(rowNear(r, 0))
		for _, x := range xs {
			assert.InDelta(t, x, row.centroid(x-0.03, x+0.03), 2e-4, "ring below a line")
		}
	})
}

// TestOverlay: a picture of 240 lines and one of 480 interlaced ones put
// center, circle and lines on the same spot of the tube.
func TestOverlay(t *testing.T) {
	for _, pair := range [][2]string{{"480i", "240p"}, {"486i", "240p-228"}, {"480i-dv", "240p-263"}, {"576i", "288p"}, {"576i-dv", "288p-313"}} {
		for _, aspect := range []float64{Aspect4x3, Aspect16x9} {
			var hatch, circle [2]*tube
			for i, name := range pair {
				r := timing.Lookup(name)
				hatch[i], circle[i] = onTube(t, "crosshatch", r, aspect), onTube(t, "circles", r, aspect)
			}
			line := 1 / hatch[0].r.Scan.System.Height.Float64()
			cross := func(u *tube) (x, y float64) {
				return u.across(rowNear(u.r, 0.02)).centroid(-0.02, 0.02), u.down(0.015).centroid(-0.02, 0.02)
			}
			x0, y0 := cross(hatch[0])
			x1, y1 := cross(hatch[1])
			assert.InDelta(t, x0, x1, 1e-9, "%v: center across", pair)
			assert.InDelta(t, y0/line, y1/line, 0.2501, "%v: center down, field lines", pair)

			var c [2][4]float64
			for i, u := range circle {
				c[i][0], c[i][1], c[i][2], c[i][3] = u.bigCircle(0.435, 0.0078)
			}
			for side := range c[0] {
				assert.InDelta(t, c[0][side]/line, c[1][side]/line, 0.05, "%v: side %d of the circle, field lines", pair, side)
			}
		}
	}
}

// TestMirroredRows: rows at the same distance above and below the middle are
// the same row of the frame, so that half of a circle is painted twice for
// nothing in no file; rows of equal rings are shared too.
func TestMirroredRows(t *testing.T) {
	u := onTube(t, "circles", timing.Lookup("486i"), Aspect4x3)
	h := u.r.Height()
	for j := range h {
		require.Equal(t, u.luma.Lines[j], u.luma.Lines[h-1-j], "rows %d and %d", j, h-1-j)
	}
	u = onTube(t, "circles circle=0", timing.Lookup("486i"), Aspect4x3)
	assert.Less(t, len(u.luma.Rows), 25, "distinct rows of 13 rows of equal rings")
}

// TestNeutralStaysNeutral: no chroma at all in white pictures.
func TestNeutralStaysNeutral(t *testing.T) {
	for _, e := range crosshatchEntries {
		u := onTube(t, e.Name, timing.Lookup("480i"), Aspect4x3)
		for c := colorimetry.CB; c <= colorimetry.CR; c++ {
			require.Len(t, u.frame.Planes[c].Rows, 1, "%s %v", e.Name, c)
			for i, got := range u.frame.Planes[c].Rows[0] {
				require.Zero(t, got, "%s %v sample %d", e.Name, c, i)
			}
		}
	}
}

// TestCircleNotes: what the raster does not show is named. The first row of
// 480i is line 23, whose upper edge lies 119 field lines above the middle of
// the picture at line 141.75, and half of 98 % of 243 lines is 119.07.
func TestCircleNotes(t *testing.T) {
	u := onTube(t, "circles circle=98", timing.Lookup("480i"), Aspect4x3)
	assert.Equal(t, []string{"One large circle lies wholly or partly above the first row of raster 480i."}, u.scene.Notes)
	u = onTube(t, "circles circle=98", timing.Lookup("486i"), Aspect4x3)
	assert.Empty(t, u.scene.Notes, "486i shows all lines")
}

func TestCirclesRefuse(t *testing.T) {
	for spec, want := range map[string]string{
		"circles inner=2 outer=2.2": "inner: a ring from 2 to 2.2 % of the picture height is too thin; use radii at least 0.4 apart",
		"circles outer=4":           "outer: rings of radius 4 % touch each other in cells of 7.82 % of the picture height; use less, or fewer cells",
	} {
		p, err := Parse(spec)
		require.NoError(t, err)
		_, err = p.Scene(anyView(t))
		assert.EqualError(t, err, want)
	}
	for spec, want := range map[string]string{
		"circles circle=12": `pattern circles: circle: "12" is neither 0 nor within 30 to 98 % of the picture height`,
		"circles down=13":   "pattern circles: down: 13 is not an even number within 2 to 24; use one that is: a line goes through the middle of the picture, with as many cells on either side",
		"circles down=x":    `pattern circles: down: "x" is not a whole number; it takes even, 2 to 24 cells`,
	} {
		_, err := Parse(spec)
		assert.EqualError(t, err, want)
	}
}
