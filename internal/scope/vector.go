package scope

import (
	"fmt"
	"image"
	"math"
	"math/cmplx"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/draw"
)

// A plane is where a color difference of u and v mV lies on a box: u to the
// right, v up. On a subcarrier these are amplitudes along +(B'-Y') and
// +(R'-Y'), of component signals PB and PR, and of RGB what PB and PR would be
// at full excursion alike with luma.
type plane struct {
	box    image.Rectangle
	center point
	perMV  float64 // 1/256 pixel
	radius int     // of the ring, pixels
}

func (c plane) at(u, v float64) point {
	return point{c.center.x + fixed(float64(u*c.perMV)), c.center.y - fixed(float64(v*c.perMV))}
}

// polar is at in amplitude and degrees from +u.
func (c plane) polar(amplitude, deg float64) point {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return c.at(amplitude*cos, amplitude*sin)
}

// beyond is how far the ring lies outside of the farthest target: its larger box
// and its name keep clear of it.
const beyond = 1.4

// vector draws the vectorscope.
func (s *setUp) vector() *Picture {
	p := newPage(s)
	p.head(s.Title, joined(s.Subtitle, s.w.Wire.Title, s.what(), fmt.Sprintf("targets for %d %% bars", s.Targets)))
	side := s.Width - 2*p.px(space)
	c := plane{box: image.Rect(p.px(space), p.y, p.px(space)+side, p.y+side), radius: side/2 - p.px(48)}
	c.center = point{int32(side) * one / 2, int32(side) * one / 2}
	farthest := 0.0
	for _, t := range targets(s.w.Wire, s.Targets) {
		farthest = max(farthest, cmplx.Abs(t.at))
	}
	c.perMV = float64(c.radius*one) / (farthest * beyond)
	l := newLock(s.w)
	if s.w.Wire.Subcarrier() {
		l = newBurstLock(s.w, s.chroma(), s.Frame)
	}
	p.plane(s, c, farthest*beyond)
	paths, weights, most := s.vectors(c, l)
	p.items = append(p.items, item{trace: &traceItem{c.box, p.half(5, 3), false, paths, weights}})
	p.labels(s, c, farthest*beyond)
	p.y = c.box.Max.Y
	p.foot(joinedWith("; ", s.lockNote(l), s.mostNote(most), toleranceNote(s)) + ".")
	return p.Picture
}

// lockNote says what the burst measures.
func (s *setUp) lockNote(l *lock) string {
	switch {
	case !s.w.Wire.Subcarrier():
		return ""
	case !l.found:
		return "No burst: a set shows no color, or rolling colors; here the phase is taken from the sampling"
	}
	var list []string
	for _, d := range l.degrees {
		list = append(list, fmt.Sprintf("%.1f\u00b0", d))
	}
	return fmt.Sprintf("Locked to the burst, %s peak to peak at %s", s.level(2*l.peak), strings.Join(list, " and "))
}

// mostNote says how far the trace reaches.
func (s *setUp) mostNote(most float64) string {
	if s.w.Wire.Subcarrier() {
		return "largest color " + s.level(2*most) + " peak to peak"
	}
	return "Largest color difference " + s.level(most)
}

// vectors returns the paths of all lines that are drawn, and how far from the
// middle they reach, mV.
func (s *setUp) vectors(c plane, l *lock) (paths [][]point, weights []int, most float64) {
	lines := s.vectorLines()
	paths, weights = make([][]point, len(lines)), make([]int, len(lines))
	var next atomic.Int64
	var wg sync.WaitGroup
	var mu sync.Mutex
	for range min(runtime.GOMAXPROCS(0), 4) {
		wg.Go(func() {
			mine := 0.0
			var buf []complex128
			for {
				i := int(next.Add(1)) - 1
				if i >= len(lines) {
					break
				}
				buf = s.differences(buf[:0], lines[i], l)
				paths[i], weights[i] = make([]point, len(buf)), lines[i].weight
				for k, v := range buf {
					mine = max(mine, float64(real(v)*real(v))+float64(imag(v)*imag(v)))
					paths[i][k] = c.at(real(v), imag(v))
				}
			}
			mu.Lock()
			most = max(most, mine)
			mu.Unlock()
		})
	}
	wg.Wait()
	return paths, weights, math.Sqrt(most)
}

