package report

import (
	"fmt"
	"math"

	"backporch/internal/geometry"
)

// A spread is misconvergence under a name.
type spread struct {
	name    string
	offsets []geometry.Offset
}

// plotConvergence draws, many times enlarged, how far the red and the blue
// lines lie from the green ones at each zone.
func plotConvergence(wide float64, all [2]spread) (figure, bool) {
	if !(wide > 0) {
		wide = 4. / 3
	}
	longest, n := 0.0, 0 // mm
	for _, s := range all {
		for _, o := range s.offsets {
			if finite(o.Right, o.Down) {
				longest = max(longest, math.Hypot(o.Right, o.Down))
				n++
			}
		}
	}
	if n == 0 {
		return figure{}, false
	}
	const longestLine = 28 // on the paper
	times := magnification(max(longest, 0.05), longestLine)
	d := newDrawing(pairDrawing, pairHigh(wide)+20, "Misconvergence on the screen", fmt.Sprintf("Red and blue lines against the green ones at each zone, enlarged; the worst is %.2f mm.", longest))
	red, blue := style{width: 1.4}, style{width: 1.4, dash: "4 2"}
	for i, s := range all {
		p := d.pairPanel(i, wide, s.name)
		if len(s.offsets) == 0 {
			d.text(p.x+p.w/2, p.y+p.h/2, "middle", "not measured")
			continue
		}
		p.circle()
		for _, o := range s.offsets {
			x, y, ok := zonePlace(o.Zone, wide)
			if !ok || !finite(o.Right, o.Down) {
				continue
			}
			px, py := p.at(x, y)
			d.line(px-5, py, px+5, py, style{width: 0.8, ink: "#777"})
			d.line(px, py-5, px, py+5, style{width: 0.8, ink: "#777"})
			ex, ey := px+times*o.Right, py+times*o.Down
			s, m := red, triangle
			if o.Gun == "blue" {
				s, m = blue, square
			}
			d.line(px, py, ex, ey, s)
			d.mark(ex, ey, m, look{line: style{ink: "#000"}, fill: []string{"#000", "#fff"}[b2i(m == square)]})
		}
	}
	d.legend(8, d.h-4, []legendItem{
		{look{line: red, fill: "#000"}, triangle, "red gun"},
		{look{line: blue, fill: "#fff"}, square, "blue gun"},
	})
	mm := magnification(times, 1.5*longestLine) // a round length that is seen and fits
	scale := fmt.Sprintf("%.4g mm is drawn as long as", mm)
	d.text(228, d.h-4, "start", scale)
	d.line(228+textWidth(scale), d.h-8, 228+textWidth(scale)+times*mm, d.h-8, style{width: 2})
	return figure{SVG: d.html(), Wide: true, Caption: "Convergence: how far the red (filled triangle) and the blue lines (hollow square) lie from the green ones at each place, much enlarged. Dotted: the central circle, one picture height across."}, true
}

// zonePlace is where a zone lies, in picture heights from the middle.
func zonePlace(name string, wide float64) (x, y float64, ok bool) {
	z, err := geometry.ParseZone(name)
	if err != nil {
		return 0, 0, false
	}
	return z.U * wide / 2, z.V / 2, true
}
