package scope

// A spot collects what a beam leaves that moves in all directions: the trace of
// a vectorscope, and the lines of a graticule. Where it rests it is larger, as
// on a tube.
type spot struct {
	w, h    int
	brush   *brush
	resting *brush
	density []int64
	cover   []uint8
}

func newSpot(w, h int, half int32) *spot {
	return &spot{w: w, h: h, brush: newBrush(half), resting: newBrush(half * 2), density: make([]int64, w*h), cover: make([]uint8, w*h)}
}

// path draws a path of points that follow each other at equal times, weight
// times.
func (s *spot) path(p []point, weight int64) {
	if len(p) == 0 {
		return
	}
	at, time := snap(p[0]), int64(0)
	long := max(1, (weight*rest)<<dwell)
	leave := func() {
		if time >= long {
			s.stamp(s.resting, at, time)
		} else {
			s.stamp(s.brush, at, time)
		}
	}
	for i := 1; i < len(p); i++ {
		a, b := p[i-1], p[i]
		n := max(abs(b.x-a.x), abs(b.y-a.y))>>8 + 1 // steps of a pixel at most
		each := weight << dwell / int64(n)
		for k := range n {
			here := snap(point{a.x + int32(int64(b.x-a.x)*int64(k)/int64(n)), a.y + int32(int64(b.y-a.y)*int64(k)/int64(n))})
			if here != at {
				leave()
				at, time = here, 0
			}
			time += each
		}
	}
	leave()
	s.stamp(s.brush, snap(p[len(p)-1]), 0)
}

// rest is after how many points at one place the beam rests there.
const rest = 10

// snap rounds to a quarter of a pixel.
func snap(p point) point {
	return point{(p.x + one/8) &^ (one/4 - 1), (p.y + one/8) &^ (one/4 - 1)}
}

// stamp leaves a beam at a place for a time.
func (s *spot) stamp(b *brush, p point, time int64) {
	disc := b.disc[p.y>>6&3][p.x>>6&3]
	n := b.size
	x0, y0 := int(p.x>>8)-n/2, int(p.y>>8)-n/2
	for j := range n {
		y := y0 + j
		if y < 0 || y >= s.h {
			continue
		}
		for i, v := range disc[j*n:][:n] {
			x := x0 + i
			if v == 0 || x < 0 || x >= s.w {
				continue
			}
			k := y*s.w + x
			s.density[k] += time * int64(v) >> 8
			s.cover[k] = max(s.cover[k], v)
		}
	}
}

// add adds what another beam has left on a box of the same size.
func (s *spot) add(o *spot) {
	for i, v := range o.density {
		s.density[i] += v
	}
	for i, v := range o.cover {
		s.cover[i] = max(s.cover[i], v)
	}
}

// mask returns how dark each pixel is.
func (s *spot) mask() *mask {
	var most int64
	for _, d := range s.density {
		most = max(most, d)
	}
	m, t := newMask(s.w, s.h), newTone(most)
	for i, v := range s.cover {
		if v != 0 {
			m.alpha[i] = t.of(s.density[i], v)
		}
	}
	return m
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
