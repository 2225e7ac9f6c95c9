package geometry_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"backporch/internal/geometry"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const picture = 4.0 / 3

// bench is the screen of Bench A: 400 by 300 mm of glass.
func bench() geometry.Screen { return geometry.Screen{Width: 400, Height: 300, Picture: picture} }

// A warp is a raster with known errors, written from the definitions alone, in
// mm: u and v run from -1 to 1 between the edges of the picture.
type warp struct {
	width, height, right, down  float64
	linAcross, linDown          float64 // middle off halfway between the edges
	sAcross, sDown              float64 // greatest distance of a line
	left, rightIn, top, bottom  float64 // how far the middles of the sides lie inside
	trapAcross, trapDown        float64
	tilt, ortho, bowAcross, bow float64
	sColumn, sRow               float64
}

// at is where the place u, v of the picture lands on the glass of bench.
func (w warp) at(u, v float64) (x, y float64) {
	// An S is t-t^3, whose greatest value is 2/(3 sqrt 3) at 1/sqrt 3.
	s := func(t float64) float64 { return -(t - t*t*t) * 3 * math.Sqrt(3) / 2 }
	x = 200 + w.right + w.width/2*u + w.linAcross*u*u + w.sAcross*s(u)
	y = 150 + w.down + w.height/2*v + w.linDown*v*v + w.sDown*s(v)
	// The mean of both sides bends the middle column (bow), the difference
	// pulls the sides in: left side right, right side left.
	x += (1 - v*v) * ((1-u)/2*w.left - (1+u)/2*w.rightIn)
	y += (1 - u*u) * ((1-v)/2*w.top - (1+v)/2*w.bottom)
	x += (1-v*v)*w.bowAcross + u*v*w.trapAcross/4
	y += (1-u*u)*w.bow + u*v*w.trapDown/4
	// A turn moves the ends of the column against those of the row.
	x += v*w.ortho/2 - v*w.tilt/2*w.height/w.width
	y += u * w.tilt / 2
	x += w.sColumn * s(v)
	y += w.sRow * s(u)
	return x, y
}

// grid reads a crosshatch of columns by rows, spread to 0.9 of the picture.
func (w warp) grid(columns, rows int, noise func() float64) (list []geometry.Point) {
	for j := range rows {
		for i := range columns {
			u, v := 0.9*(2*float64(i)/float64(columns-1)-1), 0.9*(2*float64(j)/float64(rows-1)-1)
			x, y := w.at(u, v)
			list = append(list, geometry.Point{X: u * picture / 2, Y: v / 2, Across: x + noise(), Down: y + noise()})
		}
	}
	return list
}

func still() float64 { return 0 }

func straightRaster() warp { return warp{width: 408, height: 306} }

