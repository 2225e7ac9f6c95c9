package geometry_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"backporch/internal/geometry"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestZones(t *testing.T) {
	assert.Equal(t, []string{"center", "top", "bottom", "left", "right", "top-left", "top-right", "bottom-left", "bottom-right"}, geometry.ZoneNames())
	z, err := geometry.ParseZone(" Top-Left ")
	require.NoError(t, err)
	assert.Negative(t, z.U)
	assert.Negative(t, z.V)
	_, err = geometry.ParseZone("middle")
	require.EqualError(t, err, `"middle" is no zone of the screen; there are center, top, bottom, left, right, top-left, top-right, bottom-left, bottom-right`)
	// 300 mm over the 486 lines of 525: 0.617 mm; half a line width is 0.309 mm.
	assert.InDelta(t, 0.6173, geometry.LineMM(300, 486), 1e-4)
	assert.InDelta(t, 0.3086, geometry.LineWidths(0.5, geometry.LineMM(300, 486)), 1e-4)
}

// TestConvergenceByHand: red 0.3 right and 0.4 down is 0.5 mm from green; blue
// 0.3 left is 0.3 from green; between them lie 0.6 and 0.4: 0.721 mm.
func TestConvergenceByHand(t *testing.T) {
	m, err := geometry.Convergence([]geometry.Offset{
		{Zone: "top-left", Gun: "red", Right: 1.2, Down: 0.4},
		{Zone: "center", Gun: "red", Right: 0.3, Down: 0.4},
		{Zone: "center", Gun: "blue", Right: -0.3},
	}, geometry.Tube{Height: 300, Line: 0.6})
	require.NoError(t, err)
	require.Len(t, m.Zones, 2)
	assert.Equal(t, "center", m.Zones[0].Zone.Name)
	assert.Equal(t, "red-blue", m.Zones[0].Pair)
	assert.InDelta(t, 0.72111, m.Center.MM, 1e-5)
	assert.InDelta(t, 1.20185, m.Center.Lines, 1e-5)
	assert.InDelta(t, 0.24037, m.Center.Percent, 1e-5)
	assert.Equal(t, "top-left", m.At)
	assert.InDelta(t, math.Hypot(1.2, 0.4), m.Edge.MM, 1e-12)
	assert.InDelta(t, 0.9, m.Dynamic.MM, 1e-12, "red less its 0.3, 0.4 of the middle")
	assert.Equal(t, "top-left", m.DynamicAt)
	// Halfway between red and blue lies 0, 0.2: four poles carry 0.3, 0.2.
	assert.Contains(t, m.Notes[0], "red 0.30 mm right and 0.20 mm down from halfway): the pair of four-pole rings")
	assert.Contains(t, m.Notes[1], "lie 0.00 mm right and 0.20 mm down from green in the middle: the pair of six-pole rings")
	assert.Contains(t, m.Notes[len(m.Notes)-1], "high voltage")
}

