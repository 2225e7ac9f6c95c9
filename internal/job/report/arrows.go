package report

import (
	"fmt"
	"math"

	"backporch/internal/geometry"
)

// A shape is the geometry of a raster under a name.
type shape struct {
	name   string
	fit    *geometry.Fit
	height float64 // of the picture on the glass, mm
}

// plotArrows draws where each point lies and, many times enlarged, how far it
// is from its place in the best true raster.
func plotArrows(wide float64, all [2]shape) (figure, bool) {
	if !(wide > 0) {
		wide = 4. / 3
	}
	longest, n := 0.0, 0 // picture heights
	for _, s := range all {
		if s.fit == nil || !(s.height > 0) {
			continue
		}
		for _, r := range s.fit.Residuals {
			if finite(r.Right, r.Down) {
				longest = max(longest, math.Hypot(r.Right, r.Down)/s.height)
				n++
			}
		}
	}
	if n == 0 {
		return figure{}, false
	}
	times := magnification(max(longest, 0.0005), 0.14) // errors below a ruler are not blown up to the size of others
	d := newDrawing(pairDrawing, pairHigh(wide)+20, "Errors of geometry on the screen", fmt.Sprintf("Arrows from where points should lie to where they do, %g times enlarged; the longest is %.2f per cent of picture height.", times, 100*longest))
	for i, s := range all {
		if s.fit == nil || !(s.height > 0) || len(s.fit.Residuals) == 0 {
			p := d.pairPanel(i, wide, s.name)
			d.text(p.x+p.w/2, p.y+p.h/2, "middle", "not measured")
			continue
		}
		p := d.pairPanel(i, wide, s.name)
		p.circle()
		for _, r := range s.fit.Residuals {
			if !finite(r.X, r.Y, r.Right, r.Down) {
				continue
			}
			x1, y1 := p.at(r.X, r.Y)
			x2, y2 := p.at(r.X+times*r.Right/s.height, r.Y+times*r.Down/s.height)
			d.ellipse(x1, y1, 2.2, 2.2, style{width: 1, fill: "#fff"})
			d.arrow(x1, y1, x2, y2, style{width: 1.5})
		}
	}
	d.text(8, d.h-4, "start", fmt.Sprintf("Arrows are drawn %g times as long as the errors.", times))
	return figure{SVG: d.html(), Wide: true, Caption: "Geometry: each arrow goes from where a crossing should lie in the best true raster to where it lies. Dotted: the central circle, one picture height across."}, true
}