func TestOneErrorAtATime(t *testing.T) {
	const pct = 100.0 / 306
	for _, tt := range []struct {
		name string
		set  func(*warp)
		key  string
		want float64
		also map[string]float64 // what else the same error is, by definition
	}{
		{"centering right", func(w *warp) { w.right = 6 }, "center-right", 6 * pct, map[string]float64{"overscan-left": -2 / 4.08, "overscan-right": 10 / 4.08}},
		{"centering down", func(w *warp) { w.down = -3 }, "center-down", -3 * pct, map[string]float64{"overscan-top": 6 / 3.06, "overscan-bottom": 0}},
		{"linearity across", func(w *warp) { w.linAcross = 4 }, "linearity-across", 4 * pct, map[string]float64{"overscan-left": 0, "overscan-right": 8 / 4.08}},
		{"linearity down", func(w *warp) { w.linDown = -4 }, "linearity-down", -4 * pct, map[string]float64{"overscan-top": 7 / 3.06, "overscan-bottom": -1 / 3.06}},
		{"S across", func(w *warp) { w.sAcross = 3 }, "s-across", 3 * pct, nil},
		{"S down", func(w *warp) { w.sDown = -3 }, "s-down", -3 * pct, nil},
		{"left side in", func(w *warp) { w.left = 5 }, "pincushion-left", 5 * pct, map[string]float64{"bow-across": 2.5 * pct, "center-right": 2.5 * pct, "overscan-left": -1 / 4.08}},
		{"right side out", func(w *warp) { w.rightIn = -5 }, "pincushion-right", -5 * pct, map[string]float64{"bow-across": 2.5 * pct, "center-right": 2.5 * pct, "overscan-right": 9 / 4.08}},
		{"top in", func(w *warp) { w.top = 4 }, "pincushion-top", 4 * pct, map[string]float64{"bow-down": 2 * pct, "center-down": 2 * pct, "overscan-top": -1 / 3.06}},
		{"bottom in", func(w *warp) { w.bottom = 4 }, "pincushion-bottom", 4 * pct, map[string]float64{"bow-down": -2 * pct, "center-down": -2 * pct, "overscan-bottom": -1 / 3.06}},
		{"bottom wider", func(w *warp) { w.trapAcross = 8 }, "trapezoid-across", 8 * pct, nil},
		{"right taller", func(w *warp) { w.trapDown = 8 }, "trapezoid-down", 8 * pct, nil},
		{"turned", func(w *warp) { w.tilt = 6 }, "tilt", 6 * pct, nil}, // orthogonality stays 0
		{"parallelogram", func(w *warp) { w.ortho = 6 }, "orthogonality", 6 * pct, nil},
		{"bow of the column", func(w *warp) { w.bowAcross = 3 }, "bow-across", 3 * pct,
			map[string]float64{"pincushion-left": 3 * pct, "pincushion-right": -3 * pct, "center-right": 3 * pct, "overscan-left": 1 / 4.08, "overscan-right": 7 / 4.08}},
		{"bow of the row", func(w *warp) { w.bow = 3 }, "bow-down", 3 * pct,
			map[string]float64{"pincushion-top": 3 * pct, "pincushion-bottom": -3 * pct, "center-down": 3 * pct, "overscan-top": 0, "overscan-bottom": 6 / 3.06}},
		{"S of the column", func(w *warp) { w.sColumn = 3 }, "s-column", 3 * pct, nil},
		{"S of the row", func(w *warp) { w.sRow = 3 }, "s-row", 3 * pct, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w := straightRaster()
			tt.set(&w)
			f, err := geometry.Analyze(w.grid(7, 7, still), bench())
			require.NoError(t, err)
			assert.Less(t, f.RMS, 1e-9)
			assert.InDelta(t, 306, f.PictureMM, 0.01+math.Abs(w.bow)+math.Abs(w.top)+math.Abs(w.bottom))
			k := f.PictureMM / 306 // sides that bend make the middle column shorter, and per cents greater
			want := map[string]float64{tt.key: tt.want}
			for key, v := range tt.also {
				want[key] = v
			}
			for _, term := range f.Terms {
				switch term.Key {
				case "width", "height", "width-screen", "height-screen", "aspect", "spacing-across", "spacing-down", "worst-inside", "worst-outside":
					continue
				case "overscan-left", "overscan-right", "overscan-top", "overscan-bottom":
					if want[term.Key] == 0 && !contains(tt.also, term.Key) {
						continue // 1 % all round of a raster of 408 by 306
					}
				}
				require.True(t, term.Known, term.Key)
				tol := 1e-9 + math.Abs(want[term.Key])*math.Abs(1-1/k)*1.0001
				if len(term.Key) > 8 && term.Key[:8] == "overscan" {
					tol = 0.03 // of the width as it is with a side pulled in
				}
				assert.InDelta(t, want[term.Key], term.Value, tol, term.Key)
			}
		})
	}
}

// TestTopAlone bends the top row in by 2 % of the picture height and leaves the
// middle row and the bottom straight: by hand, 6 mm of 300 at the top and nothing
// anywhere else. A bend that stops sooner than a parabola still comes out nearer
// to 2 % than to 1 %, and leaves the bottom within half of a per cent.
func TestTopAlone(t *testing.T) {
	for _, tt := range []struct {
		name string
		bend func(v float64) float64
		tol  float64 // per cent
	}{
		{"parabola", func(v float64) float64 { return v * (v - 1) / 2 }, 0.005}, // 6 mm is 2.00 % of a picture that stays 300 high
		{"upper half alone", func(v float64) float64 { return math.Pow(min(v, 0), 2) }, 0.5},
	} {
		t.Run(tt.name, func(t *testing.T) {
			points := warp{width: 400, height: 300}.grid(9, 9, still)
			for i := range points {
				u, v := 2*points[i].X/picture, 2*points[i].Y
				points[i].Down += 6 * (1 - u*u) * tt.bend(v)
			}
			f, err := geometry.Analyze(points, bench())
			require.NoError(t, err)
			for key, want := range map[string]float64{"pincushion-top": 2, "pincushion-bottom": 0, "bow-down": 0} {
				require.True(t, f.Term(key).Known, key)
				assert.InDelta(t, want, f.Term(key).Value, tt.tol+want*math.Abs(300/f.PictureMM-1), key)
			}
		})
	}
}

