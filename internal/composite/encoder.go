package composite

import (
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
// the standard's signal without burst and color; use [Standard].
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
	wire *Wire
	base Timebase
	opts Options
}

// NewEncoder returns an encoder for a wire and a scan; see [Wire.Check].
func NewEncoder(w *Wire, s *timing.Scan, o Options) (*Encoder, error) {
	if err := w.Check(s); err != nil {
		return nil, err
	}
	return &Encoder{wire: w, base: w.Timebase(s), opts: o}, nil
}

// Lattice returns the raster on which a picture must be sampled, in 4:4:4, to
// be frame n. Its rows are the picture lines of the system. All frames of an
// interlaced scan have the same.
func (e *Encoder) Lattice(n int) *timing.Raster { panic("not yet") }

// Append appends frame n of the signal to each channel of dst (nil: a new
// one) and returns it. f is sampled on Lattice(n); lines that it does not have
// are black. Passing the same f again is cheap.
func (e *Encoder) Append(dst [][]float32, f *frame.Frame, n int) [][]float32 { panic("not yet") }

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