// TestTiltOfTheYoke works out what a yoke beside its place does, from its fields
// alone. Near the axis a self-converging yoke's field for the lines is 1 +
// a(x^2 - y^2) upright and 2axy level (pincushion), that for the fields is
// 1 + b(y^2 - x^2) level and 2bxy upright (barrel), as a field without sources
// must be; x, y of the beams from the yoke's middle. Guns stand in a row at x of
// -1, 0 and 1.
func TestTiltOfTheYoke(t *testing.T) {
	const a, b = 0.4, -0.4
	spot := func(x, y, u, v float64) (right, down float64) {
		return u*(1+a*(x*x-y*y)) + v*2*b*x*y, v*(1+b*(y*y-x*x)) + u*2*a*x*y
	}
	offsets := func(dx, dy float64) (list []geometry.Offset) {
		for _, z := range geometry.Zones() {
			gr, gd := spot(-dx, -dy, z.U, z.V)
			for gun, x := range map[string]float64{"red": -1, "blue": 1} {
				r, d := spot(x-dx, -dy, z.U, z.V)
				list = append(list, geometry.Offset{Zone: z.Name, Gun: gun, Right: r - gr, Down: d - gd})
			}
		}
		return list
	}
	still, err := geometry.Convergence(offsets(0, 0), geometry.Tube{Height: 300})
	require.NoError(t, err)
	for _, tt := range []struct {
		name, says string
		dx, dy     float64
		terms      []string
	}{
		{"too high", "up and down", 0, -1, []string{"slope", "lean"}},
		{"too far right", "sideways", 1, 0, []string{"width", "height"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			moved, err := geometry.Convergence(offsets(tt.dx, tt.dy), geometry.Tube{Height: 300})
			require.NoError(t, err)
			for _, gun := range []string{"red-", "blue-"} {
				var changed []string
				for _, key := range []string{"width", "height", "slope", "lean", "stretch-across", "stretch-down", "bow-rows", "bow-columns"} {
					if math.Abs(moved.Term(gun+key).Value-still.Term(gun+key).Value) > 1e-9 {
						changed = append(changed, key)
						assert.Contains(t, moved.Term(gun+key).Controls, tt.says, key)
					}
				}
				assert.Equal(t, tt.terms, changed, gun)
			}
		})
	}
}

// TestDynamicTerms makes red a raster with one difference at a time.
func TestDynamicTerms(t *testing.T) {
	for _, tt := range []struct {
		key  string
		make func(u, v float64) (right, down float64)
		want float64
	}{
		{"red-width", func(u, v float64) (float64, float64) { return 0.5 * u, 0 }, 1}, // 0.5 mm at each edge
		{"red-height", func(u, v float64) (float64, float64) { return 0, -0.25 * v }, -0.5},
		{"red-slope", func(u, v float64) (float64, float64) { return 0, 0.5 * u }, 1},
		{"red-lean", func(u, v float64) (float64, float64) { return 0.5 * v, 0 }, 1},
		{"red-stretch-across", func(u, v float64) (float64, float64) { return 0.7 * u * u, 0 }, 0.7},
		{"red-stretch-down", func(u, v float64) (float64, float64) { return 0, 0.7 * v * v }, 0.7},
		{"red-bow-rows", func(u, v float64) (float64, float64) { return 0, 0.7 * u * u }, 0.7},
		{"red-bow-columns", func(u, v float64) (float64, float64) { return 0.7 * v * v, 0 }, 0.7},
		{"red-keystone-across", func(u, v float64) (float64, float64) { return 0.25 * u * v, 0 }, 1}, // 0.25 mm in each corner
		{"red-keystone-down", func(u, v float64) (float64, float64) { return 0, 0.25 * u * v }, 1},
		{"red-corners-across", func(u, v float64) (float64, float64) { return 0.6 * u * v * v, 0 }, 0.6},
		{"red-corners-down", func(u, v float64) (float64, float64) { return 0, 0.6 * u * u * v }, 0.6},
	} {
		t.Run(tt.key, func(t *testing.T) {
			var offsets []geometry.Offset
			for _, z := range geometry.Zones() {
				r, d := tt.make(z.U, z.V)
				offsets = append(offsets, geometry.Offset{Zone: z.Name, Gun: "red", Right: r + 0.1, Down: d - 0.2})
			}
			m, err := geometry.Convergence(offsets, geometry.Tube{Height: 300, Delta: true})
			require.NoError(t, err)
			assert.InDelta(t, 0.1, m.Red.Right, 1e-12)
			assert.InDelta(t, -0.2, m.Red.Down, 1e-12)
			assert.False(t, m.BlueKnown)
			for _, term := range m.Terms {
				require.True(t, term.Known, term.Key)
				want := 0.0
				if term.Key == tt.key {
					want = tt.want
				}
				assert.InDelta(t, want, term.Value, 1e-9, term.Key)
				assert.NotEmpty(t, term.Controls)
			}
			assert.NotNil(t, m.Term(tt.key))
			assert.Nil(t, m.Term("green-width"))
			assert.Zero(t, m.Center.Lines, "the height of a line was not told")
		})
	}
}