func contains(m map[string]float64, k string) bool { _, ok := m[k]; return ok }

// TestMixtures adds up random errors and reading noise: every term must be
// within five standard errors of what went in.
func TestMixtures(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	within, all := 0, 0
	for range 300 {
		r := func(most float64) float64 { return most * (2*rng.Float64() - 1) }
		w := warp{width: 400 + r(20), height: 300 + r(15), right: r(8), down: r(8), linAcross: r(6), linDown: r(6), sAcross: r(4), sDown: r(4),
			left: r(5), rightIn: r(5), top: r(5), bottom: r(5), trapAcross: r(8), trapDown: r(8), tilt: r(6), ortho: r(5), bowAcross: r(3), bow: r(3), sColumn: r(2), sRow: r(2)}
		f, err := geometry.Analyze(w.grid(9, 7, func() float64 { return 0.5 * rng.NormFloat64() }), bench())
		require.NoError(t, err)
		mm := func(v float64) float64 { return 100 * v / f.PictureMM }
		left, _ := w.at(-1, 0)
		right, _ := w.at(1, 0)
		_, top := w.at(0, -1)
		_, bottom := w.at(0, 1)
		for key, want := range map[string]float64{
			"width": right - left, "height": bottom - top, "width-screen": (right - left) / 4, "height-screen": (bottom - top) / 3,
			"aspect":        100 * ((right-left)/(bottom-top)/picture - 1),
			"overscan-left": -left / (right - left) * 100, "overscan-right": (right - 400) / (right - left) * 100,
			"overscan-top": -top / (bottom - top) * 100, "overscan-bottom": (bottom - 300) / (bottom - top) * 100,
			"linearity-across": mm(w.linAcross), "linearity-down": mm(w.linDown), "s-across": mm(w.sAcross), "s-down": mm(w.sDown),
			"pincushion-left": mm(w.left + w.bowAcross), "pincushion-right": mm(w.rightIn - w.bowAcross), "pincushion-top": mm(w.top + w.bow), "pincushion-bottom": mm(w.bottom - w.bow),
			"trapezoid-across": mm(w.trapAcross), "trapezoid-down": mm(w.trapDown), "tilt": mm(w.tilt),
			"bow-across": mm(w.bowAcross + (w.left-w.rightIn)/2), "bow-down": mm(w.bow + (w.top-w.bottom)/2), "s-column": mm(w.sColumn), "s-row": mm(w.sRow),
			"corner-across": 0, "corner-down": 0,
		} {
			term := f.Term(key)
			require.NotNil(t, term, key)
			require.True(t, term.Known, key)
			require.InDelta(t, want, term.Value, 5*term.Sigma+0.02, key)
			all++
			if math.Abs(want-term.Value) < term.Sigma {
				within++
			}
		}
		require.InDelta(t, 0.5, f.RMS, 0.15)
	}
	// A standard error covers 68 % of normal noise; ours is the greater of the
	// stated one and of what the fit leaves, so it covers a little more.
	assert.InDelta(t, 0.68, float64(within)/float64(all), 0.04)
}

