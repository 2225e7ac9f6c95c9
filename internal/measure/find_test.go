package measure

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/pattern"
	"backporch/timing"
)

// found is what Find made of a shot.
type found struct {
	shot
	at, truth Place
	x, y      float64 // how far it is off, where the direction is known
}

func (s shot) find(t testing.TB) found {
	sc, v, c, truth := s.take(t)
	f := found{shot: s, truth: truth}
	r := timing.Lookup(s.raster)
	f.at = Find(c, sc, v, r)
	f.x, f.y = wrong(f.at, truth, r)
	if !f.at.XKnown {
		f.x = 0
	}
	if !f.at.YKnown {
		f.y = 0
	}
	return f
}

func (f found) off() float64 { return max(f.x, f.y) }

func (f found) String() string {
	return fmt.Sprintf("%v: off %.3f samples, %.3f rows; sigma %.3f %.3f, sure %.3f, score %.3f, known %v %v", f.shot, f.x, f.y, f.at.SigmaX, f.at.SigmaY, f.at.Sure, f.at.Score, f.at.XKnown, f.at.YKnown)
}

// spread logs the distribution of errors: it is what a person wants to see.
func spread(t *testing.T, name string, list []found) {
	if len(list) == 0 {
		return
	}
	var x, y []float64
	for _, f := range list {
		x, y = append(x, f.x), append(y, f.y)
	}
	slices.Sort(x)
	slices.Sort(y)
	q := func(v []float64, p float64) float64 { return v[int(p*float64(len(v)-1))] }
	t.Logf("%-34s %4d shots; samples off: half %.3f, 90 %% %.3f, 95 %% %.3f, most %.3f; rows: %.3f, %.3f, %.3f, %.3f", name, len(list),
		q(x, .5), q(x, .9), q(x, .95), q(x, 1), q(y, .5), q(y, .9), q(y, .95), q(y, 1))
}

// places are patterns that say where they lie in both directions, each in a way
// of its own.
func places() []string {
	return []string{"circles", "focus-field", "tv-lines", "count", "vectors", "crosshatch", "safe-area", "bars-rp219", "one-to-one", "line-pairs"}
}

// everyPattern lists the catalogue.
func everyPattern() (list []string) {
	for _, e := range pattern.All() {
		list = append(list, e.Name)
	}
	return list
}

// TestFindNominal: a capture sample by sample is found to be one, with every
// fault of levels, and with noise.
func TestFindNominal(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	faults := []string{"", "squeezed", "stretched", "gain", "setup", "phase", "swapped"}
	var list []found
	for i, name := range everyPattern() {
		for k, raster := range []string{"480i", "576i", "240p"} {
			r := timing.Lookup(raster)
			s := shot{spec: name, raster: raster, w: r.Width, h: r.Height(), lattice: lattice{0, 1, 0, 1},
				fault: faults[(i+k)%len(faults)], noise: 0.01, seed: uint64(i*3 + k)}
			f := s.find(t)
			list = append(list, f)
			most := 0.25
			if s.fault == "stretched" || name == "chroma-steps" {
				most = 0.55 // edges that are cut have their middles elsewhere; chroma alone is coarse
			}
			if f.at.SigmaX < 0.5 {
				assert.Less(t, f.x, most, f.String())
			}
			if f.at.SigmaY < 0.5 {
				assert.Less(t, f.y, most, f.String())
			}
		}
	}
	spread(t, "nominal, faults, noise 1 %", list)
}

// analog is a capture of an analog signal: another clock within 3 %, another
// start, rows one for one.
func analog(rnd *rand.Rand, name, raster string) shot {
	r := timing.Lookup(raster)
	return shot{spec: name, raster: raster, w: r.Width, h: r.Height(), seed: rnd.Uint64(),
		lattice: lattice{U0: rnd.Float64()*40 - 20, DU: 0.97 + 0.06*rnd.Float64(), V0: float64(rnd.IntN(13) - 6), DV: 1}}
}

