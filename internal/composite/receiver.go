package composite

import (
	"math"
	"slices"

	"backporch/colorimetry"
	"backporch/timing"
)

// A receiver decodes the lines of one frame.
type receiver struct {
	d     *Decoder
	w     *Wave
	n     int
	g     *grid
	width int

	lock   lock
	gain   float64 // of chroma: the knob, and the automatic one
	chroma []float64
	luma   []float64 // filters; nil: none
	delay  int       // lines to the opposite subcarrier; 0: notch

	x, s, c []float64 // scratch

	ids  map[uint64][]int // lines by the hash of their samples
	same map[int]int      // line to the first that is equal
	done map[lineState][3][]float64
}

// A lineState is all that the picture of a line depends on.
type lineState struct {
	line, above, below int // first lines with the same samples; 0: none
	up, down           int // samples from a place in the line to that in its neighbors with the opposite subcarrier
	phase, x           int
	negative           bool
}

func newReceiver(d *Decoder, w *Wave, n int, g *grid, width int) *receiver {
	r := &receiver{
		d: d, w: w, n: n, g: g, width: width, gain: d.Gain,
		ids: make(map[uint64][]int), same: make(map[int]int), done: make(map[lineState][3][]float64),
	}
	if r.gain == 0 {
		r.gain = 1
	}
	rate := g.perMicrosecond()
	if w.Wire.Subcarrier() {
		r.lock = g.lockBurst(w, n)
		switch {
		case r.lock.amplitude == 0:
			r.gain = 0
		case d.ACC:
			r.gain *= float64(d.Family.Burst) / 2 / r.lock.amplitude
		}
		// The zeros of two running means of four lie on the subcarrier and its
		// double, so that a steady luma leaves nothing behind.
		r.chroma = fold(convolve(spread(Wide.kernel(w.Scan.System)), []float64{1. / 16, 2. / 16, 3. / 16, 4. / 16, 3. / 16, 2. / 16, 1. / 16}))
	}
	if w.Wire.Kind == Composite && d.Separation != Notch {
		r.delay, _ = combDelay(w)
	}
	if d.TVLines > 0 {
		cutoff := w.Scan.System.Frequency(d.TVLines, timing.R(4, 3))
		if cutoff < rate/2 {
			for _, v := range newKernel(cutoff, rate, int(3*rate/cutoff), 0.5) {
				r.luma = append(r.luma, float64(v))
			}
		}
	}
	return r
}

// line returns Y', CB and CR of a line.
func (r *receiver) line(line int) [3][]float64 {
	k := lineState{line: r.first(line), x: r.g.rowAt(r.w.Frame+r.n, line)}
	if r.w.Wire.Subcarrier() {
		at := int64(r.w.Frame+r.n)*int64(r.w.Scan.Lines) + int64(line) - 1
		k.phase = int(r.w.First(at) & 3)
		k.negative = r.lock.negative(line, r.w.Scan.Lines)
	}
	if r.delay > 0 {
		k.above, k.up = r.neighbor(line, -1)
		k.below, k.down = r.neighbor(line, 1)
		if r.d.Separation == Comb2 && k.above != 0 {
			k.below, k.down = 0, 0
		}
	}
	out, ok := r.done[k]
	if !ok {
		out = r.decode(k)
		r.done[k] = out
	}
	return out
}

// first returns the first line seen whose samples are those of line.
func (r *receiver) first(line int) int {
	if f, ok := r.same[line]; ok {
		return f
	}
	// FNV-1a over whole words; lines that only seem equal are told apart below.
	sum := uint64(14695981039346656037)
	for c := range r.w.Samples {
		x, _ := r.w.Line(c, r.n, line)
		for _, v := range x {
			sum = (sum ^ uint64(math.Float32bits(v))) * 1099511628211
		}
	}
	for _, f := range r.ids[sum] {
		if r.equal(f, line) {
			r.same[line] = f
			return f
		}
	}
	r.ids[sum] = append(r.ids[sum], line)
	r.same[line] = line
	return line
}

func (r *receiver) equal(a, b int) bool {
	for c := range r.w.Samples {
		x, _ := r.w.Line(c, r.n, a)
		y, _ := r.w.Line(c, r.n, b)
		if !slices.Equal(x, y) {
			return false
		}
	}
	return true
}

// neighbor returns the first line that equals the one with the opposite
// subcarrier above (-1) or below (1), and how many samples further on in it the
// same place lies; 0 where that shows no picture over its whole length.
func (r *receiver) neighbor(line, side int) (same, shift int) {
	l := line + side*r.delay
	if l < 1 || l > r.w.Scan.Lines || r.g.layout.open(l) != [2]bool{true, true} {
		return 0, 0
	}
	_, samples := combDelay(r.w)
	at := int64(r.w.Frame+r.n)*int64(r.w.Scan.Lines) - 1
	shift = int(r.w.First(at+int64(line))-r.w.First(at+int64(l))) + side*samples
	return r.first(l), shift
}