func TestFewZones(t *testing.T) {
	m, err := geometry.Convergence([]geometry.Offset{{Zone: "left", Gun: "blue", Right: 0.5}, {Zone: "right", Gun: "blue", Right: 0.7}}, geometry.Tube{Height: 300})
	require.NoError(t, err)
	assert.False(t, m.BlueKnown)
	assert.False(t, m.HasDynamic)
	assert.Contains(t, m.Notes[0], "The middle was not read")
	assert.True(t, m.Term("blue-width").Known)
	assert.InDelta(t, 0.2/0.9, m.Term("blue-width").Value, 1e-12, "0.2 mm between the zones at 0.9 of the way out")
	for _, key := range []string{"blue-height", "blue-stretch-across", "blue-lean", "blue-corners-down"} {
		assert.False(t, m.Term(key).Known, key)
	}
	corner, err := geometry.Convergence([]geometry.Offset{{Zone: "center", Gun: "red"}, {Zone: "top-left", Gun: "red", Right: 0.6}}, geometry.Tube{Height: 300})
	require.NoError(t, err)
	for _, term := range corner.Terms {
		assert.False(t, term.Known, "%s: a corner alone may be wide, or lean", term.Key)
	}
	one, err := geometry.Convergence([]geometry.Offset{{Zone: "center", Gun: "blue", Right: 0.5}}, geometry.Tube{Height: 300})
	require.NoError(t, err)
	assert.Contains(t, one.Notes[0], "Only one of red and blue was read")
	delta, err := geometry.Convergence([]geometry.Offset{{Zone: "center", Gun: "blue", Right: 0.5}}, geometry.Tube{Height: 300, Delta: true})
	require.NoError(t, err)
	assert.Contains(t, delta.Notes[0], "blue lateral magnet")
	good, err := geometry.Convergence([]geometry.Offset{{Zone: "center", Gun: "blue"}, {Zone: "center", Gun: "red"}}, geometry.Tube{Height: 300})
	require.NoError(t, err)
	assert.Empty(t, good.Notes)
}

func TestConvergenceRefusals(t *testing.T) {
	ok := geometry.Tube{Height: 300}
	for _, tt := range []struct {
		name string
		o    []geometry.Offset
		t    geometry.Tube
		want string
	}{
		{"nothing", nil, ok, "no offset was given"},
		{"zone", []geometry.Offset{{Zone: "middle", Gun: "red"}}, ok, "no zone of the screen"},
		{"gun", []geometry.Offset{{Zone: "center", Gun: "green"}}, ok, "offsets are of red or blue, from the green lines"},
		{"far", []geometry.Offset{{Zone: "center", Gun: "red", Right: 90}}, ok, "red at center lies 90, 0 mm from green"},
		{"no number", []geometry.Offset{{Zone: "center", Gun: "red", Right: math.NaN()}}, ok, "give mm on the glass"},
		{"twice", []geometry.Offset{{Zone: "center", Gun: "red"}, {Zone: "center", Gun: "red"}}, ok, "red at center was given twice"},
		{"height", []geometry.Offset{{Zone: "center", Gun: "red"}}, geometry.Tube{}, "a picture height of 0 mm"},
		{"line", []geometry.Offset{{Zone: "center", Gun: "red"}}, geometry.Tube{Height: 300, Line: 80}, "do not fit a picture 300 mm high"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := geometry.Convergence(tt.o, tt.t)
			require.ErrorContains(t, err, tt.want)
		})
	}
}

