package scope

// A spot collects what a beam leaves that moves in all directions: the trace of
// a vectorscope, and the lines of a graticule. Where it rests it is larger, as
// on a tube.
type spot struct {
	w, h  int
	step  int32 // to which places are rounded, 1/256 pixel
	moves layer
	rests layer
	cover []uint8
}

// A layer is what a beam of one size leaves. Time is kept where the middle of
// the beam was, and spread over its disc once, at the end.
type layer struct {
	brush *brush
	time  []int64  // of each pixel; nil: nothing yet
	seen  []uint64 // a bit for each quarter of a pixel, both ways: covered already
}

// newSpot returns a beam of that radius. Lines of a graticule, which are few and
// thin, are drawn at finer places than a trace.
func newSpot(w, h int, half int32, thin bool) *spot {
	step := int32(one / 2)
	if thin {
		step = one / 4
	}
	return &spot{w: w, h: h, step: step, moves: layer{brush: newBrush(half)}, rests: layer{brush: newBrush(half * 2)}, cover: make([]uint8, w*h)}
}

// path draws a path of points that follow each other at equal times, weight
// times.
func (s *spot) path(p []point, weight int64) {
	if len(p) == 0 {
		return
	}
	at, time := s.snap(p[0]), int64(0)
	long := max(1, (weight*rest)<<dwell)
	leave := func() {
		if time >= long {
			s.stamp(&s.rests, at, time)
		} else {
			s.stamp(&s.moves, at, time)
		}
	}
	for i := 1; i < len(p); i++ {
		a, b := p[i-1], p[i]
		n := max(abs(b.x-a.x), abs(b.y-a.y))>>8 + 1 // steps of a pixel at most
		each := weight << dwell / int64(n)
		for k := range n {
			here := s.snap(point{a.x + int32(int64(b.x-a.x)*int64(k)/int64(n)), a.y + int32(int64(b.y-a.y)*int64(k)/int64(n))})
			if here != at {
				leave()
				at, time = here, 0
			}
			time += each
		}
	}
	leave()
	s.stamp(&s.moves, s.snap(p[len(p)-1]), 0)
}

// rest is after how many points at one place the beam rests there.
const rest = 10

// snap rounds to a step.
func (s *spot) snap(p point) point {
	return point{(p.x + s.step/2) &^ (s.step - 1), (p.y + s.step/2) &^ (s.step - 1)}
}

// stamp leaves a beam at a place for a time.
func (s *spot) stamp(l *layer, p point, time int64) {
	x, y := int(p.x>>8), int(p.y>>8)
	far := l.brush.size
	if x < -far || y < -far || x >= s.w+far || y >= s.h+far {
		return
	}
	if l.time == nil {
		l.time = make([]int64, s.w*s.h)
		l.seen = make([]uint64, (16*s.w*s.h+63)/64)
	}
	if x >= 0 && y >= 0 && x < s.w && y < s.h {
		k := y*s.w + x
		l.time[k] += time
		bit := k*16 + int(p.y>>6&3)*4 + int(p.x>>6&3)
		if l.seen[bit/64]>>(bit%64)&1 != 0 {
			return
		}
		l.seen[bit/64] |= 1 << (bit % 64)
	}
	disc, n := l.brush.disc[p.y>>6&3][p.x>>6&3], l.brush.size
	x0, y0 := x-n/2, y-n/2
	from, to := max(0, -x0), min(n, s.w-x0)
	for j := max(0, -y0); j < min(n, s.h-y0) && from < to; j++ {
		d := disc[j*n+from : j*n+to]
		c := s.cover[(y0+j)*s.w+x0+from:][:len(d)]
		for i, v := range d {
			c[i] = max(c[i], v)
		}
	}
}

// add adds what another beam has left on a box of the same size.
func (s *spot) add(o *spot) {
	for i, l := range []*layer{&o.moves, &o.rests} {
		mine := []*layer{&s.moves, &s.rests}[i]
		if mine.time == nil {
			mine.time = l.time
			continue
		}
		for k, v := range l.time {
			mine.time[k] += v
		}
	}
	for i, v := range o.cover {
		s.cover[i] = max(s.cover[i], v)
	}
}

// mask returns how dark each pixel is.
func (s *spot) mask() *mask {
	density, most := make([]int64, s.w*s.h), int64(0)
	for _, l := range []*layer{&s.moves, &s.rests} {
		s.spread(density, l)
	}
	for _, d := range density {
		most = max(most, d)
	}
	m, t := newMask(s.w, s.h), newTone(most)
	for i, v := range s.cover {
		if v != 0 {
			m.alpha[i] = t.of(density[i], v)
		}
	}
	return m
}

// spread adds the time of a layer, spread over its disc.
func (s *spot) spread(density []int64, l *layer) {
	disc, n := l.brush.disc[2][2], l.brush.size
	for k, time := range l.time {
		if time == 0 {
			continue
		}
		x0, y0 := k%s.w-n/2, k/s.w-n/2
		from, to := max(0, -x0), min(n, s.w-x0)
		for j := max(0, -y0); j < min(n, s.h-y0); j++ {
			d := disc[j*n+from : j*n+to]
			out := density[(y0+j)*s.w+x0+from:][:len(d)]
			for i, v := range d {
				out[i] += time * int64(v) >> 8
			}
		}
	}
}

// outline returns what is covered, without regard to time.
func (s *spot) outline() *mask { return &mask{s.w, s.h, s.cover} }

// A brush is a disc, by which part it covers of each pixel around the one that
// holds its middle, for each quarter of that pixel down and across.
type brush struct {
	size int // odd
	disc [4][4][]uint8
}

// newBrush returns a disc of that radius, in 1/256 pixel.
func newBrush(radius int32) *brush {
	n := 2*(int(radius+one/2)>>8+1) + 1
	b := &brush{size: n}
	const parts = 8 // of a pixel, each way
	for qy := range b.disc {
		for qx := range b.disc[qy] {
			d := make([]uint8, n*n)
			for i := range d {
				in := 0
				for k := range parts * parts {
					// Twice the distances in 1/16 pixel of the middle of a part from that of the disc.
					dx := ((i%n-n/2)*parts+k%parts)*2 + 1 - qx*parts/2
					dy := ((i/n-n/2)*parts+k/parts)*2 + 1 - qy*parts/2
					if r := int(radius) * 2 * parts; (dx*dx+dy*dy)*one*one <= r*r {
						in++
					}
				}
				d[i] = uint8(in * 255 / (parts * parts))
			}
			b.disc[qy][qx] = d
		}
	}
	return b
}

func abs(x int32) int32 { return max(x, -x) }
