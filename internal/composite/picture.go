package composite

import (
	"math"

	"backporch/colorimetry"
	"backporch/pattern/frame"
)

// A mixer turns rows of a picture into rows of signal, mV, as they stand
// between the edges of blanking.
type mixer struct {
	wire   *Wire
	kernel kernel // nil: chroma is not limited
	gain   float64
	// Subcarrier: sine and cosine of its phase at sample 0, whose index is a
	// multiple of 4.
	sin, cos float64
	a, b     []float32 // scratch
	arena
}

// newMixer returns the mixer of an encoder.
func newMixer(w *Wire, t Timebase, o Options) *mixer {
	m := &mixer{wire: w, gain: o.ChromaGain}
	if w.Subcarrier() {
		m.kernel = o.Band.kernel(t.Scan.System)
		m.sin, m.cos = math.Sincos(t.Start.Float64() * math.Pi / 2)
	}
	return m
}

// chroma returns a row of modulated color, the first sample of which has a
// subcarrier phase of start samples after that of sample 0 (0 or 1; for 2 and
// 3 the row has the other sign), and the given sign of V. It returns nil for a
// row without color.
//
// At four samples a cycle the carrier is one of two axes, alternating, with
// one of two signs: only the axis in use need be filtered at each sample.
func (m *mixer) chroma(cb, cr []float64, start int, sign float64) []float32 {
	if flat(cb) && flat(cr) && cb[0] == 0 && cr[0] == 0 || m.gain == 0 {
		return nil
	}
	u, _ := m.wire.Family.Vector(colorimetry.Signal{CB: m.gain})
	_, v := m.wire.Family.Vector(colorimetry.Signal{CR: m.gain})
	// Axis 0 is U sin + V cos at sample 0, axis 1 the same a quarter later.
	u0, v0 := float32(float64(u)*m.sin), float32(float64(v)*sign*m.cos)
	u1, v1 := float32(float64(u)*m.cos), float32(-float64(v)*sign*m.sin)
	if start == 1 {
		u0, v0, u1, v1 = u1, v1, -u0, -v0
	}
	n, r := len(cb), m.kernel.reach()
	if m.kernel == nil {
		r = 0
	}
	m.a, m.b = grow(m.a, n+2*r+1), grow(m.b, n+2*r+1)
	a, b := m.a, m.b
	cr = cr[:len(cb)]
	ar, br := a[r:][:len(cb)], b[r:][:len(cb)] // and for cr: no checks within the loop
	for i, x := range cb {
		p, q := float32(x), float32(cr[i])
		ar[i] = float32(u0*p) + float32(v0*q)
		br[i] = float32(u1*p) + float32(v1*q)
	}
	for i := range r { // beyond the edges of blanking the color stays what it was
		a[i], b[i] = a[r], b[r]
		a[r+n+i], b[r+n+i] = a[r+n-1], b[r+n-1]
	}
	a[n+2*r], b[n+2*r] = a[n+2*r-1], b[n+2*r-1]
	out := m.row(n)
	if m.kernel == nil {
		for i := range out {
			v := [4]float32{a[i], b[i], -a[i], -b[i]}
			out[i] = v[i&3]
		}
		return out
	}
	m.kernel.axis(out, a)
	m.kernel.axis(out[1:], b[1:])
	return out
}

// flat reports whether a row has one value only.
func flat(v []float64) bool {
	for _, x := range v {
		if x != v[0] {
			return false
		}
	}
	return true
}

func grow(s []float32, n int) []float32 {
	if cap(s) < n {
		return make([]float32, n)
	}
	return s[:n]
}

// A picture is a frame on its way to the wire: rows of signal for each
// distinct row of it, made when they are first wanted.
type picture struct {
	frame *frame.Frame
	mixer *mixer
	rows  [][3]int32
	of    []int // index of rows by analog line; -1 where the frame has none

	rgb    map[int]*[3][]float64
	chroma map[chromaKey][]float32
}

// A chromaKey tells apart rows of modulated color.
type chromaKey struct {
	cb, cr int32
	start  int
	sign   float64
}

func newPicture(m *mixer) *picture {
	return &picture{mixer: m, rgb: make(map[int]*[3][]float64), chroma: make(map[chromaKey][]float32)}
}

// take begins a frame; what was made of the one before is lost, its memory is
// used again.
func (p *picture) take(f *frame.Frame) {
	p.frame = f
	p.mixer.reset()
	clear(p.rgb)
	clear(p.chroma)
	rows, lines := f.Distinct()
	p.rows = rows
	p.of = p.of[:0]
	for range f.Raster.Scan.Lines + 1 {
		p.of = append(p.of, -1)
	}
	for j, l := range f.Raster.Lines {
		p.of[l.Number] = int(lines[j])
	}
}

// component returns a row of one component.
func (p *picture) component(k, c int) []float64 { return p.frame.Planes[c].Rows[p.rows[k][c]] }

// primaries returns a row as R', G' and B'.
func (p *picture) primaries(k int) *[3][]float64 {
	rgb, ok := p.rgb[k]
	if !ok {
		y, cb, cr := p.frame.Triple(p.rows[k])
		rgb = &[3][]float64{make([]float64, len(y)), make([]float64, len(y)), make([]float64, len(y))}
		for i := range y {
			rgb[0][i], rgb[1][i], rgb[2][i] = colorimetry.Signal{Y: y[i], CB: cb[i], CR: cr[i]}.RGB()
		}
		p.rgb[k] = rgb
	}
	return rgb
}

// modulated returns the color of a row; see [mixer.chroma].
func (p *picture) modulated(k, start int, sign float64) []float32 {
	t := p.rows[k]
	key := chromaKey{t[1], t[2], start, sign}
	c, ok := p.chroma[key]
	if !ok {
		_, cb, cr := p.frame.Triple(t)
		c = p.mixer.chroma(cb, cr, start, sign)
		p.chroma[key] = c
	}
	return c
}
