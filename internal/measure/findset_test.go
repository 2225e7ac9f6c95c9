package measure

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// A shot is a capture that a test makes: how its samples and rows lie on those
// of the raster, and what else is done to it. It is made without anything of
// this package: across, the scene is sampled on a raster of another clock and
// start; down, rows are interpolated with four taps.
type shot struct {
	spec, raster string
	w, h         int
	lattice
	fault string
	noise float64
	swap  bool // rows 2k and 2k+1
	seed  uint64
}

func (s shot) String() string {
	return fmt.Sprintf("%s/%s %dx%d u %.2f %.4f v %.2f %.4f %s noise %g swap %v", s.spec, s.raster, s.w, s.h, s.U0, s.DU, s.V0, s.DV, s.fault, s.noise, s.swap)
}

// exact rounds the lattice to what a raster can say, so that truth is exact.
func (s *shot) exact() (clock, start timing.Ratio) {
	r := timing.Lookup(s.raster)
	const grain = 5000 // Hz; samples have the grain of 1/64
	clock = timing.Int(int64(math.Round(r.Clock.Float64()/s.DU/grain)) * grain)
	s.DU = r.Clock.Float64() / clock.Float64()
	// Sample 0 lies Start + U0 samples of the raster after 0H.
	start = timing.R(int64(math.Round((r.Start.Float64()+s.U0)/s.DU*64)), 64)
	s.U0 = start.Float64()*s.DU - r.Start.Float64()
	return clock, start
}

// take returns the scene, the capture, and the true place.
func (s *shot) take(t testing.TB) (*pattern.Scene, pattern.View, *Picture, Place) {
	r := timing.Lookup(s.raster)
	p, err := pattern.Parse(s.spec)
	require.NoError(t, err)
	v := pattern.NewView(r, colorimetry.YCbCr8, frame.S422, pattern.Shaped)
	sc, err := p.Scene(v)
	require.NoError(t, err)
	clock, start := s.exact()
	wide := *r
	wide.Clock, wide.Start, wide.Width = clock, start, s.w
	f, err := pattern.Sample(sc, &wide, frame.S444, 0)
	require.NoError(t, err)
	c := &Picture{Width: s.w, Height: s.h, Across: 1, Down: 1, Frames: 1, Fields: r.Scan.Interlaced()}
	rnd := rand.New(rand.NewPCG(s.seed, 7))
	for i := range c.Planes {
		c.Planes[i] = make([]float32, s.w*s.h)
		pl := &f.Planes[i]
		at := func(k, x int) float64 {
			u := s.U0 + s.DU*float64(x)
			inside := min((u+0.5)/s.DU, (float64(r.Width)-0.5-u)/s.DU) + 0.5 // of the sample, where the picture ends
			if inside <= 0 || k < 0 || k >= r.Height() {
				return 0
			}
			return pl.Row(k)[x] * min(inside, 1)
		}
		for j := range s.h {
			y := s.V0 + s.DV*float64(j)
			k := int(math.Floor(y))
			tt := y - float64(k)
			w := [4]float64{-0.5*tt + tt*tt - 0.5*tt*tt*tt, 1 - 2.5*tt*tt + 1.5*tt*tt*tt, 0.5*tt + 2*tt*tt - 1.5*tt*tt*tt, -0.5*tt*tt + 0.5*tt*tt*tt}
			to := j
			if s.swap {
				to = j ^ 1
			}
			row := c.Planes[i][to*s.w : (to+1)*s.w]
			for x := range row {
				var sum float64
				for q := range w {
					if w[q] != 0 {
						sum += w[q] * at(k-1+q, x)
					}
				}
				row[x] = float32(sum)
			}
		}
	}
	s.spoil(c, rnd)
	truth := s.lattice.place(r)
	return sc, v, c, truth
}

// spoil does to the levels what a chain does, adds noise, and rounds to codes
// of 8 bits.
func (s *shot) spoil(c *Picture, rnd *rand.Rand) {
	for i := range c.Planes[0] {
		y, b, r := float64(c.Planes[0][i]), float64(c.Planes[1][i]), float64(c.Planes[2][i])
		switch s.fault {
		case "squeezed": // full range shown as limited: 16 to 235 of 255
			y, b, r = (y*219+16)/255, b*224/255, r*224/255
		case "stretched":
			y = min(max((y*255-16)/219, 0), 1)
			b, r = b*255/224, r*255/224
		case "gain":
			y, b, r = y*0.8, b*1.2, r*1.2
		case "setup":
			y, b, r = 0.075+0.925*y, b*0.925, r*0.925
		case "phase":
			const d = 20 * math.Pi / 180
			b, r = b*math.Cos(d)-r*math.Sin(d), b*math.Sin(d)+r*math.Cos(d)
		case "swapped":
			b, r = r, b
		case "gamma":
			// ITU-R BT.601-5 clause 3.5: R'-Y' = 1.402 CR, B'-Y' = 1.772 CB
			g := [3]float64{y + 1.402*r, y - (0.299*1.402*r+0.114*1.772*b)/0.587, y + 1.772*b}
			for k := range g {
				g[k] = math.Copysign(math.Pow(math.Abs(g[k]), 1.2), g[k])
			}
			y = 0.299*g[0] + 0.587*g[1] + 0.114*g[2]
			b, r = (g[2]-y)/1.772, (g[0]-y)/1.402
		}
		for k, x := range [3]float64{y, b, r} {
			x += rnd.NormFloat64() * s.noise
			if k == 0 {
				x = math.Round(x*219) / 219
			} else {
				x = math.Round(x*224) / 224
			}
			c.Planes[k][i] = float32(x)
		}
	}
}

// wrong returns how far a found place is off at the worst edge of the raster,
// in samples and rows of the capture.
func wrong(got, want Place, r *timing.Raster) (x, y float64) {
	for _, u := range []float64{0, float64(r.Width - 1)} {
		at := r.Comb(0).At(int(u))
		a, _ := got.Sample(at, 0)
		b, _ := want.Sample(at, 0)
		x = max(x, math.Abs(a-b))
	}
	for _, k := range []int{0, r.Height() - 1} {
		_, a := got.Sample(0, r.Span(k).Y)
		_, b := want.Sample(0, r.Span(k).Y)
		y = max(y, math.Abs(a-b))
	}
	return x, y
}