func TestConvergenceHasNoNaN(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 2000 {
		var offsets []geometry.Offset
		for _, z := range geometry.Zones() {
			for _, gun := range []string{"red", "blue"} {
				if rng.IntN(3) > 0 {
					offsets = append(offsets, geometry.Offset{Zone: z.Name, Gun: gun, Right: rng.NormFloat64(), Down: rng.NormFloat64()})
				}
			}
		}
		m, err := geometry.Convergence(offsets, geometry.Tube{Height: 300, Line: 0.6, Delta: rng.IntN(2) == 0})
		if len(offsets) == 0 {
			continue
		}
		require.NoError(t, err)
		v := []float64{m.Center.MM, m.Edge.MM, m.Edge.Lines, m.Dynamic.Percent}
		for _, term := range m.Terms {
			v = append(v, term.Value, term.Sigma)
		}
		for _, x := range v {
			require.False(t, math.IsNaN(x) || math.IsInf(x, 0))
		}
		// The static part is taken out of every zone alike: the worst of what
		// remains is no more than the worst of both together.
		if m.HasDynamic {
			require.LessOrEqual(t, m.Dynamic.MM, m.Edge.MM+m.Center.MM+1e-9)
		}
	}
}

func TestGrades(t *testing.T) {
	s, err := geometry.SumUp([]geometry.Graded{{"center", "red", 5}, {"left", "red", 3}, {"left", "blue", 4}, {"top", "blue", 3}})
	require.NoError(t, err)
	assert.Equal(t, &geometry.Grading{Worst: []geometry.Graded{{"left", "red", 3}, {"top", "blue", 3}}, Grade: 3, Mean: 3.75, Words: "slightly annoying", N: 4}, s)
	for _, tt := range []struct {
		name string
		g    []geometry.Graded
		want string
	}{
		{"none", nil, "no zone was graded"},
		{"zone", []geometry.Graded{{Zone: "rim", Grade: 3}}, `"rim" is no zone`},
		{"grade", []geometry.Graded{{Zone: "top", Grade: 6}}, "zone top: 6 is no grade: 5 imperceptible"},
		{"no grade", []geometry.Graded{{Zone: "top"}}, "0 is no grade"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := geometry.SumUp(tt.g)
			require.ErrorContains(t, err, tt.want)
		})
	}
}

func TestRegulation(t *testing.T) {
	r, err := geometry.Regulate([]geometry.Size{{Level: 1, Width: 404, Height: 303}, {Level: 0.1, Width: 400, Height: 300}, {Level: 0.5, Width: 410}}, 0)
	require.NoError(t, err)
	assert.InDelta(t, 1, r.Width, 1e-12)
	assert.InDelta(t, 1, r.Height, 1e-12)
	assert.InDelta(t, 0.25, r.WidthSigma, 1e-12, "four ends of 0.5 mm each add to 1 mm of 400")
	assert.Equal(t, 0.1, r.Dark)
	assert.Equal(t, 1.0, r.Bright)
	one, err := geometry.Regulate([]geometry.Size{{Level: 0, Width: 400}, {Level: 1, Width: 396}}, 0)
	require.NoError(t, err)
	assert.InDelta(t, -1, one.Width, 1e-12)
	assert.False(t, one.HasHeight)
	for _, tt := range []struct {
		name string
		s    []geometry.Size
		want string
	}{
		{"one", []geometry.Size{{Level: 1, Width: 400}}, "needs two levels"},
		{"same", []geometry.Size{{Level: 1, Width: 400}, {Level: 1, Width: 401}}, "all sizes were read at 100 %"},
		{"crossed", []geometry.Size{{Level: 0, Width: 400}, {Level: 1, Height: 300}}, "no direction was read at both levels"},
		{"level", []geometry.Size{{Level: 20, Width: 400}, {Level: 1, Width: 300}}, "a level of 2000 % is not between"},
		{"size", []geometry.Size{{Level: 0, Width: -400}, {Level: 1, Width: 300}}, "give mm on the glass"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := geometry.Regulate(tt.s, 0)
			require.ErrorContains(t, err, tt.want)
		})
	}
}