// scaled is a capture that a converter scaled, cropped or put into black.
func scaled(rnd *rand.Rand, name, raster string) shot {
	r := timing.Lookup(raster)
	size := [][2]int{{720, 480}, {704, 480}, {640, 480}, {720, 576}, {768, 576}, {720, 486}, {1440, 1080}, {1920, 1080}}[rnd.IntN(8)]
	s := shot{spec: name, raster: raster, w: size[0], h: size[1], seed: rnd.Uint64()}
	k := 0.78 + 0.5*rnd.Float64() // up to 22 % missing, or shrunk by as much
	s.DU = float64(r.Width) / float64(s.w) * k
	s.DV = float64(r.Height()) / float64(s.h) * k * (0.97 + 0.06*rnd.Float64())
	if s.w == 1920 { // pillars
		s.DU = float64(r.Width) / 1440 * min(k, 1)
	}
	middle := func(n int, d, m float64) float64 {
		return (m-1)/2 - d*float64(n-1)/2 + (rnd.Float64()-0.5)*0.06*m
	}
	s.U0, s.V0 = middle(s.w, s.DU, float64(r.Width)), middle(s.h, s.DV, float64(r.Height()))
	return s
}

// TestFindSampled: shifted, scaled and cropped captures of a seeded set are
// found within 0.2 sample and row at the edges of the picture without noise,
// and a few tenths with it and faults of levels.
func TestFindSampled(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("some 200 searches")
	}
	faults := []string{"squeezed", "gain", "setup", "phase", "swapped", "stretched"}
	for _, kind := range []struct {
		name   string
		make   func(*rand.Rand, string, string) shot
		raster []string
	}{{"clock and start", analog, []string{"480i", "576i", "240p"}}, {"scaled", scaled, []string{"480i", "576i"}}} {
		rnd := rand.New(rand.NewPCG(11, 1))
		var clean, dirty []found
		for i, name := range places() {
			for k := range 6 {
				s := kind.make(rnd, name, kind.raster[(i+k)%len(kind.raster)])
				clean = append(clean, s.find(t))
				if s.noise, s.fault = 0.01*float64(1+k%2), faults[(i+k)%len(faults)]; k < 3 {
					dirty = append(dirty, s.find(t))
				}
			}
		}
		spread(t, kind.name+", clean", clean)
		spread(t, kind.name+", faults, noise", dirty)
		assert.GreaterOrEqual(t, share(clean, 0.2), 0.85, kind.name)
		assert.GreaterOrEqual(t, share(dirty, 0.4), 0.8, kind.name)
		for _, f := range append(clean, dirty...) {
			if f.at.Sure > 0.9 && f.off() > 1 {
				t.Logf("sure and wrong: %v", f)
			} else if f.off() > 0.4 {
				t.Logf("off: %v", f)
			}
		}
	}
}

// share is how many are off by no more than that.
func share(list []found, most float64) float64 {
	n := 0
	for _, f := range list {
		if f.off() <= most {
			n++
		}
	}
	return float64(n) / float64(len(list))
}

// TestFindSure: what is said to be sure is right as often as that, on all
// patterns, with random geometry, noise and faults, of a seed that nothing was
// adjusted on.
func TestFindSure(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("some 200 searches")
	}
	checkSure(t, rand.New(rand.NewPCG(4049, 31)), 6)
}

