package draw

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/vector"
)

// Point is a place in pixels; the center of the first pixel is (0.5, 0.5).
type Point struct{ X, Y float64 }

// Line draws a straight line of that width in pixels from a to b, smooth at the
// sides and with flat ends.
func (v *Canvas) Line(a, b Point, width float64, c color.Color) {
	dx, dy := b.X-a.X, b.Y-a.Y
	l := math.Hypot(dx, dy)
	if !(l > 0) || !(width > 0) {
		return
	}
	nx, ny := -dy/l*width/2, dx/l*width/2
	v.Polygon([]Point{{a.X + nx, a.Y + ny}, {b.X + nx, b.Y + ny}, {b.X - nx, b.Y - ny}, {a.X - nx, a.Y - ny}}, c)
}

// Polygon fills the area within the points, smooth at its edges; where it
// crosses itself the winding is not zero or not filled.
func (v *Canvas) Polygon(p []Point, c color.Color) {
	v.fillPath(c, p)
}

// Ring fills between two circles around m, a circle line of that width in
// pixels whose middle has radius r. A width of 2r or more is a disc.
func (v *Canvas) Ring(m Point, r, width float64, c color.Color) {
	if !(r > 0) || !(width > 0) {
		return
	}
	outer := circle(m, r+width/2, 1)
	if r-width/2 <= 0 {
		v.fillPath(c, outer)
		return
	}
	v.fillPath(c, outer, circle(m, r-width/2, -1))
}

// circle is a polygon whose sides stray from the circle by at most 1/20 pixel
// (sagitta r(1-cos(pi/n))), running in the direction of turn.
func circle(m Point, r, turn float64) []Point {
	n := max(8, int(math.Ceil(math.Pi/math.Acos(max(0, 1-0.05/max(r, 0.1))))))
	p := make([]Point, n)
	for i := range p {
		s, c := math.Sincos(turn * 2 * math.Pi * float64(i) / float64(n))
		p[i] = Point{m.X + r*c, m.Y + r*s}
	}
	return p
}

// fillPath fills closed outlines. Only the part of the canvas that they touch
// is rasterized; what is not finite is not drawn.
func (v *Canvas) fillPath(c color.Color, outlines ...[]Point) {
	lo, hi := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, p := range outlines {
		if len(p) < 3 {
			return
		}
		for _, q := range p {
			if math.IsNaN(q.X+q.Y) || math.IsInf(q.X+q.Y, 0) {
				return
			}
			lo = Point{min(lo.X, q.X), min(lo.Y, q.Y)}
			hi = Point{max(hi.X, q.X), max(hi.Y, q.Y)}
		}
	}
	b := v.img.Rect
	x0, y0 := max(lo.X, float64(b.Min.X)), max(lo.Y, float64(b.Min.Y))
	x1, y1 := min(hi.X, float64(b.Max.X)), min(hi.Y, float64(b.Max.Y))
	if !(x0 < x1 && y0 < y1) {
		return
	}
	r := image.Rect(int(math.Floor(x0)), int(math.Floor(y0)), int(math.Ceil(x1)), int(math.Ceil(y1)))
	z := vector.NewRasterizer(r.Dx(), r.Dy())
	at := func(p Point) (x, y float32) {
		return float32(p.X - float64(r.Min.X)), float32(p.Y - float64(r.Min.Y))
	}
	for _, p := range outlines {
		z.MoveTo(at(p[0]))
		for _, q := range p[1:] {
			z.LineTo(at(q))
		}
		z.ClosePath()
	}
	z.Draw(v.img, r, image.NewUniform(c), image.Point{})
}