// A vectorLine is a stretch of a line that a vectorscope shows: from the burst
// to the end of the picture.
type vectorLine struct {
	from, to int   // samples of the wave
	place    int64 // of the first, in the sequence
	weight   int
}

// vectorLines lists the lines; those with the same samples are one.
func (s *setUp) vectorLines() (list []vectorLine) {
	rate := perMicrosecond(s.w)
	start, end := 5.0, s.w.Scan.LinePeriod().Float64()-1 // microseconds after 0H
	if !s.w.Wire.Subcarrier() {
		start = s.w.Scan.System.Left.Float64() - 0.5
	}
	seen := make(map[uint64][]int)
	for _, line := range s.lines() {
		at := origin(s.w, s.Frame, line)
		v := vectorLine{from: max(0, int(math.Ceil(at+float64(start*rate)))), to: min(len(s.w.Samples[0]), int(math.Floor(at+float64(end*rate)))), weight: 1}
		v.place = s.w.First(int64(s.w.Frame)*int64(s.w.Scan.Lines)) + int64(v.from)
		key := uint64(hashSeed)
		for _, c := range s.w.Samples {
			key = hashOf(key, c[v.from:v.to])
		}
		same := slices.IndexFunc(seen[key], func(i int) bool { return s.sameLine(list[i], v) })
		if same >= 0 {
			list[seen[key][same]].weight++
			continue
		}
		seen[key] = append(seen[key], len(list))
		list = append(list, v)
	}
	return list
}

func (s *setUp) sameLine(a, b vectorLine) bool {
	if (a.place-b.place)&3 != 0 && s.w.Wire.Subcarrier() {
		return false
	}
	for _, c := range s.w.Samples {
		if !slices.Equal(c[a.from:a.to], c[b.from:b.to]) {
			return false
		}
	}
	return true
}

// differences appends the color differences of a line, mV.
func (s *setUp) differences(dst []complex128, v vectorLine, l *lock) []complex128 {
	switch s.w.Wire.Kind {
	case composite.YPbPr:
		pb, pr := s.w.Samples[1][v.from:v.to], s.w.Samples[2][v.from:v.to]
		for i, x := range pb {
			dst = append(dst, complex(float64(x), float64(pr[i])))
		}
		return dst
	case composite.RGB:
		f := s.w.Wire.Family
		scale := float64(f.White - f.Black)
		part := func(c, i int) float64 {
			v := float64(s.w.Samples[c][i])
			if v < float64(f.Sync)/2 { // sync is no color
				return 0
			}
			return (v - float64(f.Black)) / scale
		}
		for i := v.from; i < v.to; i++ {
			d := colorimetry.FromRGB(part(0, i), part(1, i), part(2, i))
			dst = append(dst, complex(d.CB*scale, d.CR*scale))
		}
		return dst
	}
	return demodulate(dst, s.w.Samples[s.chroma()][v.from:v.to], v.place, l)
}

// demodulate appends the vector of a subcarrier of four samples a cycle; the
// first sample has that place in the sequence. Three means of four samples,
// one after the other, take away what has no subcarrier, and twice the
// subcarrier; color is down 3 dB at 0.97 MHz (525 lines).
func demodulate(dst []complex128, s []float32, place int64, l *lock) []complex128 {
	const span = 3*(4-1) + 1
	// Four ones with themselves twice: 64 in all, and 2 for the mean of a squared sine.
	weights := [span]float64{1, 3, 6, 10, 12, 12, 10, 6, 3, 1}
	turn := l.turn * complex(2.0/64, 0)
	for i := 0; i+span <= len(s); i++ {
		var u, v float64
		for j, w := range weights {
			axes := &l.axes[(place+int64(i+j))&3]
			x := float64(w * float64(s[i+j]))
			u += float64(x * axes[0])
			v += float64(x * axes[1])
		}
		re := float64(u*real(turn)) - float64(v*imag(turn))
		im := float64(u*imag(turn)) + float64(v*real(turn))
		dst = append(dst, complex(re, im))
	}
	return dst
}

