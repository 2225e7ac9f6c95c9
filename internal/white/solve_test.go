package white

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
)

// gun is the plain model of a gun: L = k max(d V + c, 0)^gamma.
type gun struct{ k, d, c, gamma float64 }

func (g gun) light(v float64) float64 { return g.k * math.Pow(max(g.d*v+g.c, 0), g.gamma) }

// off76 is the distance of a color from a white, from the definition of u', v'.
func off76(c colorimetry.XYZ, w colorimetry.White) float64 {
	uv := func(x, y, z float64) (float64, float64) { return 4 * x / (x + 15*y + 3*z), 9 * y / (x + 15*y + 3*z) }
	u, v := uv(c.X, c.Y, c.Z)
	un, vn := uv(w.X, w.Y, 1-w.X-w.Y)
	return math.Hypot(u-un, v-vn)
}

func sum(m colorimetry.Matrix, guns [3]gun, v float64) colorimetry.XYZ {
	return m.XYZ(guns[0].light(v), guns[1].light(v), guns[2].light(v))
}

// TestSolveForward: whatever the set, the moves put into the model of its guns
// give the target at every step, also at levels that were not read.
func TestSolveForward(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	targets := []string{"D65", "D93", "9300K+27MPCD", "C", "D50", "7500", "0.300,0.320"}
	for n := range 2000 {
		base := colorimetry.AllPrimaries()[[]int{0, 1, 4, 5}[r.IntN(4)]]
		for _, p := range []*colorimetry.XY{&base.R, &base.G, &base.B} {
			p.X += between(-.01, .01)
			p.Y += between(-.01, .01)
		}
		target, err := colorimetry.ParseWhite(targets[r.IntN(len(targets))])
		require.NoError(t, err)
		m := base.Matrix(target.XY)
		gamma := between(2.2, 2.8)
		var guns [3]gun
		for g := range guns {
			guns[g] = gun{k: between(70, 130), d: between(.7, 1.3), c: between(-.05, .05), gamma: gamma}
		}
		levels := []float64{.1, .9}
		if n%2 == 1 {
			levels = []float64{1, .12, .55, .3, .8}
		}
		var steps []Reading
		for _, v := range levels {
			steps = append(steps, Reading{Level: v, XYZ: sum(m, guns, v)})
		}
		o := Options{Target: target, Primaries: base, Keep: Gun(r.IntN(3)), Gamma: gamma}
		fitted := n%4 == 1
		if fitted {
			o.Gamma = 0
		}
		if n%3 == 0 { // the same by measured fields, at any luminance, with the room's light on all
			o.Black = colorimetry.XYZ{X: .1, Y: .12, Z: .11}
			for i := range steps {
				steps[i].XYZ = plus(steps[i].XYZ, o.Black)
			}
			o.Measured = &[3]colorimetry.XYZ{}
			for g, p := range []colorimetry.XY{base.R, base.G, base.B} {
				o.Measured[g] = plus(p.At(between(5, 60)), o.Black)
			}
			o.Primaries = colorimetry.Primaries{}
		}
		s, err := Solve(o, steps)
		require.NoError(t, err, "set %d", n)
		assert.Equal(t, fitted, s.Fitted)
		assert.InDelta(t, gamma, s.Gamma, 1e-5)
		after, ahead := guns, guns
		for g, move := range s.Moves {
			after[g].d *= 1 + move.Drive/100
			after[g].c += move.Cutoff / 100 * guns[g].d
			// Ahead of the drive stage: L = k (d (V + c'))^gamma.
			ahead[g].d *= 1 + move.Drive/100
			ahead[g].c = ahead[g].d * (guns[g].c/guns[g].d + move.Ahead/100)
		}
		assert.InDelta(t, 0, s.Moves[o.Keep].Drive, 1e-9, "the kept gun stays")
		assert.InDelta(t, 0, s.Moves[o.Keep].Cutoff, 1e-9, "the kept gun stays")
		for _, v := range append(levels, .2, .45, .7) {
			require.Less(t, off76(sum(m, after, v), target), 1e-6, "set %d at %g", n, v)
			require.Less(t, off76(sum(m, ahead, v), target), 1e-6, "set %d at %g, cutoff ahead of drive", n, v)
		}
		for _, p := range s.Steps {
			require.Less(t, p.OffAfter, 1e-6)
			require.InDelta(t, off76(less(p.Before, o.Black), target), p.OffBefore, 1e-9)
			require.InDelta(t, sum(m, after, p.Level).Y+o.Black.Y, p.After.Y, 1e-4*p.After.Y)
		}
	}
}

