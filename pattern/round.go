package pattern

import (
	"cmp"
	"math"
	"slices"

	"backporch/colorimetry"
	"backporch/timing"
)

// A ring is what lies between two circles, measured on the tube in picture
// heights; In 0 makes it a disc. Its rims are raised cosines along the radius,
// Edge wide for each component and centered on the circles; 0 is a hard rim.
type ring struct {
	In, Out float64
	Edge    [3]float64
}

// ring returns a ring whose rims are as wide as the view's edges, narrowed
// where it is thin.
func (v View) ring(in, out float64) ring {
	r := ring{In: in, Out: out}
	for c, e := range v.Edge {
		r.Edge[c] = narrowEdge(float64(e*v.stretch()), out-in)
	}
	return r
}

// cover is how much of a point r from the center belongs to the ring.
func (s ring) cover(r, edge float64) float64 {
	k := 1 - rise((r-s.Out)/edge+0.5)
	if s.In > 0 {
		k -= 1 - rise((r-s.In)/edge+0.5)
	}
	return k
}

// reach is the radius beyond which nothing of the ring is seen.
func (s ring) reach() float64 { return s.Out + max(s.Edge[0], s.Edge[1], s.Edge[2])/2 }

// Rings is the same ring around every crossing of columns X and rows Y, given
// in the coordinates of a Comb and a Span. Stretch is that of the view.
type rings struct {
	ring
	X, Y    []float64
	To      colorimetry.Signal
	Stretch float64

	flat     [3]bool    // the component is that of the ground: nothing to paint
	profiles [3]profile // of the components that are neither flat nor hard
}

func (v View) rings(r ring, xs, ys []float64, to, ground ink) rings {
	s := rings{ring: r, X: xs, Y: ys, To: to.Signal, Stretch: v.stretch()}
	for c := range s.flat {
		k := colorimetry.Component(c)
		s.flat[c] = to.Of(k) == ground.Of(k)
		if !s.flat[c] && r.Edge[c] > 0 {
			s.profiles[c] = r.profile(r.Edge[c])
		}
	}
	return s
}

// A profile is the cover of a ring as a table over the square of the radius,
// from Least on in steps of 1/Scale: no root and no cosine for a sample.
type profile struct {
	Least, Scale float64
	Cover        []float64 // 1 more than profileSteps
}

// profileSteps keeps linear interpolation within 1e-5 of the cover, except
// inside a hole that its soft rim fills.
const profileSteps = 4096

func (s ring) profile(edge float64) profile {
	inner, outer := max(0, s.In-edge/2), s.Out+edge/2
	p := profile{Least: float64(inner * inner), Cover: make([]float64, profileSteps+1)}
	span := float64(outer*outer) - p.Least
	p.Scale = profileSteps / span
	for i := range p.Cover {
		p.Cover[i] = s.cover(math.Sqrt(p.Least+float64(float64(i)/profileSteps*span)), edge)
	}
	return p
}

// at returns the cover at the square of a radius.
func (p *profile) at(sq float64) float64 {
	u := float64((sq - p.Least) * p.Scale)
	if u < 0 || u >= profileSteps {
		return 0 // the hole, or beyond the ring
	}
	i := int(u)
	return blend(p.Cover[i], p.Cover[i+1], u-float64(i))
}

// Points and weights of Gauss-Legendre quadrature of degree 7 over -1/2 to
// 1/2 (Abramowitz and Stegun 25.4.30, table 25.4): a smooth rim's mean over
// the height of a row.
var gaussPoints = [4]float64{-0.8611363115940526 / 2, -0.3399810435848563 / 2, 0.3399810435848563 / 2, 0.8611363115940526 / 2}

const (
	gaussOuter = 0.3478548451374538 / 2
	gaussInner = 0.5 - gaussOuter
)

// hardRows is how many chords stand for the height of a row at a hard rim.
const hardRows = 16

// over paints the rings over what a row holds. A sample is the mean over the
// height of its row, and with hard rims over its width too.
func (s *rings) over(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span) {
	if s.flat[c] {
		return
	}
	for _, cy := range s.Y {
		// Equal distances must give equal rows to the last bit, above and below
		// and at every crossing: places are rounded to 1e-12 of a picture height.
		d := math.Round(math.Abs(y.Y-cy)*(1<<40)) / (1 << 40)
		switch {
		case d-y.DY/2 >= s.Out+s.Edge[c]/2:
		case s.Edge[c] > 0:
			s.soft(dst, c, x, d, y.DY)
		default:
			s.hard(dst, c, x, d, y.DY)
		}
	}
}