func checkSure(t *testing.T, rnd *rand.Rand, rounds int) {
	faults := []string{"", "squeezed", "gain", "setup", "phase", "swapped", "stretched", "gamma"}
	bins := []float64{0, 0.3, 0.6, 0.9, 0.98, 1.01}
	n, right, said := make([]float64, len(bins)), make([]float64, len(bins)), make([]float64, len(bins))
	for _, name := range everyPattern() {
		for k := range rounds {
			raster := []string{"480i", "576i"}[rnd.IntN(2)]
			s := analog(rnd, name, raster)
			if k%2 == 1 {
				s = scaled(rnd, name, raster)
			}
			s.fault, s.noise = faults[rnd.IntN(len(faults))], 0.02*rnd.Float64()
			f := s.find(t)
			if !f.at.XKnown && !f.at.YKnown {
				continue
			}
			b := 0
			for f.at.Sure >= bins[b+1] {
				b++
			}
			n[b]++
			said[b] += f.at.Sure
			if f.off() < 1 {
				right[b]++
			} else if f.at.Sure > 0.9 {
				t.Logf("sure and wrong: %v", f)
			}
		}
	}
	for b := range bins[:len(bins)-1] {
		t.Logf("sure %.2f to %.2f: %4.0f, said %.3f, right %.3f", bins[b], bins[b+1], n[b], said[b]/max(n[b], 1), right[b]/max(n[b], 1))
	}
	sure, ok := n[3]+n[4], right[3]+right[4]
	require.Greater(t, sure, 50.0)
	assert.GreaterOrEqual(t, ok/sure, 0.9, "of those that are sure to 90 %% or more")
	unsure := n[0] + n[1]
	assert.Less(t, right[0]+right[1], 0.8*unsure+2, "those that are not sure are not simply right")
}

// TestFindUnknown: what a pattern cannot tell is not told, and the usual place
// stands there.
func TestFindUnknown(t *testing.T) {
	for _, tt := range []struct {
		spec string
		x, y bool
	}{{"flat", false, false}, {"bars-full", true, false}, {"staircase", true, false}, {"crosshatch", true, true}} {
		s := shot{spec: tt.spec, raster: "480i", w: 720, h: 480, lattice: lattice{0, 1, 0, 1}, noise: 0.01}
		f := s.find(t)
		assert.Equal(t, [2]bool{tt.x, tt.y}, [2]bool{f.at.XKnown, f.at.YKnown}, f.String())
		x, y := wrong(f.at, f.truth, timing.Lookup("480i"))
		assert.Less(t, math.Max(x, y), 0.2, tt.spec)
	}
	// With black around it the edges of the picture are to be seen.
	s := shot{spec: "bars-full", raster: "480i", w: 720, h: 480, lattice: lattice{-60, 1.2, -40, 1.2}}
	f := s.find(t)
	assert.True(t, f.at.XKnown && f.at.YKnown, f.String())
	assert.Less(t, f.off(), 0.3, f.String())
}

// TestFindOther: a picture of another pattern is no picture of this one.
func TestFindOther(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	for _, pair := range [][2]string{{"circles", "bars-full"}, {"crosshatch", "circles"}, {"bars-eg1", "crosshatch"}, {"vectors", "tv-lines"}} {
		s := shot{spec: pair[0], raster: "480i", w: 720, h: 480, lattice: lattice{0, 1, 0, 1}, noise: 0.01}
		_, v, c, _ := s.take(t)
		o := s
		o.spec = pair[1]
		scene, _, _, _ := o.take(t)
		at := Find(c, scene, v, timing.Lookup("480i"))
		assert.Less(t, at.Sure, 0.3, "%v found as %s, score %.3f", pair[0], pair[1], at.Score)
	}
}

// TestFindRaster: a picture on a known lattice is not searched.
func TestFindRaster(t *testing.T) {
	s := shot{spec: "circles", raster: "480i", w: 720, h: 480, lattice: lattice{9, 1, 4, 1}}
	sc, v, c, _ := s.take(t)
	c.Raster = timing.Lookup("480i")
	assert.Equal(t, Nominal(c.Raster), Find(c, sc, v, c.Raster))
}

func BenchmarkFind(b *testing.B) {
	for _, name := range []string{"bars-eg1", "crosshatch", "circles", "zone-plate", "multiburst"} {
		for _, k := range []struct {
			kind string
			lattice
		}{{"nominal", lattice{0, 1, 0, 1}}, {"search", lattice{-20.5, 1.07, -12, 1.05}}} {
			b.Run(name+"/480i "+k.kind, func(b *testing.B) {
				s := shot{spec: name, raster: "480i", w: 720, h: 480, lattice: k.lattice, noise: 0.005}
				sc, v, c, _ := s.take(b)
				b.ReportAllocs()
				for b.Loop() {
					Find(c, sc, v, timing.Lookup("480i"))
				}
			})
		}
	}
}
