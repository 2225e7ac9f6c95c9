package scope

import (
	"fmt"
	"image"
	"math"
	"slices"
	"strings"

	"backporch/internal/composite"
	"backporch/internal/draw"
)

// A panel is a box with a trace of one channel in it.
type panel struct {
	channel int
	box     image.Rectangle
	scale   scale
	list    []stretch
	across  axis
}

// An axis is what is written along time.
type axis struct {
	from, to    float64 // at the edges of the box
	step, label int     // of grid lines, and of those with a number
	name        string
}

// reaches is the range of a graticule in mV by kind of wire: chroma of full
// level fits, and sync.
func reaches(k composite.Kind) (low, high float64) {
	switch k {
	case composite.YC:
		return -480, 820
	case composite.YPbPr:
		return -540, 820
	case composite.RGB:
		return -400, 820
	default:
		return -420, 1020
	}
}

// waveform draws every view but the vectorscope.
func (s *setUp) waveform() *Picture {
	p := newPage(s)
	p.head(s.Title, joined(s.Subtitle, s.w.Wire.Title, s.what()))
	left, right := p.px(96), p.px(150)
	if s.View == Parade && s.w.Wire.Kind != composite.RGB {
		right = p.px(space)
	}
	top := p.y + p.px(textSize+8)
	inner := image.Rect(left, top, s.Width-right, top+p.px(620))
	panels := s.panels(p, inner)
	var reaches []string
	for i, a := range panels {
		p.graticule(s, a, i == 0)
		paths, weights, reach := a.scale.trace(a.list)
		p.items = append(p.items, item{trace: &traceItem{a.box, p.half(5, 3), true, paths, weights}})
		name := ""
		if len(panels) > 1 {
			name = s.w.Wire.Channels()[a.channel] + " "
			p.write(image.Rect(a.box.Min.X, p.y, a.box.Max.X, a.box.Min.Y), strings.TrimSpace(name), p.style(textSize))
		}
		reaches = append(reaches, name+s.reachNote(a.channel, reach))
	}
	p.write(image.Rect(0, p.y, left-p.px(10), inner.Min.Y), s.unit, rightward(p.style(textSize)))
	if right > p.px(space) {
		p.names(s, panels[0], inner.Max.X)
	}
	p.y = inner.Max.Y
	st := p.style(textSize)
	st.Align = draw.Center
	for _, a := range panels {
		p.numbers(a, st)
	}
	p.y += p.canvas.LineHeight(st) + p.px(4)
	p.write(image.Rect(0, p.y, p.Width, p.y+p.canvas.LineHeight(st)), panels[0].across.name, st)
	p.y += p.canvas.LineHeight(st)
	p.foot(joinedWith("; ", "Trace: "+strings.Join(reaches, "; "), s.burstNote(), s.panelNote()) + ".")
	return p.Picture
}

// what says what of the wave is drawn.
func (s *setUp) what() string {
	of := fmt.Sprintf("color field %%d of %d", s.w.Scan.Fields*s.w.Wire.Sequence(s.w.Scan))
	if !s.w.Wire.Subcarrier() {
		of = fmt.Sprintf("field %%d of %d", s.w.Scan.Fields)
	}
	first := s.w.Scan.Fields * ((s.w.Frame + s.Frame) % s.w.Wire.Sequence(s.w.Scan))
	channel := ""
	if s.View != Parade && s.View != Vector && len(s.w.Wire.Channels()) > 1 {
		channel = "signal " + s.w.Wire.Channels()[s.channel]
	}
	var text string
	switch {
	case s.View == Field:
		text = fmt.Sprintf(of, first+s.Field)
	case s.View == Line || s.Line != 0:
		text = fmt.Sprintf("line %d, "+of, s.oneLine(), first+s.w.Scan.FieldOf(s.oneLine()))
	case s.Field != 0:
		text = fmt.Sprintf("all picture lines of "+of, first+s.Field)
	case s.w.Scan.Fields == 2:
		text = fmt.Sprintf("all picture lines of a frame, color fields %d and %d", first+1, first+2)
		if !s.w.Wire.Subcarrier() {
			text = "all picture lines of a frame"
		}
	default:
		text = "all picture lines of a field"
	}
	return joined(channel, text)
}

