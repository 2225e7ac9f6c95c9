package scope

// A point is a place on a picture in 1/256 pixel, from the upper left corner
// of its box; the middle of the first pixel is (128, 128).
type point struct{ x, y int32 }

const (
	one   = 256 // a pixel
	dwell = 16  // bits of a unit of dwell behind the point
)

// A beam collects what a sweep leaves on its box. Time runs from left to right,
// so that each column holds a stretch of time and a path is one run in it. How
// long the beam was at a pixel, and which part of the pixel it covered, are kept
// apart: one makes darkness, the other smooth edges.
type beam struct {
	w, h    int
	half    int32   // of the thickness of the trace, in 1/256 pixel
	density []int64 // of each column, h+2: differences to the pixel above
	cover   []uint8 // of each column, h
	solid   [][2]int
}

func newBeam(w, h int, half int32) *beam {
	return &beam{w: w, h: h, half: half, density: make([]int64, w*(h+2)), cover: make([]uint8, w*h), solid: make([][2]int, w)}
}

// path draws a path whose x never falls, weight times. What lies outside of
// the box is cut off.
func (b *beam) path(p []point, weight int64) {
	if len(p) < 2 {
		return
	}
	last := p[0]
	col := int(last.x >> 8)
	lo, hi := last.y, last.y
	for _, next := range p[1:] {
		for int(next.x>>8) > col {
			// Cut where the path leaves the column.
			x := int32(col+1) << 8
			y := last.y + int32(int64(next.y-last.y)*int64(x-last.x)/int64(next.x-last.x))
			lo, hi = min(lo, y), max(hi, y)
			b.dwell(col, x-last.x, last.y, y, weight)
			b.run(col, lo, hi)
			last, lo, hi = point{x, y}, y, y
			col++
		}
		lo, hi = min(lo, next.y), max(hi, next.y)
		b.dwell(col, next.x-last.x, last.y, next.y, weight)
		last = next
	}
	b.run(col, lo, hi)
}

// dwell spreads a stretch of time evenly over the part of a column that the
// beam crosses in it.
func (b *beam) dwell(col int, time, from, to int32, weight int64) {
	if time <= 0 || col < 0 || col >= b.w {
		return
	}
	lo, hi := min(from, to)-b.half, max(from, to)+b.half
	each := (weight * int64(time)) << dwell / int64(hi-lo)
	most := int32(b.h) << 8
	lo, hi = min(max(lo, 0), most), min(max(hi, 0), most)
	d := b.density[col*(b.h+2):]
	i, f := lo>>8, int64(lo&255)
	d[i] += each * (one - f)
	d[i+1] += each * f
	i, f = hi>>8, int64(hi&255)
	d[i] -= each * (one - f)
	d[i+1] -= each * f
}

// run covers a column between two heights.
func (b *beam) run(col int, lo, hi int32) {
	if col < 0 || col >= b.w {
		return
	}
	most := int32(b.h) << 8
	lo, hi = min(max(lo-b.half, 0), most), min(max(hi+b.half, 0), most)
	if lo >= hi {
		return
	}
	c := b.cover[col*b.h:][:b.h]
	from, to := int((lo+one-1)>>8), int(hi>>8) // whole pixels
	if from > to {                             // within one pixel
		put(c, to, hi-lo)
		return
	}
	if f := lo & 255; f != 0 {
		put(c, from-1, one-f)
	}
	if f := hi & 255; f != 0 {
		put(c, to, f)
	}
	// Most runs lie where others have been: what is known to be covered is not
	// covered again.
	s := &b.solid[col]
	switch {
	case from >= s[0] && to <= s[1]:
	case from <= s[1] && to >= s[0] && s[1] > s[0]:
		fill(c, from, s[0])
		fill(c, s[1], to)
		s[0], s[1] = min(s[0], from), max(s[1], to)
	default:
		fill(c, from, to)
		if to-from > s[1]-s[0] {
			s[0], s[1] = from, to
		}
	}
}

func put(c []uint8, i int, part int32) {
	if i >= 0 && i < len(c) {
		c[i] = max(c[i], uint8(min(part, 255)))
	}
}

func fill(c []uint8, from, to int) {
	for i := from; i < to; i++ {
		c[i] = 255
	}
}

// add adds what another beam has left on a box of the same size.
func (b *beam) add(o *beam) {
	for i, v := range o.density {
		b.density[i] += v
	}
	for i, v := range o.cover {
		b.cover[i] = max(b.cover[i], v)
	}
}

// mask returns how dark each pixel is.
func (b *beam) mask() *mask {
	m := newMask(b.w, b.h)
	var most int64
	for x := range b.w {
		d, sum := b.density[x*(b.h+2):][:b.h], int64(0)
		for y, v := range d {
			sum += v
			d[y] = sum
			most = max(most, sum)
		}
	}
	t := newTone(most)
	for x := range b.w {
		d, c := b.density[x*(b.h+2):][:b.h], b.cover[x*b.h:][:b.h]
		for y, v := range c {
			if v != 0 {
				m.set(x, y, t.of(d[y], v))
			}
		}
	}
	return m
}
