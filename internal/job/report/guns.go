package report

// plotGuns is the light of the red and the blue gun against the green one over
// the signal: 100 % at all steps at the target white.
func plotGuns(target string, all [2]series) (figure, bool) {
	y := axis{name: "Light against green, %", min: 95, max: 105}
	type curve struct {
		i, gun int
		points [][2]float64
	}
	var curves []curve
	for i, s := range all {
		for _, gun := range []int{0, 2} {
			var points [][2]float64
			for _, st := range judgedSteps(s.steps) {
				if share := 100 * st.Guns[gun] / st.Guns[1]; finite(share) && st.Guns[1] > 0 {
					points = append(points, [2]float64{100 * st.Level, share})
					y.widen(share + 1)
					y.widen(share - 1)
				}
			}
			if len(points) > 0 {
				curves = append(curves, curve{i, gun, points})
			}
		}
	}
	if len(curves) == 0 {
		return figure{}, false
	}
	p := newPlot(narrowDrawing, plotHigh, axis{name: "Signal, %", min: 0, max: 100}, y, "Light of the red and blue guns against the green gun", "100 per cent is the target white "+target+". "+seriesWords(all))
	p.line(p.left, p.py(100), p.left+p.wide, p.py(100), style{width: 1.2, ink: "#777"})
	k := looks(all[0].name, all[1].name)
	var items []legendItem
	for i, s := range all {
		if len(judgedSteps(s.steps)) > 0 {
			items = append(items, legendItem{k[i], -1, s.name})
		}
	}
	for _, c := range curves {
		m := triangle
		if c.gun == 2 {
			m = square
		}
		p.curve(c.points, m, k[c.i])
	}
	if len(items) < 2 || textWidth(items[0].text+items[1].text) < 150 { // else the caption alone tells
		plain := look{line: style{ink: "#000"}, fill: "#fff"}
		items = append(items, legendItem{plain, triangle, "red"}, legendItem{plain, square, "blue"})
	}
	p.legend(p.left, p.legendBaseline, items)
	return figure{SVG: p.html(), Caption: "Light of each gun against the green one: 100 % at every step is the target white " + target + ". Triangles: red gun; squares: blue gun."}, true
}
