package composite

import (
	"fmt"
	"math"
	"slices"

	"backporch/pattern/frame"
	"backporch/timing"
)

// Band is how far the color of a composite or Y/C signal is limited before it
// is put on the subcarrier.
type Band int

// The bands.
const (
	Wide      Band = iota // 1.3 MHz class, alike for both axes
	Narrow                // 0.6 MHz
	Unlimited             // as the pattern defines it
)

// Options are what an encoder can be told besides the wire. The zero value is
// a signal without burst and color; [Standard] is what the standard has.
type Options struct {
	Band       Band
	Burst      float64 // amplitude of the burst, 1 nominal, 0 off
	ChromaGain float64 // amplitude of the color, 1 nominal
}

// Standard is the signal as the standard has it.
var Standard = Options{Band: Wide, Burst: 1, ChromaGain: 1}

// An Encoder makes frames of signal. It keeps what it can use again, so it is
// not safe for concurrent use.
type Encoder struct {
	grid
	opts   Options
	mixer  *mixer
	locked bool // a whole number of samples in each line

	sequence int
	blanks   map[blankKey]*blank
	plans    map[timing.Ratio][]plan // of frames whose first samples lie alike
	carrier  [2][4]float32           // burst, by sign of V and phase of the sample

	picture *picture
	black   []float64                          // a row of zeros
	lines   map[lineKey][maxChannels][]float32 // finished ones, where the clock is locked
	frames  [maxKept][][]float32               // finished ones, where it is not
	kept    [maxKept]bool                      // which of them are of the picture
}

// A plan is how a line of a frame is laid out.
type plan struct {
	blank *blank
	row   int // at which of its samples its row of the lattice begins
}

type blankKey struct {
	form  form
	after timing.Ratio
}

// A lineKey tells apart the finished lines of a picture.
type lineKey struct {
	blank *blank
	row   int
	burst bool
	phase int
	sign  float64
}

// NewEncoder returns an encoder for a wire and a scan; see [Wire.Check].
func NewEncoder(w *Wire, s *timing.Scan, o Options) (*Encoder, error) {
	if err := w.Check(s); err != nil {
		return nil, err
	}
	base := w.Timebase(s)
	e := &Encoder{
		grid: newGrid(w, s), opts: o, mixer: newMixer(w, base, o),
		locked:   base.SamplesPerLine().Den == 1,
		sequence: w.Sequence(s),
		blanks:   make(map[blankKey]*blank),
		plans:    make(map[timing.Ratio][]plan),
		lines:    make(map[lineKey][maxChannels][]float32),
	}
	e.picture = newPicture(e.mixer)
	// The burst lies at 180 degrees (SMPTE 170M clause 8.2), or at 135 with the
	// sign of V (ITU-R BT.470-6 table 2 item 2.16).
	degrees := 180.0
	if w.alternates() {
		degrees = 135
	}
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	peak := float64(w.Family.Burst) / 2 * o.Burst
	for i, sign := range []float64{1, -1} {
		for k := range e.carrier[i] {
			s, c := math.Sincos((base.Start.Float64() + float64(k)) * math.Pi / 2)
			e.carrier[i][k] = float32(peak * (float64(cos*s) + float64(sign*sin*c)))
		}
	}
	return e, nil
}

// Wire returns what the encoder was made for.
func (e *Encoder) Wire() *Wire { return e.wire }

// Timebase returns where its samples fall.
func (e *Encoder) Timebase() Timebase { return e.base }

// plan returns how the lines of frame n are laid out.
func (e *Encoder) plan(n int) []plan {
	lines := int64(e.base.Scan.Lines)
	origin := int64(n) * lines
	after := e.base.After(origin)
	if p, ok := e.plans[after]; ok {
		return p
	}
	list := make([]plan, lines)
	for i := range list {
		list[i] = plan{e.blank(origin + int64(i)), e.rowAt(n, i+1)}
	}
	e.plans[after] = list
	return list
}

// Append appends frame n of the signal to each channel of dst (nil: a new
// one) and returns it. f is sampled on Lattice(n); lines that it does not have
// are black. Passing the same f again, unchanged, is cheap.
//
// It panics if f has another width than the lattice.
func (e *Encoder) Append(dst [][]float32, f *frame.Frame, n int) [][]float32 {
	if w := e.Lattice(n).Width; f.Raster.Width != w || f.Sampling != frame.S444 {
		panic(fmt.Sprintf("composite: frame of %d samples; the lattice has %d, 4:4:4", f.Raster.Width, w))
	}
	if e.picture.frame != f {
		e.picture.take(f)
		clear(e.lines)
		clear(e.kept[:])
		e.black = make([]float64, f.Raster.Width)
	}
	channels := len(kindChannels[e.wire.Kind])
	if dst == nil {
		dst = make([][]float32, channels)
	}
	n %= e.sequence
	size := e.base.Samples(n)
	for c := range dst {
		dst[c] = slices.Grow(dst[c], size)
	}
	if n < maxKept && e.kept[n] {
		for c := range dst {
			dst[c] = append(dst[c], e.frames[n][c]...)
		}
		return dst
	}
	out := make([][]float32, channels) // this frame
	for c := range dst {
		from := len(dst[c])
		dst[c] = dst[c][:from+size]
		out[c] = dst[c][from:]
	}
	at, place := 0, e.base.First(int64(n)*int64(e.base.Scan.Lines))
	for i, p := range e.plan(n) {
		e.line(out, at, n, i+1, p, place+int64(at))
		at += len(p.blank.sync)
	}
	if !e.locked && e.sequence <= maxKept {
		if e.frames[n] == nil {
			e.frames[n] = make([][]float32, channels)
		}
		for c := range out {
			e.frames[n][c] = append(e.frames[n][c][:0], out[c]...)
		}
		e.kept[n] = true
	}
	return dst
}

