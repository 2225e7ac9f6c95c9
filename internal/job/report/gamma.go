package report

import (
	"fmt"
	"math"

	"backporch/internal/job"
)

// plotGamma is light over signal on log scales, on which a gamma is the slope;
// the tolerance is a wedge that ends in white.
func plotGamma(limit *job.Limit, all [2]series) (figure, bool) {
	x := axis{name: "Signal, % of white (log scale)", min: 5, max: 100, log: true, ticks: []float64{5, 10, 20, 30, 50, 70, 100}}
	y := axis{name: "Light, % of white (log)", min: 0.1, max: 100, log: true, ticks: []float64{0.1, 0.3, 1, 3, 10, 30, 100}}
	var curves [2][][2]float64
	n := 0
	for i, s := range all {
		if s.steps == nil || !(s.steps.White.XYZ.Y > 0) {
			continue
		}
		white := s.steps.White
		for _, st := range s.steps.Steps {
			light, signal := 100*st.XYZ.Y/white.XYZ.Y, 100*st.Level
			if signal >= x.min && finite(light) && light >= y.min {
				curves[i] = append(curves[i], [2]float64{signal, light})
			}
		}
		n += len(curves[i])
	}
	if n == 0 {
		return figure{}, false
	}
	p := newPlot(narrowDrawing, plotHigh, x, y, "Light over signal", "Light of the gray steps in per cent of white over the signal, both on logarithmic scales. "+seriesWords(all))
	c := "Light over signal; the slope is the gamma, where black gives no light."
	if limit != nil && limit.Min != nil && limit.Max != nil {
		slope := func(g float64) [2]float64 { // where that gamma leaves the picture
			signal := max(x.min, 100*math.Pow(y.min/100, 1/g))
			return [2]float64{p.px(signal), p.py(100 * math.Pow(signal/100, g))}
		}
		p.path([][2]float64{{p.px(100), p.py(100)}, slope(*limit.Min), slope(*limit.Max)}, true, style{width: 0.8, dash: "2 2", ink: "#777", fill: "#eee"})
		c += fmt.Sprintf(" Shaded: gamma %.3g to %.3g.", *limit.Min, *limit.Max)
	}
	k := looks(all[0].name, all[1].name)
	var items []legendItem
	for i, s := range all {
		if len(curves[i]) == 0 {
			continue
		}
		p.curve(curves[i], disc, k[i])
		text := s.name
		if g, _ := s.steps.Tone(); g.OK {
			text += fmt.Sprintf(": %.2f", g.Value)
		}
		items = append(items, legendItem{k[i], disc, text})
	}
	p.legend(p.left, p.legendBaseline, items)
	return figure{SVG: p.html(), Caption: c}, true
}
