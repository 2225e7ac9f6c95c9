package pattern

import (
	"math"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// slowCover is the twin of ring painting: the cover of a ring at a distance,
// straight from the definition of a raised cosine centered on each circle.
func slowCover(r, in, out, edge float64) float64 {
	side := func(radius float64) float64 { // 1 inside
		switch u := (r - radius) / edge; {
		case edge == 0 && r < radius, u < -0.5:
			return 1
		case edge == 0, u > 0.5:
			return 0
		default:
			return (1 - math.Sin(math.Pi*u)) / 2
		}
	}
	if in == 0 {
		return side(out)
	}
	return side(out) - side(in)
}

// slowSampleOf is the mean of a ring's cover over a sample: fine points down
// the row, and across it too where the rim is hard.
func slowSampleOf(x, y, w, h, stretch, in, out, edge float64) float64 {
	const fine = 16
	columns := fine
	if edge > 0 {
		columns = 1 // a soft rim is sampled at the middle, as all edges are
	}
	sum := 0.0
	for a := range fine {
		for b := range columns {
			py := y + ((float64(a)+0.5)/fine-0.5)*h
			px := x + ((float64(b)+0.5)/float64(columns)-0.5)*w
			sum += slowCover(math.Hypot(px*stretch, py), in, out, edge)
		}
	}
	return sum / float64(fine*columns)
}

// TestRingsAgainstTwin compares every sample around a ring, a dot and a thin
// circle with the twin, in luma and in chroma of all samplings.
func TestRingsAgainstTwin(t *testing.T) {
	color := ink{Signal: colorimetry.FromRGB(1, 0, 0)}
	ground := ink{Signal: colorimetry.Gray(0.1)}
	for _, name := range []string{"480i", "288p", "576i-dv"} {
		r := timing.Lookup(name)
		for _, aspect := range []float64{Aspect4x3, Aspect16x9} {
			for _, edges := range []Edges{Shaped, Fast, Hard} {
				for _, m := range []frame.Sampling{frame.S444, frame.S422, frame.Subsample420(r), frame.S411, frame.S420DV} {
					if m.Check(r) != nil {
						continue
					}
					v := NewView(r, colorimetry.YCbCr10, m, edges)
					v.Aspect = aspect
					for what, g := range map[string]ring{
						"ring":   v.ring(0.01, 0.02),
						"dot":    v.dot(0.9),
						"circle": v.ring(0.0475, 0.0525),
					} {
						all := v.rings(g, []float64{-0.1, 0.1234}, []float64{0.0321}, color, ground)
						s := still(withRings([]Band{plain(ground)}, r.Span(0).DY, all))
						f, err := Sample(s, r, m, 0)
						require.NoError(t, err)
						worst := 0.0
						for c := range f.Planes {
							worst = max(worst, worstSample(f, v, colorimetry.Component(c), g, 0.1234, 0.0321, color, ground))
						}
						// Sixteen hard chords and four soft points against 16 or 16 by 16.
						limit := 0.002
						if edges == Hard {
							limit = 0.02
						}
						assert.Less(t, worst, limit, "%s on %s, aspect %.2f, %v edges, %v", what, name, aspect, edges, m)
					}
				}
			}
		}
	}
}

// worstSample returns the greatest difference from the twin around one center.
func worstSample(f *frame.Frame, v View, c colorimetry.Component, g ring, cx, cy float64, color, ground ink) (worst float64) {
	across, down := f.Sampling.Step()
	if c == colorimetry.Y {
		across, down = 1, 1
	}
	r := f.Raster
	comb, h := r.Comb(0), r.Span(0).DY*float64(down)
	reach := 1.2*g.reach() + 0.01
	for k := range f.Planes[c].Lines {
		y := r.Span(k * down).Y
		if down == 2 {
			y = chromaY(r, f.Sampling, c, k)
		}
		if math.Abs(y-cy) > reach {
			continue
		}
		for i, got := range f.Planes[c].Row(k) {
			x := comb.At(i * across)
			if math.Abs(x-cx)*v.stretch() > reach {
				continue
			}
			part := slowSampleOf(x-cx, y-cy, comb.DX*float64(across), h, v.stretch(), g.In, g.Out, g.Edge[c])
			want := ground.Of(c) + part*(color.Of(c)-ground.Of(c))
			worst = max(worst, math.Abs(got-want))
		}
	}
	return worst
}

// TestDotIsRaisedCosine: a dot is p(r) = (1 + cos(pi r/D))/2 with D its
// diameter between half amplitudes, as round as it is across.
func TestDotIsRaisedCosine(t *testing.T) {
	everyTube(t, func(t *testing.T, r *timing.Raster, aspect float64) {
		for spec, d := range map[string]float64{"dots": 0.009, "dots size=1.5 down=8": 0.015} {
			u := onTube(t, spec, r, aspect)
			var sum, xx, yy float64
			for j := range r.Height() {
				y := u.y(j)
				for i, v := range u.luma.Row(j) {
					x := u.x(i)
					if math.Hypot(x, y) > 0.025 {
						continue
					}
					sum, xx, yy = sum+v, xx+v*x*x, yy+v*y*y
				}
			}
			// The mean over the height of a row adds the moment of a box.
			yy -= sum * u.dy() * u.dy() / 12
			assert.InDelta(t, 1, math.Sqrt(xx/yy), 0.01, "%s: width over height", spec)
			// Volume of the raised cosine: 2 pi times the integral of p(r) r dr
			// from 0 to D is pi D^2 (1/2 - 2/pi^2).
			volume := math.Pi * d * d * (0.5 - 2/(math.Pi*math.Pi))
			assert.InDelta(t, 1, sum*u.dy()*(u.x(1)-u.x(0))/volume, 0.01, "%s: light of a dot", spec)
		}
	})
}

// TestDotsOnTheCrosshatch: dots lie on the crossings of the crosshatch, and
// those between lines in the middle of the cells.
func TestDotsOnTheCrosshatch(t *testing.T) {
	for _, r := range timing.Rasters() {
		u := onTube(t, "dots", r, Aspect4x3)
		g, err := u.view.lattice(0, 12)
		require.NoError(t, err)
		hatch := onTube(t, "crosshatch", r, Aspect4x3)
		xs := hatch.across(rowNear(r, 0.018)).runs(0.5)
		dots := u.across(rowNear(r, 0)).runs(0.3)
		require.Len(t, dots, len(xs), r.Name)
		for i := range xs {
			assert.InDelta(t, xs[i], dots[i], 2e-4, "%s: dot %d", r.Name, i)
		}
		both := onTube(t, "crosshatch-dots", r, Aspect4x3)
		between := both.across(rowNear(r, g.PY/2)).runs(0.3)
		require.Len(t, between, 2*len(xs)-1, "%s: lines and dots by turns", r.Name)
		for i := 1; i < len(between); i += 2 {
			assert.InDelta(t, (xs[i/2]+xs[i/2+1])/2, between[i], 2e-4, "%s: dot in the middle of cell %d", r.Name, i/2)
		}
	}
}

// TestWithRingsCuts: bands stay in order and in one piece around rings that
// overlap, reach over cuts, and lie beyond the ends.
func TestWithRingsCuts(t *testing.T) {
	white, black := ink{Signal: colorimetry.Gray(1)}, ink{}
	at := func(y, radius float64) rings {
		v := anyView(t)
		return v.rings(v.ring(0, radius), []float64{0}, []float64{y}, white, black)
	}
	ground := row{}
	bands := []Band{ground.band(-0.2), ground.band(0), ground.band(0.01), ground.band(endless)}
	list := withRings(bands, 0.002, at(0, 0.3), at(0.1, 0.05), at(-0.9, 0.05), at(0.45, 0.02))
	checkBands(func(format string, args ...any) { t.Errorf(format, args...) }, still(list))
	uniform := func(y float64) bool { return list[bandAt(list, y)].Uniform }
	for y, want := range map[float64]bool{-1: true, -0.9: false, -0.5: true, -0.25: false, 0.005: false, 0.1: false, 0.29: false, 0.38: true, 0.45: false, 0.6: true} {
		assert.Equal(t, want, uniform(y), "at %v", y)
	}
}