// plane draws the ring, its ticks, the axes and the boxes.
func (p *page) plane(s *setUp, c plane, full float64) {
	thin := strokeItem{box: c.box, half: p.half(2, 1), c: grid}
	for a := s.ringStep(); a < full; a += s.ringStep() {
		thin.paths = append(thin.paths, c.arc(a, 0, 360))
	}
	edge := strokeItem{box: c.box, half: p.half(3, 2), c: draw.Quiet, paths: [][]point{c.arc(full, 0, 360)}}
	for d := 0.0; d < 360; d += 10 {
		in := 0.975
		if math.Mod(d, 30) == 0 {
			in = 0.95
		}
		edge.paths = append(edge.paths, []point{c.polar(full*in, d), c.polar(full, d)})
	}
	for _, d := range []float64{0, 90} {
		thin.paths = append(thin.paths, []point{c.polar(full, d), c.polar(full, d+180)})
	}
	for _, d := range s.tilted() {
		thin.paths = append(thin.paths, []point{c.polar(full, d), c.polar(full, d+180)})
	}
	p.items = append(p.items, item{stroke: &thin}, item{stroke: &edge}, item{stroke: p.boxes(s, c)})
}

// arc is a part of a circle around the middle, drawn in straight pieces of at
// most 2 degrees.
func (c plane) arc(amplitude, from, to float64) (path []point) {
	n := max(1, int(math.Ceil((to-from)/2)))
	for i := range n + 1 {
		path = append(path, c.polar(amplitude, from+(to-from)*float64(i)/float64(n)))
	}
	return path
}

// ringStep is the distance of rings, mV of amplitude or of a difference.
func (s *setUp) ringStep() float64 {
	if s.w.Wire.Subcarrier() {
		if s.Units == IRE {
			return 10 * s.perUnit // 20 IRE peak to peak
		}
		return 100 // 200 mV peak to peak
	}
	return 100
}

// tilted are the angles of the axes of I and Q, 123 and 33 degrees (SMPTE 244M
// table 3), which belong to 525 lines.
func (s *setUp) tilted() []float64 {
	if s.w.Wire.Subcarrier() && s.w.Wire.Family.Lines == 525 {
		return []float64{33, 123}
	}
	return nil
}

// labels writes over the trace what must be read.
func (p *page) labels(s *setUp, c plane, full float64) {
	st := p.style(textSize)
	st.Align, st.VAlign = draw.Center, draw.Middle
	h, w := p.canvas.LineHeight(st), p.px(120)
	put := func(amplitude, deg float64, text string, st draw.Style) {
		q := c.polar(amplitude, deg)
		x, y := c.box.Min.X+int(q.x>>8), c.box.Min.Y+int(q.y>>8)
		x = min(max(x, c.box.Min.X+p.canvas.Width(text, st)/2), c.box.Max.X-p.canvas.Width(text, st)/2)
		p.write(image.Rect(x-w, y-h/2, x+w, y-h/2+h), text, st)
	}
	out := full * (1 + float64(p.px(24))/float64(c.radius))
	u, v := "+U", "+V"
	if !s.w.Wire.Subcarrier() {
		u, v = "PB", "PR"
	}
	put(out, 0, u, st)
	put(out, 90, v, st)
	for i, d := range s.tilted() {
		put(out, d, [...]string{"+Q", "+I"}[i], st)
		put(out, d+180, [...]string{minus + "Q", minus + "I"}[i], st)
	}
	named := st
	named.Bold, named.Color = true, mark
	for _, t := range s.marks() {
		at := t.label(full)
		put(cmplx.Abs(at), cmplx.Phase(at)*180/math.Pi, t.name, named)
	}
	// A ring far enough within the edge for its words, where neither colors nor
	// axes are.
	small := p.style(smallSize)
	small.Color = draw.Quiet
	ring := s.ringStep() * max(1, math.Floor(0.7*full/s.ringStep()))
	at := c.polar(ring, 323)
	text := fmt.Sprintf("%.0f %s", ring/s.perUnit, s.unit)
	if s.w.Wire.Subcarrier() {
		text = fmt.Sprintf("%.0f %s p-p", 2*ring/s.perUnit, s.unit)
	}
	x, y := c.box.Min.X+int(at.x>>8)+p.px(6), c.box.Min.Y+int(at.y>>8)
	p.write(image.Rect(x, y, x+2*w, y+p.canvas.LineHeight(small)), text, small)
}