func TestOnlyWhatThePointsShow(t *testing.T) {
	w := straightRaster()
	only := func(list []geometry.Point, keep func(p geometry.Point) bool) (out []geometry.Point) {
		for _, p := range list {
			if keep(p) {
				out = append(out, p)
			}
		}
		return out
	}
	blind := func(list []geometry.Point, acrossToo bool) []geometry.Point {
		for i := range list {
			if acrossToo {
				list[i].Across = math.NaN()
			} else {
				list[i].Down = math.NaN()
			}
		}
		return list
	}
	row := func(n int) []geometry.Point {
		return blind(only(w.grid(n, 3, still), func(p geometry.Point) bool { return math.Abs(p.Y) < 1e-9 }), false)
	}
	column := func(n int) []geometry.Point {
		return blind(only(w.grid(3, n, still), func(p geometry.Point) bool { return math.Abs(p.X) < 1e-9 }), true)
	}
	size := []string{"width", "width-screen", "center-right", "overscan-left", "overscan-right"}
	for _, tt := range []struct {
		name   string
		points []geometry.Point
		known  []string
	}{
		{"two lines across", []geometry.Point{row(3)[0], row(3)[2]}, size},
		{"three lines across", row(3), append([]string{"linearity-across", "spacing-across"}, size...)},
		{"five lines across", row(5), append([]string{"linearity-across", "s-across", "spacing-across"}, size...)},
		{"middle row and middle column", append(row(5), column(5)...), append([]string{"linearity-across", "s-across", "spacing-across", "linearity-down", "s-down", "spacing-down",
			"height", "height-screen", "aspect", "center-down", "overscan-top", "overscan-bottom", "worst-inside"}, append([]string{}, size...)...)},
		{"one point", row(3)[1:2], nil},
		{"three by three", w.grid(3, 3, still), []string{"width", "height", "width-screen", "height-screen", "aspect", "center-right", "center-down", "overscan-left", "overscan-right", "overscan-top", "overscan-bottom",
			"linearity-across", "linearity-down", "pincushion-left", "pincushion-right", "pincushion-top", "pincushion-bottom", "trapezoid-across", "trapezoid-down", "tilt", "orthogonality", "bow-across", "bow-down",
			"spacing-across", "spacing-down"}},
		{"corners", []geometry.Point{w.grid(3, 3, still)[0], w.grid(3, 3, still)[2], w.grid(3, 3, still)[6], w.grid(3, 3, still)[8]},
			[]string{"width", "height", "width-screen", "height-screen", "aspect", "center-right", "center-down", "overscan-left", "overscan-right", "overscan-top", "overscan-bottom",
				"trapezoid-across", "trapezoid-down", "tilt", "orthogonality"}},
		// On a diagonal a line that is too far right may be wide or may lean.
		{"a diagonal", []geometry.Point{w.grid(3, 3, still)[0], w.grid(3, 3, still)[4], w.grid(3, 3, still)[8]}, nil},
		// With the corners and the middle alone a middle that lies right may be a
		// bow or a linearity error; the sizes do not depend on which.
		{"corners and the middle", []geometry.Point{w.grid(3, 3, still)[0], w.grid(3, 3, still)[2], w.grid(3, 3, still)[4], w.grid(3, 3, still)[6], w.grid(3, 3, still)[8]},
			[]string{"width", "height", "width-screen", "height-screen", "aspect", "center-right", "center-down", "trapezoid-across", "trapezoid-down", "tilt", "orthogonality"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f, err := geometry.Analyze(tt.points, bench())
			require.NoError(t, err)
			var known []string
			for _, term := range f.Terms {
				if term.Known && term.Key != "worst-inside" && term.Key != "worst-outside" {
					known = append(known, term.Key)
					assert.Greater(t, term.Sigma, 0.0, term.Key)
				} else if !term.Known {
					assert.Zero(t, term.Value, term.Key)
				}
			}
			var want []string
			for _, k := range tt.known {
				if k != "worst-inside" {
					want = append(want, k)
				}
			}
			assert.ElementsMatch(t, want, known)
		})
	}
}

// TestByHand is worked on paper: five columns a quarter of the picture's height
// apart read 40, 118, 200, 286, 376 mm. Spacings 78, 82, 86, 90, mean 84: the
// trade's spread is 12/84 = 14.3 %. Second differences are all 4 mm, so the
// places are 200 + 84 n + 2 n^2 exactly, n being u times 8/3: at the edges
// n = 8/3, the middle lies 2 (8/3)^2 = 14.22 mm from halfway, the width is
// 2 x 84 x 8/3 = 448 mm and S is 0.
func TestByHand(t *testing.T) {
	var points []geometry.Point
	for i, mm := range []float64{40, 118, 200, 286, 376} {
		points = append(points, geometry.Point{X: float64(i-2) * 0.25, Across: mm, Down: math.NaN()})
	}
	f, err := geometry.Analyze(points, bench())
	require.NoError(t, err)
	assert.InDelta(t, 14.2857, f.Term("spacing-across").Value, 1e-4)
	assert.InDelta(t, 448, f.Term("width").Value, 1e-9)
	assert.InDelta(t, 336, f.PictureMM, 1e-9, "448 over 4:3")
	assert.InDelta(t, 100*14.2222/336, f.Term("linearity-across").Value, 1e-4)
	assert.InDelta(t, 0, f.Term("s-across").Value, 1e-9)
	assert.Contains(t, f.Notes[0], "The height was not read")
	// Overscan: left edge 200 - 224 + 14.22 = -9.78 mm, right 438.22 mm.
	assert.InDelta(t, 100*9.7778/448, f.Term("overscan-left").Value, 1e-4)
	assert.InDelta(t, 100*38.2222/448, f.Term("overscan-right").Value, 1e-4)
}