// soft paints one row of rings whose centers lie d above or below it.
func (s *rings) soft(dst []float64, c colorimetry.Component, x timing.Comb, d, dy float64) {
	edge, to, p := s.Edge[c], s.To.Of(c), &s.profiles[c]
	var sq [4]float64
	for i, at := range gaussPoints {
		q := d + float64(at*dy)
		sq[i] = float64(q * q)
	}
	outer := chord(s.Out+edge/2, max(0, d-dy/2)) / s.Stretch
	hollow := 0.0 // within it nothing is seen
	if s.In > 0 {
		hollow = chord(s.In-edge/2, d+dy/2) / s.Stretch
	}
	dab := func(cx, from, until float64) {
		for i := firstAt(x, cx+from, len(dst)); i < len(dst); i++ {
			dx := x.At(i) - cx
			if dx > until {
				return
			}
			dx = float64(dx * s.Stretch)
			dx2 := float64(dx * dx)
			k := float64(gaussOuter*(p.at(dx2+sq[0])+p.at(dx2+sq[3]))) +
				float64(gaussInner*(p.at(dx2+sq[1])+p.at(dx2+sq[2])))
			lay(&dst[i], k, to)
		}
	}
	for _, cx := range s.X {
		if hollow > 0 {
			dab(cx, -outer, -hollow)
			dab(cx, hollow, outer)
		} else {
			dab(cx, -outer, outer)
		}
	}
}

// hard is soft for rims without width.
func (s *rings) hard(dst []float64, c colorimetry.Component, x timing.Comb, d, dy float64) {
	var out, in [hardRows]float64 // half chords
	widest := 0.0
	for i := range out {
		q := d + float64(((float64(i)+0.5)/hardRows-0.5)*dy)
		out[i] = chord(s.Out, q) / s.Stretch
		in[i] = chord(s.In, q) / s.Stretch
		widest = max(widest, out[i])
	}
	for _, cx := range s.X {
		for i := firstAt(x, cx-widest-x.DX/2, len(dst)); i < len(dst); i++ {
			a := x.At(i) - cx - x.DX/2
			if a > widest {
				break
			}
			k := 0.0
			for j := range out {
				k += overlap(a, a+x.DX, out[j]) - overlap(a, a+x.DX, in[j])
			}
			lay(&dst[i], k/(hardRows*x.DX), s.To.Of(c))
		}
	}
}

// chord returns half the chord of a circle of radius r at distance d from its
// center, 0 if there is none.
func chord(r, d float64) float64 {
	if r <= 0 {
		return 0
	}
	return math.Sqrt(max(0, float64(r*r)-float64(d*d)))
}

// firstAt returns the first sample at or right of place, at most n.
func firstAt(x timing.Comb, place float64, n int) int {
	return clampIndex(math.Ceil((place-x.X0)/x.DX), n)
}

// overlap returns how much of a to b lies within h of 0.
func overlap(a, b, h float64) float64 { return max(0, min(b, h)-max(a, -h)) }

// lay covers a sample with part k of a level; whole and no cover are exact.
func lay(dst *float64, k, to float64) {
	const whole = 1 - 1e-9
	switch {
	case k >= whole:
		*dst = to
	case k > 0:
		*dst += float64(k * (to - *dst))
	}
}

// withRings returns the bands with rings painted over them, in this order.
// Bands are cut where rings begin and end: what no ring reaches stays uniform.
// Row is the pitch of the rows; chroma of 4:2:0 reaches one of them further.
func withRings(bands []Band, row float64, list ...rings) []Band {
	var zones [][2]float64
	for i := range list {
		far := list[i].reach() + 1.5*row // zones may overlap: add skips what is done
		for _, y := range list[i].Y {
			zones = append(zones, [2]float64{y - far, y + far})
		}
	}
	slices.SortFunc(zones, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })

	var out []Band
	add := func(b Band, bottom float64) {
		if n := len(out); n == 0 || out[n-1].Bottom < bottom {
			b.Bottom = bottom
			out = append(out, b)
		}
	}
	for _, b := range bands {
		plain := b
		b.Uniform = false
		b.Paint = func(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, t int) {
			plain.Paint(dst, c, x, y, t)
			for i := range list {
				list[i].over(dst, c, x, y)
			}
		}
		for len(zones) > 0 && zones[0][0] < plain.Bottom {
			add(plain, zones[0][0])
			add(b, min(zones[0][1], plain.Bottom))
			if zones[0][1] > plain.Bottom {
				break // the rest of it lies in the next band
			}
			zones = zones[1:]
		}
		add(plain, plain.Bottom)
	}
	return out
}

// places returns the extents of the rings, for the note of what is not shown.
func (s *rings) places() (list []timing.Extent) {
	for _, y := range s.Y {
		for _, x := range s.X {
			w := s.Out / s.Stretch
			list = append(list, timing.Extent{X0: x - w, Y0: y - s.Out, X1: x + w, Y1: y + s.Out})
		}
	}
	return list
}
