package pattern

import (
	"fmt"
	"math"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestSquareCells measures the pitch of the lines on the tube both ways, over
// the whole grid. By definition a cell is square.
func TestSquareCells(t *testing.T) {
	everyTube(t, func(t *testing.T, r *timing.Raster, aspect float64) {
		for _, spec := range []string{"crosshatch", "crosshatch down=6", "crosshatch-dots", "crosshatch down=20", "crosshatch width=400"} {
			u := onTube(t, spec, r, aspect)
			xs := u.across(rowNear(r, 0.018)).runs(0.5)
			ys := u.down(0.018).runs(0.5)
			require.Greater(t, len(xs), 4)
			require.Greater(t, len(ys), 4)
			pitch := func(list []float64) float64 { return (list[len(list)-1] - list[0]) / float64(len(list)-1) }
			assert.InDelta(t, 1, pitch(xs)/pitch(ys), 0.001, "%s: pitch across over down", spec)
			for _, list := range [][]float64{xs, ys} {
				for i := 1; i < len(list); i++ {
					assert.InDelta(t, pitch(list), list[i]-list[i-1], 1e-4, "%s: equal pitch, %d", spec, i)
				}
				assert.Equal(t, 1, len(list)%2, "%s: a line through the middle", spec)
				assert.InDelta(t, 0, list[len(list)/2], 0.2501/r.Scan.System.Height.Float64(), "%s: middle line", spec)
			}
		}
	})
}

// TestCellCounts: the options count cells; on a 4:3 screen 16 by 12 are square
// whether asked for or not.
func TestCellCounts(t *testing.T) {
	count := func(spec string, aspect float64) (across, down int) {
		u := onTube(t, spec, timing.Lookup("576i"), aspect)
		return len(u.across(rowNear(u.r, 0.015)).runs(0.5)) - 1, len(u.down(0.015).runs(0.5)) - 1
	}
	for _, c := range []struct {
		spec         string
		aspect       float64
		across, down int
	}{
		{"crosshatch marks=false", Aspect4x3, 16, 12},
		{"crosshatch marks=false across=16 down=12", Aspect4x3, 16, 12},
		{"crosshatch marks=false", Aspect16x9, 22, 12},
		{"crosshatch marks=false across=10 down=14", Aspect4x3, 10, 14},
		{"crosshatch marks=false across=48 down=24 width=150", Aspect4x3, 48, 24},
		{"crosshatch marks=false across=2 down=2", Aspect16x9, 2, 2},
	} {
		across, down := count(c.spec, c.aspect)
		assert.Equal(t, c.across, across, "%s: across", c.spec)
		assert.Equal(t, c.down, down, "%s: down", c.spec)
	}
	p := func(spec string) lattice {
		u := onTube(t, spec, timing.Lookup("480i"), Aspect4x3)
		g, err := u.view.lattice(map[string]int{"crosshatch": 0, "crosshatch across=16": 16}[spec], 12)
		require.NoError(t, err)
		return g
	}
	asked, left := p("crosshatch across=16"), p("crosshatch")
	assert.InDelta(t, left.PX, asked.PX, 1e-12, "16 cells asked for are the square ones")
}

// TestHorizontalLineRows: on interlaced rasters a horizontal line is one row
// of each field, with Single one row; all lines alike. Else one row.
func TestHorizontalLineRows(t *testing.T) {
	for _, r := range timing.Rasters() {
		for _, single := range []bool{false, true} {
			for _, spec := range []string{"crosshatch", "crosshatch-dots down=8"} {
				u := onTube(t, spec, r, Aspect4x3, func(v *View) { v.Single = single })
				column := u.down(0.018)
				var groups [][]int
				for j, y := range column.v {
					if y < 0.5 {
						require.Less(t, y, 1e-9, "row %d is neither line nor background", j)
						continue
					}
					require.InDelta(t, 1, y, 1e-9)
					if n := len(groups); n > 0 && groups[n-1][len(groups[n-1])-1] == j-1 {
						groups[n-1] = append(groups[n-1], j)
					} else {
						groups = append(groups, []int{j})
					}
				}
				require.GreaterOrEqual(t, len(groups), 9)
				for _, g := range groups {
					if !r.Scan.Interlaced() || single {
						require.Len(t, g, 1, "%s on %s", spec, r.Name)
						require.Equal(t, r.Lines[groups[0][0]].Field, r.Lines[g[0]].Field, "%s on %s: lines in one field", spec, r.Name)
						continue
					}
					require.Len(t, g, 2, "%s on %s", spec, r.Name)
					require.NotEqual(t, r.Lines[g[0]].Field, r.Lines[g[1]].Field, "%s on %s: one row of each field", spec, r.Name)
				}
			}
		}
	}
}

// TestLineIsSinSquared: an upright line is p(t) = (1 + cos(pi t/W))/2 with W
// its half-amplitude duration (common practice for 2T pulses), as long as W is
// between half and all of an edge of 296.3 ns; wider ones have a flat top and
// the same meaning of W.
func TestLineIsSinSquared(t *testing.T) {
	for _, r := range []*timing.Raster{timing.Lookup("480i"), timing.Lookup("576i"), timing.Lookup("288p")} {
		us := 1 / r.Scan.System.HeightsPerMicrosecond().Float64()
		for _, c := range []struct {
			spec  string
			ns    float64
			exact bool
		}{
			{"crosshatch", 200, true},
			{"crosshatch width=150", 150, true},
			{"crosshatch width=290", 290, true},
			{"crosshatch width=500", 500, false},
			{"crosshatch width=1000", 1000, false},
		} {
			u := onTube(t, c.spec, r, Aspect4x3)
			row := u.across(rowNear(r, 0.019))
			edges := row.crossings(0.5, -0.03, 0.03)
			require.Len(t, edges, 2, c.spec)
			assert.InDelta(t, c.ns, (edges[1]-edges[0])*us*1000, 1.5, "%s on %s: half-amplitude duration, ns", c.spec, r.Name)
			assert.InDelta(t, 0, (edges[0]+edges[1])/2*us*1000, 2.5, "%s on %s: middle, ns", c.spec, r.Name)
			if !c.exact {
				continue
			}
			for i := range row.v {
				ns := u.x(i) * us * 1000
				if math.Abs(ns) > 500 {
					continue
				}
				want := 0.0
				if math.Abs(ns) < c.ns {
					want = (1 + math.Cos(math.Pi*ns/c.ns)) / 2
				}
				assert.InDelta(t, want, row.v[i], 1e-9, "%s on %s at %.1f ns", c.spec, r.Name, ns)
			}
		}
	}
}

// TestHardLines: with hard edges every upright line is the same whole number
// of samples; 200 ns are 2.7 of them at 13.5 MHz.
func TestHardLines(t *testing.T) {
	u := onTube(t, "crosshatch marks=false", timing.Lookup("240p"), Aspect4x3, func(v *View) { v.Edge = [3]float64{} })
	row, n, runs := u.luma.Row(rowNear(u.r, 0.018)), 0, 0
	for _, y := range append(append([]float64(nil), row...), 0) {
		switch {
		case y == 1:
			n++
		case y != 0:
			require.Fail(t, "a sample that is neither line nor background", "%v", y)
		case n > 0:
			require.Equal(t, 3, n, "samples of line %d", runs)
			n, runs = 0, runs+1
		}
	}
	assert.Equal(t, 17, runs)
}

// TestFewRows: a crosshatch has two kinds of rows, ticks make two more.
func TestFewRows(t *testing.T) {
	for _, r := range timing.Rasters() {
		assert.Len(t, onTube(t, "crosshatch marks=false", r, Aspect4x3).luma.Rows, 2, r.Name)
		assert.Len(t, onTube(t, "crosshatch", r, Aspect4x3).luma.Rows, 4, r.Name)
	}
}

// TestGridNotes: lines outside a narrow and low raster are named, side by side.
func TestGridNotes(t *testing.T) {
	r := *timing.Lookup("480i")
	r.Name = "part"
	r.Start, r.Width = r.Start.Add(timing.Int(40)), 650
	r.Lines = r.Lines[30:460]
	u := onTube(t, "crosshatch", &r, Aspect4x3)
	assert.Equal(t, []string{
		"One grid line lies wholly or partly above the first row of raster part.",
		"One grid line lies wholly or partly below the last row of raster part.",
		"One grid line lies wholly or partly left of the first sample of raster part.",
		"One grid line lies wholly or partly right of the last sample of raster part.",
	}, u.scene.Notes)
	r.Lines = r.Lines[60:]
	u = onTube(t, "crosshatch", &r, Aspect4x3)
	assert.Contains(t, u.scene.Notes, "3 grid lines lie wholly or partly above the first row of raster part.")
	for _, whole := range timing.Rasters() {
		assert.Empty(t, onTube(t, "crosshatch", whole, Aspect4x3).scene.Notes, "%s shows the whole default grid", whole.Name)
	}
}

func TestCrosshatchRefuses(t *testing.T) {
	for spec, want := range map[string]string{
		"crosshatch width=1000 across=48":             "width: lines of 1000 ns leave too little of cells of 1032 ns; use a width up to 344, or fewer cells across",
		"dots size=2 across=48":                       "size: dots of 2 % fill cells of 2.61 % of the picture height; use smaller dots or fewer cells",
		"crosshatch-dots down=24 size=2":              "size: dots of 2 % fill cells of 3.7 % of the picture height; use smaller dots or fewer cells",
		"crosshatch-dots across=48 width=400 size=.6": "width: lines of 400 ns leave too little of cells of 1032 ns; use a width up to 344, or fewer cells across",
	} {
		p, err := Parse(spec)
		require.NoError(t, err)
		_, err = p.Scene(anyView(t))
		assert.EqualError(t, err, want, spec)
	}
	for _, p := range []Pattern{
		&Crosshatch{Down: 12, Width: 200, Color: "mauve", Background: "black"},
		&Dots{Down: 12, Size: 1, Color: "white", Background: "mauve"},
		&CrosshatchDots{Down: 7, Width: 200, Size: 1, Color: "white", Background: "black"},
		&Circles{Down: 12, Inner: 1, Outer: 2, Color: "", Background: "black"},
		&SafeArea{Standard: "mine"},
	} {
		_, err := p.Scene(anyView(t))
		assert.Error(t, err, "%#v", p)
	}
}

// TestNarrowRaster lays the geometry patterns out on a lattice that shows less
// than the picture: 256 samples at 3/2 of the subcarrier and 224 lines, such
// as small devices have, with visible pixels.
func TestNarrowRaster(t *testing.T) {
	r := *timing.Lookup("240p")
	r.Name = "narrow"
	r.Clock = r.Scan.System.Subcarrier.Mul(timing.R(3, 2))
	r.Start, r.Width, r.Lines = timing.Int(64), 256, r.Lines[8:232]
	for _, e := range crosshatchEntries {
		for _, edges := range []Edges{Hard, Shaped} {
			for _, aspect := range []float64{Aspect4x3, Aspect16x9} {
				v := NewView(&r, colorimetry.RGB8, frame.S444, edges)
				v.Aspect = aspect
				checkScene(t, e.Name, v, frame.S444, fmt.Sprint(r.Name, edges))
			}
		}
		u := onTube(t, e.Name, &r, Aspect4x3)
		assert.NotEmpty(t, u.scene.Notes, "%s: what is not shown", e.Name)
	}
	u := onTube(t, "safe-area", &r, Aspect4x3)
	assert.Len(t, u.scene.Notes, 4, "every side is cut: %q", u.scene.Notes)
}
