package colorimetry

import (
	"fmt"
	"math"
)

// MPCD is one minimum perceptible color difference on the CIE 1960 diagram
// (secondary). Older texts of the trade count in another unit, 0.0005 of the
// diagram of Judd: 9300 K + 27 MPCD of those is not 9300 K + 27 of these.
const MPCD = 0.0004

// A Temperature is the correlated color temperature of a chromaticity and its
// distance from the Planckian locus in CIE 1960 u, v, positive above it (green).
type Temperature struct{ Kelvin, Duv float64 }

// MPCD returns the distance in minimum perceptible color differences of CIE
// 1960, 0.0004 each.
func (t Temperature) MPCD() float64 { return t.Duv / MPCD }

// farthest from the locus, in u, v, a color temperature still has a meaning (CIE
// 15, memory).
const farthest = 0.05

// The locus is searched over these reciprocal temperatures, microreciprocal
// kelvin: 100 000 K to 1000 K.
const hottest, coldest = 10, 1000

// Temperature returns the correlated color temperature, 1000 to 100 000 K: the
// black body next to c on the CIE 1960 diagram, by direct search on the locus of
// the 5 nm color-matching functions.
func (c XY) Temperature() (Temperature, error) {
	if err := c.colored(); err != nil {
		return Temperature{}, err
	}
	p := c.UV1960()
	mired, v := nearest(p)
	if mired <= hottest || mired >= coldest {
		return Temperature{}, c.beyond(mired)
	}
	t := Temperature{1e6 / mired, math.Hypot(p.U-v.U, p.V-v.V)}
	if p.V < v.V {
		t.Duv = -t.Duv
	}
	return c.within(t)
}

// nearest returns the reciprocal temperature of the black body next to p, and
// its place. Steps of 30 mired find the valley, and a golden section its bottom:
// the distance has one minimum between neighbors.
func nearest(p UV) (mired float64, v UV) {
	const step = 30
	locus := newPlanck()
	distance := func(m float64) float64 {
		b := locus.at(m)
		du, dv := p.U-b.U, p.V-b.V
		return float64(du*du) + float64(dv*dv)
	}
	best, least := 0.0, math.Inf(1)
	for m := float64(hottest); m <= coldest; m += step {
		if d := distance(m); d < least {
			best, least = m, d
		}
	}
	mired = golden(max(best-step, hottest), min(best+step, coldest), distance)
	// The ends of the range are no valleys: a golden section comes near them only.
	for _, end := range []float64{hottest, coldest} {
		if math.Abs(mired-end) < 1e-3 {
			mired = end
		}
	}
	return mired, locus.at(mired)
}

// golden returns where f is least between a and b, where it has one minimum.
func golden(a, b float64, f func(float64) float64) float64 {
	shrink := (math.Sqrt(5) - 1) / 2
	x1, x2 := b-shrink*(b-a), a+shrink*(b-a)
	f1, f2 := f(x1), f(x2)
	for range 50 { // 60 mired become 2e-9
		if f1 < f2 {
			b, x2, f2 = x2, x1, f1
			x1 = b - shrink*(b-a)
			f1 = f(x1)
		} else {
			a, x1, f1 = x1, x2, f2
			x2 = a + shrink*(b-a)
			f2 = f(x2)
		}
	}
	return (a + b) / 2
}

// colored reports what is no chromaticity at all. Points a little beyond the
// spectrum are let through: published pairs lie there.
func (c XY) colored() error {
	if c.X > 0 && c.Y > 0 && c.X < 1 && c.Y < 1 {
		return nil
	}
	return fmt.Errorf("x %.4f, y %.4f is no color, so it has no color temperature; x and y are above 0 and below 1", c.X, c.Y)
}

// within refuses a temperature that has no meaning. A thousandth more is
// allowed, so that points computed to lie at the limit are within it.
func (c XY) within(t Temperature) (Temperature, error) {
	if math.Abs(t.Duv) <= farthest*1.001 {
		return t, nil
	}
	return Temperature{}, fmt.Errorf("x %.4f, y %.4f has no color temperature: it lies %.3f off the black bodies in CIE 1960 u, v, and beyond %.2f the word has no meaning; give its distance from a white instead", c.X, c.Y, math.Abs(t.Duv), farthest)
}

// beyond is the error of what lies past an end of the locus.
func (c XY) beyond(mired float64) error {
	side := "bluer than every black body up to 100000 K"
	if mired > hottest {
		side = "redder than every black body down to 1000 K"
	}
	return fmt.Errorf("x %.4f, y %.4f has no color temperature: it is %s; give its distance from a white instead", c.X, c.Y, side)
}

// BlackBody returns the chromaticity of a black body, kelvin above 0 up to
// infinity; below 500 the numbers fade out.
func BlackBody(kelvin float64) XY { return newPlanck().at(1e6 / kelvin).XY1960() }

// planck is Planck's law seen by the standard observer, with the second constant
// at 1.4388e-2 m K (of the present 1.438777e-2 no meter tells); the first one
// cancels.
type planck struct {
	x   [81]float64    // second constant over the wavelength, 1e6 K
	bar [81][3]float64 // functions of the observer over the fourth power of it
}

func newPlanck() *planck {
	p := &planck{bar: *observer2()}
	for i := range p.x {
		micrometers := float64(shortest+i*stride) / 1000
		p.x[i] = 1.4388e-2 / micrometers
		for j := range 3 {
			p.bar[i][j] /= math.Pow(micrometers, 4)
		}
	}
	return p
}

// at returns u, v of CIE 1960. Written by reciprocal temperature the law has an
// end: at 0 mired it is that of Rayleigh and Jeans.
func (p *planck) at(mired float64) UV {
	var c XYZ
	for i, bar := range p.bar {
		power := 1.0
		if x := p.x[i] * mired; x > 0 {
			power = x / math.Expm1(x)
		}
		c.X += float64(power * bar[0])
		c.Y += float64(power * bar[1])
		c.Z += float64(power * bar[2])
	}
	d := c.X + float64(15*c.Y) + float64(3*c.Z)
	return UV{4 * c.X / d, 6 * c.Y / d}
}