// pictureLines lists the analog lines that carry picture.
func (s *setUp) pictureLines() (lines []int) {
	e, err := composite.NewEncoder(s.w.Wire, s.w.Scan, composite.Standard)
	if err != nil {
		panic("scope: a wave on a wire that cannot carry it: " + err.Error())
	}
	for _, l := range e.Lattice(0).Lines {
		lines = append(lines, l.Number)
	}
	return lines
}

// oneLine is the line of a view of one: the middle of the field if none is
// asked for.
func (s *setUp) oneLine() int {
	if s.Line != 0 {
		return s.Line
	}
	low, high := s.w.Scan.Lines, 0
	for _, l := range s.pictureLines() {
		if s.w.Scan.FieldOf(l) == s.Field {
			low, high = min(low, l), max(high, l)
		}
	}
	return (low + high) / 2
}

// lines are those that the view draws.
func (s *setUp) lines() []int {
	if s.View == Line || s.Line != 0 {
		return []int{s.oneLine()}
	}
	lines := s.pictureLines()
	if s.Field != 0 {
		lines = slices.DeleteFunc(lines, func(l int) bool { return s.w.Scan.FieldOf(l) != s.Field })
	}
	return lines
}

// panels lays out the boxes.
func (s *setUp) panels(p *page, inner image.Rectangle) (list []panel) {
	channels := []int{s.channel}
	if s.View == Parade {
		channels = nil
		for i := range s.w.Samples {
			channels = append(channels, i)
		}
	}
	low, high := reaches(s.w.Wire.Kind)
	gap := p.px(14)
	width := (inner.Dx() - gap*(len(channels)-1)) / len(channels)
	period := s.w.Scan.LinePeriod().Float64()
	for i, c := range channels {
		a := panel{channel: c}
		x := inner.Min.X + i*(width+gap)
		a.box = image.Rect(x, inner.Min.Y, x+width, inner.Max.Y)
		var samples float64 // across the box
		if s.View == Field {
			samples = s.fieldStretches(&a)
		} else {
			a.list = s.lineStretches(c, s.lines())
			samples = (ahead + period) * perMicrosecond(s.w)
			a.across = axis{-ahead, period, 5, 10, "\u00b5s after 0H"}
			if len(channels) > 1 {
				a.across.step, a.across.label = 10, 20
			}
		}
		a.scale.perSample = float64(a.box.Dx()*one) / samples
		a.scale.perMV = float64(a.box.Dy()*one) / (high - low)
		a.scale.zero = fixed(float64(high * a.scale.perMV))
		list = append(list, a)
	}
	return list
}

// fieldStretches fills in a sweep from the first sync pulse of a field to
// three lines into the next, as far as the wave reaches, and returns how many
// samples that is.
func (s *setUp) fieldStretches(a *panel) float64 {
	w := s.w
	period := w.SamplesPerLine().Float64()
	first := 1.0 // number of the line at the left edge
	if s.Field == 2 {
		first = float64(w.Scan.Lines)/2 + 1
	}
	first -= ahead / w.Scan.LinePeriod().Float64()
	length := float64(w.Scan.Lines)/float64(w.Scan.Fields) + 3
	left := origin(w, s.Frame, 1) + float64((first-1)*period)
	all := w.Samples[a.channel]
	end := min(left+float64(length*period), float64(len(all)-1))
	for at := left; at < end; at += period {
		to := min(at+period, end)
		a.list = append(a.list, stretch{all, max(0, int(math.Floor(at))), int(math.Floor(to)), left, 1, s.burstTime(origin(w, s.Frame, 1))})
	}
	a.across = axis{first, first + length, 10, 50, "line"}
	return length * period
}

// panelNote explains lines that have no name beside them.
func (s *setUp) panelNote() string {
	if s.View != Parade {
		return ""
	}
	f := s.w.Wire.Family
	switch s.w.Wire.Kind {
	case composite.YPbPr:
		return fmt.Sprintf("lines of Y: white, %s, sync tip; of PB and PR: zero and \u00b1%s, which 100 %% bars reach", blackName(s.w), s.level(float64(f.Chroma)/2))
	case composite.YC:
		return fmt.Sprintf("lines of Y: white, %s, sync tip; of C: zero and \u00b1%s, which the burst reaches", blackName(s.w), s.level(float64(f.Burst)/2))
	}
	return ""
}

func joined(parts ...string) string { return joinedWith(", ", parts...) }

func joinedWith(sep string, parts ...string) string {
	var list []string
	for _, p := range parts {
		if p != "" {
			list = append(list, p)
		}
	}
	return strings.Join(list, sep)
}
