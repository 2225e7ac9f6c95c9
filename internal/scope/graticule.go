package scope

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strconv"

	"backporch/internal/composite"
	"backporch/internal/draw"
)

// A level is a line of a graticule that has a name.
type level struct {
	name string
	mv   float64
}

// levels are those of a channel, from the top down: from the table of
// families, and so from the standards.
func levels(w *composite.Wave, channel int) (list []level) {
	f := w.Wire.Family
	excursion := 0.0
	switch {
	case w.Wire.Kind == composite.YPbPr && channel > 0:
		excursion = float64(f.Chroma) / 2
	case w.Wire.Kind == composite.YC && channel == 1:
		excursion = float64(f.Burst) / 2
	}
	if excursion != 0 {
		return []level{{"", excursion}, {"zero", 0}, {"", -excursion}}
	}
	list = append(list, level{"white", float64(f.White)})
	if f.Black != 0 {
		list = append(list, level{"setup", float64(f.Black)}, level{"blanking", 0})
	} else {
		list = append(list, level{"black", 0})
	}
	if channel == 0 && w.Wire.Kind != composite.RGB || channel == 1 {
		list = append(list, level{"sync tip", float64(f.Sync)})
	}
	return list
}

// blackName names the lines of black and blanking.
func blackName(w *composite.Wave) string {
	if w.Wire.Family.Black != 0 {
		return "setup, blanking"
	}
	return "black"
}

// row is the row of pixels on which a level lies.
func (a panel) row(mv float64) int { return a.box.Min.Y + int(a.scale.y(mv)>>8) }

// graticule draws what lies behind the trace of a panel; numbers only beside
// the first.
func (p *page) graticule(s *setUp, a panel, numbers bool) {
	p.fill(a.box, field)
	thin, thick := p.px(1), max(p.px(1)+1, p.px(3))
	horizontal := func(mv float64, t int, c color.RGBA) {
		y := a.row(mv) - t/2
		p.fill(image.Rect(a.box.Min.X, y, a.box.Max.X, y+t), c)
	}
	for x := math.Ceil(a.across.from / float64(a.across.step)); x*float64(a.across.step) <= a.across.to; x++ {
		at := a.column(x * float64(a.across.step))
		p.fill(image.Rect(at-thin/2, a.box.Min.Y, at-thin/2+thin, a.box.Max.Y), grid)
	}
	low, high := reaches(s.w.Wire.Kind)
	step := 100.0
	if s.Units == IRE {
		step = 20
	}
	st := rightward(p.style(textSize))
	st.VAlign = draw.Middle
	h := p.canvas.LineHeight(st)
	for v := math.Ceil(low / s.perUnit / step); v*step*s.perUnit <= high; v++ {
		mv := v * step * s.perUnit
		horizontal(mv, thin, grid)
		if numbers {
			y := a.row(mv) - h/2
			p.write(image.Rect(0, y, a.box.Min.X-p.px(10), y+h), number(int(v*step)), st)
		}
	}
	for _, l := range levels(s.w, a.channel) {
		horizontal(l.mv, thick, mark)
	}
	p.burstMarks(s, a, thick)
	p.frame(a.box, thin)
}

// frame draws the edges of a box, just outside of it.
func (p *page) frame(r image.Rectangle, t int) {
	o := r.Inset(-t)
	p.fill(image.Rect(o.Min.X, o.Min.Y, o.Max.X, r.Min.Y), draw.Quiet)
	p.fill(image.Rect(o.Min.X, r.Max.Y, o.Max.X, o.Max.Y), draw.Quiet)
	p.fill(image.Rect(o.Min.X, r.Min.Y, r.Min.X, r.Max.Y), draw.Quiet)
	p.fill(image.Rect(r.Max.X, r.Min.Y, o.Max.X, r.Max.Y), draw.Quiet)
}

// burstMarks draws where the burst must reach, over its time: from 19 cycles
// after 0H for 9 (SMPTE 170M table 2), or from 5.6 us for 10 (ITU-R BT.1700
// Annex 1 Part B table 2).
func (p *page) burstMarks(s *setUp, a panel, t int) {
	if !s.w.Wire.Subcarrier() || s.View == Field || a.channel != s.chroma() {
		return
	}
	fsc := s.w.Scan.System.Subcarrier.Float64() / 1e6
	from, cycles := 19/fsc, 9.0
	if s.w.Wire.Family.Lines == 625 {
		from, cycles = 5.6, 10
	}
	x0, x1 := a.column(from-0.3), a.column(from+cycles/fsc+0.3)
	for _, side := range []float64{-1, 1} {
		y := a.row(side*float64(s.w.Wire.Family.Burst)/2) - t/2
		p.fill(image.Rect(x0, y, x1, y+t), mark)
	}
	if s.View == Parade {
		return
	}
	st := p.style(smallSize)
	st.Align, st.Color = draw.Center, mark
	h := p.canvas.LineHeight(st)
	y := a.row(float64(s.w.Wire.Family.Burst)/2) - h - t
	w := p.canvas.Width("burst", st)
	p.write(image.Rect((x0+x1)/2-w, y, (x0+x1)/2+w, y+h), "burst", st)
}

// column is the column of pixels at which a value of the axis lies.
func (a panel) column(v float64) int {
	return a.box.Min.X + int(math.Floor((v-a.across.from)/(a.across.to-a.across.from)*float64(a.box.Dx())))
}

// names writes the names of levels to the right of a panel, clear of each
// other.
func (p *page) names(s *setUp, a panel, x int) {
	st := p.style(textSize)
	st.VAlign, st.Color = draw.Middle, mark
	h := p.canvas.LineHeight(st)
	list := levels(s.w, a.channel)
	if s.View == Parade { // the names of all three
		list = levels(s.w, 1)
	}
	next := 0
	for _, l := range list {
		if l.name == "" {
			continue
		}
		y := max(a.row(l.mv)-h/2, next)
		p.write(image.Rect(x+p.px(10), y, p.Width, y+h), l.name, st)
		next = y + h - p.px(4)
	}
}

// numbers writes the numbers of the axis of time under a panel.
func (p *page) numbers(a panel, st draw.Style) {
	h := p.canvas.LineHeight(st)
	for x := math.Ceil(a.across.from / float64(a.across.label)); x*float64(a.across.label) <= a.across.to; x++ {
		v := int(x) * a.across.label
		at, w := a.column(float64(v)), p.px(80)
		p.write(image.Rect(at-w, p.y+p.px(4), at+w, p.y+p.px(4)+h), number(v), st)
	}
}

// number is a whole number with a proper minus.
func number(v int) string {
	if v < 0 {
		return minus + strconv.Itoa(-v)
	}
	return fmt.Sprint(v)
}

func rightward(st draw.Style) draw.Style {
	st.Align = draw.Right
	return st
}
