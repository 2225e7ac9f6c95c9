package report

import "math"

// A panel is a drawn screen: its area on the paper, and where places of the
// picture lie in it.
type panel struct {
	*drawing
	x, y, w, h float64 // of the picture's edge on the paper
	wide       float64 // of the picture, heights
}

// newPanel draws a screen of a picture that is wide heights wide into a place
// of that width on the paper.
func (d *drawing) newPanel(x, y, w, wide float64, title string) panel {
	return d.lowPanel(x, y, w, w/wide, wide, title)
}

// lowPanel is the same with a height of its own: a form to write on need not be
// to scale.
func (d *drawing) lowPanel(x, y, w, h, wide float64, title string) panel {
	p := panel{d, x, y, w, h, wide}
	d.rect(p.x, p.y, p.w, p.h, style{width: 1.2, fill: "#fff"})
	d.text(p.x+p.w/2, p.y-7, "middle", title)
	return p
}

// pairPanel is the first or the second of two screens in a drawing of two, which
// is pairHigh high without what stands below.
func (d *drawing) pairPanel(n int, wide float64, title string) panel {
	return d.newPanel(8+(pairScreen+14)*float64(n), 24, pairScreen, wide, title)
}

const pairScreen = 232 // width of a screen

func pairHigh(wide float64) float64 { return 24 + pairScreen/wide + 8 }

// at is the paper's place of a point in picture heights from the middle.
func (p panel) at(x, y float64) (px, py float64) {
	return p.x + p.w/2 + x*p.w/p.wide, p.y + p.h/2 + y*p.h
}

// circle is the central zone, one picture height across.
func (p panel) circle() {
	p.ellipse(p.x+p.w/2, p.y+p.h/2, p.w/p.wide/2, p.h/2, style{width: 0.8, dash: "2 2", ink: "#999"})
}

// magnification is a round number of times by which lengths are enlarged so
// that the longest one is about as long as room, in units a length of 1 has.
func magnification(longest, room float64) float64 {
	if !(longest > 0) {
		return 1
	}
	m := room / longest
	step := math.Pow(10, math.Floor(math.Log10(m)))
	for _, f := range []float64{5, 2, 1} {
		if f*step <= m {
			return f * step
		}
	}
	return step
}