func TestFarthestPoint(t *testing.T) {
	w := straightRaster()
	points := w.grid(5, 5, still)
	points[12].Across += 3 // the very middle
	f, err := geometry.Analyze(points, bench())
	require.NoError(t, err)
	// Of one reading in 25 the mean takes 1/25; the middle has no lever on the width.
	assert.InDelta(t, 100*3*24.0/25/306, f.Term("worst-inside").Value, 1e-6)
	assert.InDelta(t, 100*3*1.0/25/306, f.Term("worst-outside").Value, 1e-6)
	assert.Equal(t, f.Term("worst-inside").Value, f.Worst)
	require.Len(t, f.Residuals, 25)
	assert.InDelta(t, 2.88, f.Residuals[12].Right, 1e-9)
}

// A line through two points leaves nothing, and a place taken from one point
// neither: that they lie on a true raster says nothing of the picture.
func TestTooFewPointsForTheFarthest(t *testing.T) {
	all := straightRaster().grid(5, 5, still)
	across := func(list []geometry.Point) (rest []geometry.Point) {
		for _, p := range list {
			p.Down = math.NaN()
			rest = append(rest, p)
		}
		return rest
	}
	row := func(columns ...int) (list []geometry.Point) {
		for _, c := range columns {
			list = append(list, all[10+c]) // of the middle row
		}
		return across(list)
	}
	for _, tt := range []struct {
		name          string
		points        []geometry.Point
		inside, outer bool // known
	}{
		{"one crossing", all[12:13], false, false},
		{"two of the middle row", row(1, 2), false, false},
		{"its ends", row(0, 4), false, false},
		{"two crossings askew", []geometry.Point{all[6], all[18]}, false, false},
		{"three of the middle row", row(0, 2, 4), true, true},
		{"two of one column, across", across([]geometry.Point{all[2], all[12]}), true, false},
		{"all", all, true, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f, err := geometry.Analyze(tt.points, bench())
			require.NoError(t, err)
			in, out := f.Term("worst-inside"), f.Term("worst-outside")
			assert.Equal(t, tt.inside, in.Known)
			assert.Equal(t, tt.outer, out.Known)
			assert.Equal(t, tt.inside || tt.outer, !in.Few && !out.Few, "points were read where nothing is known")
			assert.Equal(t, !tt.inside && !tt.outer, strings.Contains(strings.Join(f.Notes, " "), "cannot be told: a true raster can be laid through so few points"))
		})
	}
}

func TestAWrongReadingIsNamed(t *testing.T) {
	points := straightRaster().grid(5, 5, still)
	points[7].Across += 10 // 10 mm misread on the ruler
	f, err := geometry.Analyze(points, bench())
	require.NoError(t, err)
	assert.Contains(t, fmt.Sprint(f.Notes), fmt.Sprintf("Read %g mm across at 0.00, -0.23 picture heights again: it lies 10.0 mm from what the other points say.", points[7].Across))
}

func TestAnImpossibleSizeIsSaid(t *testing.T) {
	points := straightRaster().grid(5, 5, still)
	for i := range points { // as if the lines lay closer together in the picture
		points[i].X /= 1.3
	}
	f, err := geometry.Analyze(points, bench())
	require.NoError(t, err)
	assert.Contains(t, fmt.Sprint(f.Notes), "A picture of 133 % of the screen is hardly what the set shows: compare the numbers of the columns")
	assert.NotContains(t, fmt.Sprint(f.Notes), "numbers of the rows")
}

func TestRefusals(t *testing.T) {
	p := straightRaster().grid(3, 3, still)
	mirror := append([]geometry.Point(nil), p...)
	for i := range mirror {
		mirror[i].Across = 400 - mirror[i].Across
	}
	far := append([]geometry.Point(nil), p...)
	far[0].Down = 1500
	none := []geometry.Point{{Across: math.NaN(), Down: math.NaN()}}
	for _, tt := range []struct {
		name   string
		points []geometry.Point
		s      geometry.Screen
		want   string
	}{
		{"no screen", p, geometry.Screen{Height: 300, Picture: picture}, "the width of the visible screen is 0 mm"},
		{"inches", p, geometry.Screen{Width: 15.7, Height: 11.8, Picture: picture}, "measure it on the glass, in mm"},
		{"no picture", p, geometry.Screen{Width: 400, Height: 300}, "the picture is 0 picture heights wide"},
		{"reading error", p, geometry.Screen{Width: 400, Height: 300, Picture: picture, Error: -1}, "a reading error of -1 mm"},
		{"nothing read", none, bench(), "no place was read"},
		{"nowhere", []geometry.Point{{X: math.NaN(), Across: 3}}, bench(), "outside the picture"},
		{"off the screen", far, bench(), "was read 1500 mm down, but the screen ends at 300 mm: count mm from the upper edge"},
		{"infinite", []geometry.Point{{Across: math.Inf(1)}}, bench(), "count mm from the left edge"},
		{"from the right edge", mirror, bench(), "number the columns from left to right"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := geometry.Analyze(tt.points, tt.s)
			require.ErrorContains(t, err, tt.want)
		})
	}
}