func plus(a, b colorimetry.XYZ) colorimetry.XYZ {
	return colorimetry.XYZ{X: a.X + b.X, Y: a.Y + b.Y, Z: a.Z + b.Z}
}

// TestSensitivity: SMPTE C at D65, 1 % more light of one gun, worked out
// beforehand in double precision and rounded to the digits given (calc); and
// shares of luminance.
func TestSensitivity(t *testing.T) {
	smpte, err := colorimetry.ParsePrimaries("smpte-c")
	require.NoError(t, err)
	b, err := newTube(Options{Target: colorimetry.D65, Primaries: smpte})
	require.NoError(t, err)
	slope := b.slope()
	for g, want := range []struct{ dx, dy, duv, share float64 }{
		{.00065, .00002, .00046, .2124}, {-.00001, .00103, .00067, .7011}, {-.00064, -.00105, .00066, .0866},
	} {
		l := [3]float64{1, 1, 1}
		l[g] = 1.01
		c := b.m.XYZ(l[0], l[1], l[2])
		xy, _ := c.XY()
		assert.InDelta(t, want.dx, xy.X-.3127, .000006, Gun(g))
		assert.InDelta(t, want.dy, xy.Y-.3290, .000006, Gun(g))
		assert.InDelta(t, want.duv, b.off(l), .000006, Gun(g))
		assert.InDelta(t, want.duv, .01*math.Hypot(slope[0][g], slope[1][g]), .00001, "%s by the slope", Gun(g))
		assert.InDelta(t, want.share, b.m[1][g], .00005)
	}
	// 1 % of drive is 2.42 % of light at gamma 2.4 (calc).
	assert.InDelta(t, .0242, gun{1, 1.01, 0, 2.4}.light(.8)/gun{1, 1, 0, 2.4}.light(.8)-1, .00005)
	// A cutoff error of 0.25 % of drive is 6 % of light at a step of 10 % (calc).
	assert.InDelta(t, .06, gun{1, 1, .0025, 2.4}.light(.1)/gun{1, 1, 0, 2.4}.light(.1)-1, .002)
}

// TestDriveAlone: moving only the drives at the light step leaves the shadows
// wrong, which is why both are solved for.
func TestDriveAlone(t *testing.T) {
	smpte, _ := colorimetry.ParsePrimaries("smpte-c")
	m := smpte.Matrix(colorimetry.D65.XY)
	guns := [3]gun{{100, .9, .02, 2.4}, {100, 1, 0, 2.4}, {100, 1.1, -.02, 2.4}}
	only := guns
	for g := range only {
		only[g].d = (guns[1].d*.8 + guns[1].c - guns[g].c) / .8
	}
	assert.Less(t, off76(sum(m, only, .8), colorimetry.D65), 1e-9)
	assert.Greater(t, off76(sum(m, only, .2), colorimetry.D65), .01)
	s, err := Solve(Options{Target: colorimetry.D65, Primaries: smpte, Keep: Green},
		[]Reading{{Level: .2, XYZ: sum(m, guns, .2)}, {Level: .8, XYZ: sum(m, guns, .8)}})
	require.NoError(t, err)
	assert.InDelta(t, 100*(1/.9-1), s.Moves[Red].Drive, 1e-9)
	assert.InDelta(t, -100*.02/.9, s.Moves[Red].Cutoff, 1e-9)
	assert.InDelta(t, 100*(1/1.1-1), s.Moves[Blue].Drive, 1e-9)
	assert.InDelta(t, 100*.02/1.1, s.Moves[Blue].Cutoff, 1e-9)
}

// TestWrongGamma: two steps come out whatever gamma is assumed, because equal
// light is equal by any root of it.
func TestWrongGamma(t *testing.T) {
	smpte, _ := colorimetry.ParsePrimaries("smpte-c")
	m := smpte.Matrix(colorimetry.D65.XY)
	guns := [3]gun{{100, .9, .02, 2.7}, {100, 1, 0, 2.7}, {100, 1.1, -.02, 2.7}}
	for _, gamma := range []float64{2.2, 2.4, 2.8} {
		s, err := Solve(Options{Target: colorimetry.D65, Primaries: smpte, Keep: Green, Gamma: gamma},
			[]Reading{{Level: .2, XYZ: sum(m, guns, .2)}, {Level: .8, XYZ: sum(m, guns, .8)}})
		require.NoError(t, err)
		assert.InDelta(t, 11.1, s.Moves[Red].Drive, 1.5, fmt.Sprint(gamma))
		for _, p := range s.Steps {
			assert.Less(t, p.OffAfter, 1e-9)
		}
	}
}
