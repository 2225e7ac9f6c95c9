package measure

import "math"

// A rim is where the definition's own samples and rows begin and end among
// those of the black around it. Outside, a player shows black; but where just it
// begins is not the file's doing, so that the first few are left alone.
type rim struct{ x0, x1, y0, y1, doubtX, doubtY float64 }

// atRim reports whether u lies outside [a, b] by no more than doubt.
func atRim(u, a, b, doubt float64) bool {
	if doubt == 0 {
		return false
	}
	const taps = 2 // that reach from beyond
	return u < a && u > a-doubt-taps || u > b && u < b+doubt+taps
}

// A column is where a sample of the capture lies in the rows of the definition,
// with weights of four samples for the value (Catmull and Rom) and its slope.
type column struct {
	i, k int
	w, s [4]float32
	x    float64 // -1 at the left edge of the capture, 1 at the right
}

// A point is a value of each plane of the definition with its slopes.
type point struct {
	v, x, y            [3]float32
	bend, bendX, bendY float64
	quiet              bool
}

// finish fills in the rest: whether there is an edge, and what a small exponent
// adds to luma, with its slopes: squares of R', G' and B', by ITU-R BT.601-5
// clause 3.5. Without color that is the square of Y'.
func (p *point) finish(colored bool) {
	const slope = 0.004
	p.quiet = true
	for c := range p.x {
		if abs32(p.x[c]) > slope || abs32(p.y[c]) > slope {
			p.quiet = false
		}
	}
	l, lx, ly := float64(p.v[0]), float64(p.x[0]), float64(p.y[0])
	if !colored {
		p.bend, p.bendX, p.bendY = l*l, 2*l*lx, 2*l*ly
		return
	}
	const kr, kg, kb = 0.299, 0.587, 0.114
	for _, k := range [3]struct{ k, b, r float64 }{
		{kr, 0, 1.402}, {kg, -1.772 * kb / kg, -1.402 * kr / kg}, {kb, 1.772, 0},
	} {
		c := l + k.b*float64(p.v[1]) + k.r*float64(p.v[2])
		p.bend += k.k * c * c
		p.bendX += 2 * k.k * c * (lx + k.b*float64(p.x[1]) + k.r*float64(p.x[2]))
		p.bendY += 2 * k.k * c * (ly + k.b*float64(p.y[1]) + k.r*float64(p.y[2]))
	}
}

func (f *fitter) columnsAt(m lattice, every int) []column {
	list := f.columns[:0]
	half := float64(f.c.w) / 2
	for i := every / 2; i < f.c.w; i += every {
		u := m.U0 + float64(m.DU*float64(i))
		if u < -0.5 || u > float64(f.d.w)-0.5 || atRim(u, f.rim.x0, f.rim.x1, f.rim.doubtX) {
			continue
		}
		k := math.Floor(u)
		t := float32(u - k)
		list = append(list, column{
			i: i, k: int(k) - 1, x: (float64(i) - half + 0.5) / half,
			w: [4]float32{
				-0.5*t + t*t - 0.5*t*t*t, 1 - 2.5*t*t + 1.5*t*t*t,
				0.5*t + 2*t*t - 1.5*t*t*t, -0.5*t*t + 0.5*t*t*t},
			s: [4]float32{
				-0.5 + 2*t - 1.5*t*t, -5*t + 4.5*t*t,
				0.5 + 4*t - 4.5*t*t, -t + 1.5*t*t},
		})
	}
	f.last = [3][4]*float32{}
	return list
}

// across returns value and slope of a row at a column.
func across(row []float32, c *column) (v, s float32) {
	if c.k >= 0 && c.k+4 <= len(row) {
		q := row[c.k : c.k+4 : c.k+4]
		return c.w[0]*q[0] + c.w[1]*q[1] + c.w[2]*q[2] + c.w[3]*q[3],
			c.s[0]*q[0] + c.s[1]*q[1] + c.s[2]*q[2] + c.s[3]*q[3]
	}
	for k := range 4 {
		x := row[min(max(c.k+k, 0), len(row)-1)]
		v += float32(c.w[k] * x)
		s += float32(c.s[k] * x)
	}
	return v, s
}

// onRow is how near a row of the definition a row of the capture must lie to
// be that row: the slope is then that between its neighbors, else the one of the
// straight line between two rows.
const onRow = 0.01

// points fills buf with the definition along row v.
func (f *fitter) points(v float64) {
	k := int(math.Floor(v))
	t := v - float64(k)
	four := [3][4][]float32{}
	var names [3][4]*float32
	flat := true
	for _, c := range f.shares {
		for i := range 4 {
			row := f.d.rows[c][min(max(k-1+i, 0), f.d.h-1)]
			four[c][i], names[c][i] = row, &row[0]
			flat = flat && names[c][i] == names[c][0]
		}
	}
	if names == f.last && (flat || t == f.lastF) {
		return
	}
	f.last, f.lastF = names, t
	f.buf = f.buf[:0]
	a, b := float32(1-t), float32(t)
	for i := range f.columns {
		col := &f.columns[i]
		var p point
		for _, c := range f.shares {
			r := &four[c]
			v1, s1 := across(r[1], col)
			if names[c][0] == names[c][1] && names[c][1] == names[c][2] && names[c][2] == names[c][3] {
				p.v[c], p.x[c] = v1, s1
				continue
			}
			v0, _ := across(r[0], col)
			v2, s2 := across(r[2], col)
			v3, _ := across(r[3], col)
			p.v[c] = a*v1 + b*v2
			p.x[c] = a*s1 + b*s2
			p.y[c] = (a*(v2-v0) + b*(v3-v1)) / 2
			if b > onRow && a > onRow {
				p.y[c] = (p.y[c] + v2 - v1) / 2
			}
		}
		p.finish(len(f.shares) > 1)
		f.buf = append(f.buf, p)
	}
}

// edgeSums are those of changes from one sample or row to the next.
type edgeSums struct{ n, c, d, both float64 }

func (e *edgeSums) add(c, d float64) {
	e.n++
	e.c += c * c
	e.d += d * d
	e.both += c * d
}

func (e *edgeSums) across(f *fitter, j int) {
	row := f.c.rows[f.plane][j]
	for i := 1; i < len(f.columns); i++ {
		k := f.columns[i].i
		e.add(float64(row[k]-row[k-1]), f.shown[i]-f.shown[i-1])
	}
}

func (e *edgeSums) down(f *fitter, j int) {
	row, above := f.c.rows[f.plane][j], f.c.rows[f.plane][j-1]
	for i := range f.columns {
		k := f.columns[i].i
		e.add(float64(row[k]-above[k]), f.shown[i]-f.before[i])
	}
}

// correlation of the changes. What noise adds to those of the capture, two
// samples to a change, is taken off, but never more than four fifths.
func (e *edgeSums) correlation(noise float64) float64 {
	c := max(e.c-2*noise*noise*e.n, e.c/5)
	if c <= 0 || e.d <= 0 {
		return 0
	}
	return min(max(e.both/math.Sqrt(c*e.d), 0), 1)
}