// TestWhatIsKnownIsRight leaves out crossings at random from rasters that are
// placed, sized, turned and sheared: whatever is still called known must be so.
func TestWhatIsKnownIsRight(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	known, not := 0, 0
	for range 3000 {
		r := func(most float64) float64 { return most * (2*rng.Float64() - 1) }
		w := warp{width: 400 + r(20), height: 300 + r(15), right: r(8), down: r(8), tilt: r(9), ortho: r(9)}
		all := w.grid(5, 5, still)
		var points []geometry.Point
		for range 2 + rng.IntN(6) {
			p := all[rng.IntN(len(all))]
			if rng.IntN(3) == 0 {
				p.Across = math.NaN()
			} else if rng.IntN(3) == 0 {
				p.Down = math.NaN()
			}
			points = append(points, p)
		}
		f, err := geometry.Analyze(points, bench())
		if err != nil {
			continue
		}
		mm := 100 / f.PictureMM
		for key, want := range map[string]float64{"width": w.width, "height": w.height, "tilt": w.tilt * mm, "center-right": w.right * mm, "center-down": w.down * mm,
			"overscan-left": 100 * (w.width/2 - 200 - w.right) / w.width, "overscan-bottom": 100 * (w.height/2 - 150 + w.down) / w.height,
			"linearity-across": 0, "linearity-down": 0, "s-across": 0, "trapezoid-across": 0, "trapezoid-down": 0, "bow-across": 0, "bow-down": 0, "pincushion-left": 0, "pincushion-bottom": 0} {
			if term := f.Term(key); term.Known {
				known++
				require.InDelta(t, want, term.Value, 1e-6, "%s of %v", key, points)
			} else {
				not++
			}
		}
	}
	assert.Greater(t, known, 5000)
	assert.Greater(t, not, 5000)
}

// TestNoNaN throws points of any number and place at the fit.
func TestNoNaN(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	fitted := 0
	for range 4000 {
		var points []geometry.Point
		for range rng.IntN(14) {
			p := geometry.Point{X: float64(rng.IntN(5)-2) * 0.3, Y: float64(rng.IntN(5)-2) * 0.24, Across: rng.Float64() * 400, Down: rng.Float64() * 300}
			if rng.IntN(2) == 0 { // where it should be, about
				p.Across, p.Down = 200+300*p.X+rng.NormFloat64(), 150+300*p.Y
			}
			if rng.IntN(4) == 0 {
				p.Across = math.NaN()
			}
			if rng.IntN(4) == 0 {
				p.Down = math.NaN()
			}
			points = append(points, p)
		}
		f, err := geometry.Analyze(points, bench())
		if err != nil {
			continue
		}
		fitted++
		for _, v := range append([]float64{f.RMS, f.Worst, f.PictureMM}, values(f)...) {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%v of %v", f, points)
		}
	}
	assert.Greater(t, fitted, 1000)
}

func values(f *geometry.Fit) (v []float64) {
	for _, t := range f.Terms {
		v = append(v, t.Value, t.Sigma)
	}
	for _, r := range f.Residuals {
		v = append(v, r.Right, r.Down, r.Length())
	}
	return v
}

func TestTermsSayWhatTheyAre(t *testing.T) {
	f, err := geometry.Analyze(straightRaster().grid(3, 3, still), bench())
	require.NoError(t, err)
	seen := map[string]bool{}
	for _, term := range f.Terms {
		assert.False(t, seen[term.Key], term.Key)
		seen[term.Key] = true
		assert.NotEmpty(t, term.Name, term.Key)
		assert.NotEmpty(t, term.Unit, term.Key)
		assert.NotEmpty(t, term.Means, term.Key)
		if len(term.Key) < 5 || term.Key[:5] != "worst" {
			assert.NotEmpty(t, term.Controls, term.Key)
		}
	}
	assert.Nil(t, f.Term("color"))
}
