package composite

import (
	"math"

	"backporch/timing"
)

// A shape is the horizontal layout of a line: times in microseconds, widths
// between the points of half height.
type shape struct {
	sync, equalizing, broad float64
	pictureFrom             float64 // after 0H
	pictureTo               float64 // before the next 0H
	burstFrom, burstLength  float64
	syncEdge, pictureEdge   float64 // full width of the raised cosine
	burstEdge               float64
}

// full is the full width of a raised-cosine edge that rises from 10 to 90 % in
// ns nanoseconds, in microseconds: the inverse of 1 - 2*acos(0.8)/pi.
func full(ns float64) float64 { return ns / 1000 / (2 * math.Asin(0.8) / math.Pi) }

// shapeOf returns the layout of a system.
func shapeOf(s *timing.System) shape {
	fsc := s.Subcarrier.Float64() / 1e6
	if s == timing.System525 {
		return shape{
			// SMPTE 170M table 2 and 3 have 4.70, 2.30 and 27.08 us with a tolerance of
			// 0.10. These are 67, 33 and 388 samples at 4 fsc, as SMPTE 244M tables 4
			// and 5 realize them; its edges are 145.5 ns, of 140 +- 20.
			sync: 67 / (4 * fsc), equalizing: 33 / (4 * fsc), broad: 388 / (4 * fsc),
			syncEdge: full(145.5), pictureEdge: full(145.5),
			// SMPTE 170M table 2.
			pictureFrom: 9.2, pictureTo: 1.5,
			burstFrom: 19 / fsc, burstLength: 9 / fsc, burstEdge: full(300),
		}
	}
	return shape{
		// ITU-R BT.1700 Annex 1 Part B table 2 and 3; front porch: BT.470-6 table
		// 1-1. Envelope of the burst: memory.
		sync: 4.7, equalizing: 2.35, broad: 27.3,
		syncEdge: full(200), pictureEdge: full(300),
		pictureFrom: 10.5, pictureTo: 1.5,
		burstFrom: 5.6, burstLength: 10 / fsc, burstEdge: full(300),
	}
}

func (s shape) width(p pulse) float64 {
	return [...]float64{none: 0, lineSync: s.sync, equalizing: s.equalizing, broad: s.broad}[p]
}

// edge is a raised cosine from 0 to 1, half way at t = 0.
func edge(t, width float64) float64 {
	switch {
	case t <= -width/2:
		return 0
	case t >= width/2:
		return 1
	}
	return 0.5 + 0.5*math.Sin(math.Pi*t/width)
}

// A blank is the part of a line that no picture changes, for lines of one form
// whose samples lie alike.
type blank struct {
	sync  []float32 // pulses, mV, of every sample of the line
	burst run       // envelope
	gate  *gate     // nil where no picture shows
}

// A run is a few samples from an index on.
type run struct {
	from int
	v    []float32
}

// A gate is where picture shows: up within rise, at full height between its
// end and the beginning of fall, down within fall.
type gate struct{ rise, fall run }

// newBlank lays a form out on n samples, the first of them after samples after
// 0H, at rate samples a microsecond and with period samples a line. Its pulses
// reach down to level, mV.
func newBlank(f form, s shape, level float64, n int, after, rate, period float64) blank {
	b := blank{sync: make([]float32, n)}
	time := func(i int) float64 { return (float64(i) + after) / rate }
	half := period / 2 / rate
	for i := range b.sync {
		t, v := time(i), 0.0
		for k, p := range f.pulses {
			if at := float64(k) * half; p != none {
				v += edge(t-at, s.syncEdge) - edge(t-at-s.width(p), s.syncEdge)
			}
		}
		v += edge(t-2*half, s.syncEdge) // of the line that follows
		b.sync[i] = float32(level * v)
	}
	// within returns the samples where an edge at that time is under way.
	within := func(at, width float64) run {
		from := int(math.Ceil((at-width/2)*rate - after))
		to := int(math.Floor((at+width/2)*rate - after))
		return run{from, make([]float32, max(0, to-from+1))}
	}
	b.burst = within(s.burstFrom+s.burstLength/2, s.burstLength+s.burstEdge)
	for j := range b.burst.v {
		t := time(b.burst.from+j) - s.burstFrom
		b.burst.v[j] = float32(edge(t, s.burstEdge) - edge(t-s.burstLength, s.burstEdge))
	}
	if f.open[0] || f.open[1] {
		up, down := s.pictureFrom, 2*half-s.pictureTo
		if !f.open[0] {
			up += half
		}
		if !f.open[1] {
			down -= half
		}
		g := &gate{within(up, s.pictureEdge), within(down, s.pictureEdge)}
		for j := range g.rise.v {
			g.rise.v[j] = float32(edge(time(g.rise.from+j)-up, s.pictureEdge))
		}
		for j := range g.fall.v {
			g.fall.v[j] = float32(1 - edge(time(g.fall.from+j)-down, s.pictureEdge))
		}
		b.gate = g
	}
	return b
}
