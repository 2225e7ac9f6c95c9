package pattern

import (
	"math"

	"backporch/colorimetry"
	"backporch/timing"
)

// fieldsOfStripes are areas of stripes of two levels, between samples and rows
// of the shown raster, on a ground.
type fieldsOfStripes struct {
	sampleGrid
	areas             []stripeArea
	ground, dark, lit float64
}

// A stripeArea lies from sample from and row top to those of until and bottom,
// less one. It begins with a lit stripe, wide samples or rows wide.
type stripeArea struct {
	from, until, top, bottom, wide int
	rows                           bool
}

// patch names the area.
func (f fieldsOfStripes) patch(a stripeArea, name string, r *timing.Raster) Patch {
	p := area(name, f.left(a.from), f.sampleGrid.top(a.top), f.left(a.until), f.sampleGrid.top(a.bottom), colorimetry.Gray(f.dark), "")
	p.Kind, p.To = Line, colorimetry.Gray(f.lit)
	if !a.rows {
		p.Kind, p.Hz = Packet, r.Clock.Float64()/float64(2*a.wide)
	}
	return p
}

// paint is a Band's. Both levels stand exactly on the shown raster's samples;
// between them the wave is the one without harmonics above half its clock that
// goes through them.
func (f fieldsOfStripes) paint(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, _ int) {
	fill(dst, 0)
	if c != colorimetry.Y {
		return
	}
	fill(dst, f.ground)
	j := f.rowAt(y.Y)
	for _, a := range f.areas {
		if j < a.top || j >= a.bottom {
			continue
		}
		from, to := f.within(a.from, a.until, x)
		for i := from; i < to; i++ {
			u := float64(j - a.top)
			if !a.rows {
				u = (x.At(i)-f.left(a.from))/f.dx - 0.5
			}
			dst[i] = blend(f.dark, f.lit, alternate(u, a.wide))
		}
	}
}

// within returns which samples of x lie on samples from to to, less one, of
// the shown raster.
func (l sampleGrid) within(from, to int, x timing.Comb) (first, end int) {
	first = firstAt(x, l.left(from), x.N)
	return first, max(first, firstAt(x, l.left(to), x.N))
}

// alternate returns 1 and 0 by turns, wide whole numbers each, beginning with
// 1 at u = 0. Between whole numbers it is the wave through them that is made of
// the odd multiples k of its frequency below half the clock, and of that itself
// where wide is odd:
//
//	1/2 + 1/wide sum sin(pi k (u+1/2)/wide) / sin(pi k/(2 wide)) [+ 1/(2 wide) cos(pi u)]
func alternate(u float64, wide int) float64 {
	n := math.Round(u)
	if math.Abs(u-n) < 1e-6 {
		if math.Mod(math.Floor(n/float64(wide)), 2) == 0 {
			return 1
		}
		return 0
	}
	w, sum := float64(wide), 0.5
	for k := 1.0; k < w; k += 2 {
		sum += float64(math.Sin(math.Pi*k*(u+0.5)/w) / math.Sin(math.Pi*k/(2*w)) / w)
	}
	if wide%2 == 1 {
		sum += float64(math.Cos(math.Pi*u) / (2 * w))
	}
	return sum
}

// rowAt returns the row of the shown raster at y.
func (l sampleGrid) rowAt(y float64) int { return int(math.Floor((y - l.y0) / l.dy)) }