// maxChannels is the most signals that a wire has.
const maxChannels = 3

// maxKept is the longest sequence of frames that is kept whole: 11 MB.
const maxKept = 4

// line writes one line at out[...][at], whose first sample has that place in
// the sequence.
func (e *Encoder) line(out [][]float32, at, n, line int, p plan, place int64) {
	row := e.picture.of[line]
	if p.blank.gate == nil {
		row = -1
	}
	k := lineKey{blank: p.blank, row: row, phase: int(place & 3), sign: 1}
	k.burst = e.wire.Subcarrier() && e.opts.Burst != 0 && e.layout.burst(n, line)
	if e.wire.alternates() {
		k.sign = e.layout.vSign(n, line)
	}
	if !e.locked {
		for c := range out {
			e.finish(out[c][at:at+len(p.blank.sync)], c, k, p.row)
		}
		return
	}
	done, ok := e.lines[k]
	if !ok {
		for c := range out {
			done[c] = e.mixer.row(len(p.blank.sync))
			e.finish(done[c], c, k, p.row)
		}
		e.lines[k] = done
	}
	for c := range out {
		copy(out[c][at:], done[c])
	}
}

// blank returns the blanking of a line, counted from 0 over all frames.
func (e *Encoder) blank(index int64) *blank {
	key := blankKey{e.layout.form(int(index%int64(e.base.Scan.Lines)) + 1), e.base.After(index)}
	b, ok := e.blanks[key]
	if !ok {
		size := int(e.base.First(index+1) - e.base.First(index))
		made := newBlank(key.form, e.shape, float64(e.wire.Family.Sync), size, key.after.Float64(), e.base.Rate.Float64()/1e6, e.base.SamplesPerLine().Float64())
		b = &made
		e.blanks[key] = b
	}
	return b
}

// finish writes one channel of a line; its row of the picture begins at sample
// x of it.
func (e *Encoder) finish(dst []float32, channel int, k lineKey, x int) {
	if e.wire.HasSync(channel) {
		copy(dst, k.blank.sync)
	} else {
		clear(dst)
	}
	chroma := e.wire.Subcarrier() && channel == len(kindChannels[e.wire.Kind])-1
	if k.burst && chroma {
		carrier := &e.carrier[0]
		if k.sign < 0 {
			carrier = &e.carrier[1]
		}
		for j, v := range k.blank.burst.v {
			i := k.blank.burst.from + j
			dst[i] += float32(v * carrier[(k.phase+i)&3])
		}
	}
	if k.blank.gate == nil {
		return
	}
	var c []float32
	start := (k.phase + x) & 3
	if chroma && k.row >= 0 {
		c = e.picture.modulated(k.row, start&1, k.sign)
	}
	show(dst, e.level(channel, k.row), c, start&2 != 0, k.blank.gate, x)
}

// level returns what a channel carries besides the subcarrier on a row of the
// picture, or on black for -1.
func (e *Encoder) level(channel, row int) level {
	f := e.wire.Family
	v := level{zero: float32(f.Black), scale: float32(f.White - f.Black), row: e.black}
	switch {
	case e.wire.Kind == YC && channel == 1:
		return level{}
	case e.wire.Kind == YPbPr && channel > 0:
		v.zero, v.scale = 0, float32(f.Chroma)
	}
	switch {
	case row < 0:
	case e.wire.Kind == RGB:
		v.row = e.picture.primaries(row)[channel]
	default:
		v.row = e.picture.component(row, channel)
	}
	return v
}

// Encode returns frames frames of signal, the first of them number n in the
// sequence; picture returns the picture of frame k on a lattice.
func (e *Encoder) Encode(n, frames int, picture func(r *timing.Raster, k int) (*frame.Frame, error)) (*Wave, error) {
	w := &Wave{Wire: e.wire, Timebase: e.base, Frame: n, Frames: frames}
	for k := n; k < n+frames; k++ {
		f, err := picture(e.Lattice(k), k)
		if err != nil {
			return nil, err
		}
		w.Samples = e.Append(w.Samples, f, k)
	}
	return w, nil
}
