package compare

import (
	"math"
	"sync"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// Levels that every comparison reports.
const (
	levelBlack = iota
	levelHalf
	levelWhite
	numLevels
)

var (
	levelValues = [numLevels]float64{0, 0.5, 1}
	levelNames  = [numLevels]string{"black", "50 %", "white"}
)

// A probe is a signal with the three levels: 50 %, black and white side by side
// on every line. It goes the way of the pattern, through the same encoder and
// decoder, where the pattern itself has no patch of a level. Its lines are not
// interlaced: then they repeat, and are soon decoded.
type probe struct {
	wave  *composite.Wave
	edge  float64    // full width of the transitions, picture heights
	edges [2]float64 // places of the two transitions, picture heights
	left  float64
	right float64

	mu      sync.Mutex
	decoded map[composite.Decoder]*frame.Frame
}

// decode returns what a set makes of the probe. Its knobs for color change
// nothing of it, so sets that differ in them alone share one frame.
func (p *probe) decode(d composite.Decoder) (*frame.Frame, error) {
	d.Gain, d.Phase, d.ACC, d.DelayLine = 0, 0, false, false
	p.mu.Lock()
	defer p.mu.Unlock()
	if f := p.decoded[d]; f != nil {
		return f, nil
	}
	f, err := d.Decode(p.wave, 0)
	if err != nil {
		return nil, err
	}
	if p.decoded == nil {
		p.decoded = make(map[composite.Decoder]*frame.Frame)
	}
	p.decoded[d] = f
	return f, nil
}

func newProbe(v pattern.View, s Source) (*probe, error) {
	scan := timing.Scan262
	if v.Shown.Scan.System == timing.System625 {
		scan = timing.Scan312
	}
	e, err := composite.NewEncoder(s.Wire, scan, s.Options)
	if err != nil {
		return nil, err
	}
	x := e.Lattice(0).Picture()
	third := (x.X1 - x.X0) / 3
	p := &probe{edge: v.Edge[0], edges: [2]float64{x.X0 + third, x.X0 + 2*third}, left: x.X0, right: x.X1}
	p.wave, err = e.Encode(0, 1, func(r *timing.Raster, _ int) (*frame.Frame, error) { return p.frame(r), nil })
	return p, err
}

// frame samples the probe. All rows are alike, also where the lattice slips by
// part of a sample from line to line.
func (p *probe) frame(r *timing.Raster) *frame.Frame {
	c := r.Comb(0)
	luma := make([]float64, c.N)
	for i := range luma {
		x := c.At(i)
		luma[i] = levelValues[levelHalf] - float64(0.5*rise(x-p.edges[0], p.edge)) + rise(x-p.edges[1], p.edge)
	}
	f := &frame.Frame{Raster: r, Sampling: frame.S444}
	for k := range f.Planes {
		row := luma
		if k > 0 {
			row = make([]float64, c.N)
		}
		f.Planes[k] = frame.Plane{Rows: [][]float64{row}, Lines: make([]int32, len(r.Lines))}
	}
	return f
}

// rise is a raised cosine of that full width with its middle at 0; a step for
// a width of 0.
func rise(x, width float64) float64 {
	switch {
	case x >= width/2:
		return 1
	case x <= -width/2:
		return 0
	}
	return 0.5 + float64(0.5*math.Sin(math.Pi*x/width))
}

// patch is where a level of the probe stands.
func (p *probe) patch(level int) pattern.Patch {
	x := [][2]float64{levelBlack: {p.edges[0], p.edges[1]}, levelHalf: {p.left, p.edges[0]}, levelWhite: {p.edges[1], p.right}}[level]
	return pattern.Patch{Name: levelNames[level], Kind: pattern.Level, X0: x[0], X1: x[1], Y0: -0.5, Y1: 0.5,
		Want: colorimetry.Gray(levelValues[level]), To: colorimetry.Gray(levelValues[level])}
}

// riseTime returns how long the edge from black to white of a decoded probe
// takes from 10 to 90 %, in ns; NaN where there is none.
func (p *probe) riseTime(f *frame.Frame) float64 {
	j := len(f.Raster.Lines) / 2
	c := f.Raster.Comb(j)
	row := f.Planes[0].Row(j)
	at := (p.edges[1] - c.X0) / c.DX
	reach := (p.right - p.edges[1]) / 3 / c.DX
	if at-reach < taps || at+reach > float64(len(row)-1-taps) {
		return math.NaN()
	}
	// Between the samples by the kernel of [resampler]: straight lines would add
	// a tenth to the fastest edges.
	value := func(x float64) (v float64) {
		first := int(math.Floor(x)) - taps + 1
		sum := 0.0
		for k := range 2 * taps {
			w := kernel(x - float64(first+k))
			v, sum = v+float64(w*row[first+k]), sum+w
		}
		return v / sum
	}
	low, high := value(at-reach), value(at+reach)
	if !(high > low) {
		return math.NaN()
	}
	cross := func(part float64) float64 {
		level := low + float64(part*(high-low))
		for x := at - reach; x < at+reach; x++ {
			if value(x) >= level || value(x+1) < level {
				continue
			}
			a, b := x, x+1
			for b-a > 1e-4 { // samples
				if m := (a + b) / 2; value(m) < level {
					a = m
				} else {
					b = m
				}
			}
			return a
		}
		return math.NaN()
	}
	// What rings before and behind the edge stays within 10 and 90 %.
	return (cross(0.9) - cross(0.1)) * 1e9 / f.Raster.Clock.Float64()
}