// decode makes the picture of a line.
func (r *receiver) decode(k lineState) (out [3][]float64) {
	f := r.d.Family
	black, scale := float64(f.Black), float64(f.White-f.Black)
	luma := r.row(0, k.line, k.x)
	switch r.w.Wire.Kind {
	case RGB:
		red, green, blue := luma, r.row(1, k.line, k.x), r.row(2, k.line, k.x)
		out = [3][]float64{make([]float64, r.width), make([]float64, r.width), make([]float64, r.width)}
		for i := range luma {
			s := colorimetry.FromRGB((red[i]-black)/scale, (green[i]-black)/scale, (blue[i]-black)/scale)
			out[0][i], out[1][i], out[2][i] = s.Y, s.CB*r.gain, s.CR*r.gain
		}
		out[0] = convolveRow(out[0], r.luma)
		return out
	case YPbPr:
		out[1], out[2] = r.row(1, k.line, k.x), r.row(2, k.line, k.x)
		g := r.gain / float64(f.Chroma)
		for i := range luma {
			out[1][i] *= g
			out[2][i] *= g
		}
	default:
		var carrier []float64
		out[1], out[2], carrier = r.color(k)
		if r.w.Wire.Kind == Composite {
			for i := range luma {
				luma[i] -= carrier[i]
			}
		}
	}
	for i := range luma {
		luma[i] = (luma[i] - black) / scale
	}
	out[0] = convolveRow(luma, r.luma)
	return out
}

// row returns the samples of a channel where a row of the lattice lies.
func (r *receiver) row(channel, line, x int) []float64 {
	s, _ := r.w.Line(channel, r.n, line)
	out := make([]float64, r.width)
	for i := range out {
		out[i] = float64(s[min(x+i, len(s)-1)])
	}
	return out
}

// color returns CB and CR of a line, and the subcarrier that they are made
// from.
func (r *receiver) color(k lineState) (cb, cr, carrier []float64) {
	channel := len(r.w.Samples) - 1
	reach := len(r.chroma) - 1
	// Samples of the row and of what the filter needs around it.
	if r.x == nil {
		n := r.width + 2*reach
		r.x, r.s, r.c = make([]float64, n), make([]float64, n), make([]float64, n)
	}
	x := r.x
	clear(x)
	add := func(line int, weight float64, shift int) {
		s, _ := r.w.Line(channel, r.n, line)
		for i := range x {
			x[i] += float64(weight * float64(s[min(max(k.x-reach+i+shift, 0), len(s)-1)]))
		}
	}
	switch {
	case k.above != 0 && k.below != 0:
		add(k.line, 0.5, 0)
		add(k.above, -0.25, k.up)
		add(k.below, -0.25, k.down)
	case k.above != 0:
		add(k.line, 0.5, 0)
		add(k.above, -0.5, k.up)
	case k.below != 0:
		add(k.line, 0.5, 0)
		add(k.below, -0.5, k.down)
	default:
		add(k.line, 1, 0)
	}
	phase := (k.phase + k.x - reach) & 3
	s, c := r.s, r.c
	for i, v := range x {
		switch (phase + i) & 3 {
		case 0:
			s[i], c[i] = 0, 2*v
		case 1:
			s[i], c[i] = 2*v, 0
		case 2:
			s[i], c[i] = 0, -2*v
		default:
			s[i], c[i] = -2*v, 0
		}
	}
	s, c = filterInner(s, r.chroma), filterInner(c, r.chroma)
	// From the axes of the sample index to U and V.
	gu, gv := r.gains()
	knobSin, knobCos := math.Sincos(r.d.Phase * math.Pi / 180)
	cb, cr, carrier = make([]float64, r.width), make([]float64, r.width), make([]float64, r.width)
	for i := range cb {
		switch (phase + reach + i) & 3 {
		case 0:
			carrier[i] = c[i]
		case 1:
			carrier[i] = s[i]
		case 2:
			carrier[i] = -c[i]
		default:
			carrier[i] = -s[i]
		}
		u := float64(s[i]*r.lock.cos) + float64(c[i]*r.lock.sin)
		v := float64(c[i]*r.lock.cos) - float64(s[i]*r.lock.sin)
		u, v = float64(u*knobCos)-float64(v*knobSin), float64(u*knobSin)+float64(v*knobCos)
		if k.negative {
			v = -v
		}
		cb[i], cr[i] = float64(u*gu), float64(v*gv)
	}
	return cb, cr, carrier
}

// gains returns CB and CR for a mV of subcarrier.
func (r *receiver) gains() (u, v float64) {
	a, _ := r.d.Family.Vector(colorimetry.Signal{CB: 1})
	_, b := r.d.Family.Vector(colorimetry.Signal{CR: 1})
	return r.gain / float64(a), r.gain / float64(b)
}
