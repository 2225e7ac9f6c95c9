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
	noise := 0.0 // of a place: what a ruler cannot tell, picture heights
	for _, s := range all {
		if s.fit != nil && s.height > 0 {
			noise = max(noise, 2*geometry.ReadingError/s.height)
		}
	}
	high := pairScreen / wide
	// What a ruler cannot tell is not blown up to the size of errors.
	times := min(magnification(max(longest, 0.0005), 0.14), magnification(noise, mostRing/high))
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
			if ring := times * 2 * geometry.ReadingError / s.height * high; ring > dot+0.5 {
				d.ellipse(x1, y1, ring, ring, style{width: 0.7, ink: "#888"})
			}
			d.ellipse(x1, y1, dot, dot, style{width: 1, fill: "#fff"})
			d.arrow(x1, y1, x2, y2, style{width: 1.5})
		}
	}
	d.text(8, d.h-4, "start", fmt.Sprintf("Arrows are drawn %g times as long as the errors.", times))
	return figure{SVG: d.html(), Wide: true, Caption: "Geometry: each arrow goes from where a crossing should lie in the best true raster to where it lies. " + ringWords(times, noise, high) + " Dotted: the central circle, one picture height across."}, true
}

const (
	dot      = 2.2 // radius of the mark where a crossing should lie
	mostRing = 12  // radius at which what a ruler cannot tell is drawn at most: 3 mm on paper
)

// ringWords say how large an error must be to be one.
func ringWords(times, noise, high float64) string {
	tell := fmt.Sprintf("twice what a ruler reads to, %.4g mm (common practice)", geometry.ReadingError)
	if times*noise*high > dot+0.5 {
		return "Rings: " + tell + "; an arrow that ends in its ring may be none."
	}
	return "What a ruler cannot tell, " + tell + ", is smaller here than the marks."
}
