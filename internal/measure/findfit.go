package measure

import "math"

// A fitter compares a capture with the definition on grids of its own: capture
// c lies on definition d as a lattice says. What the chain did to the levels
// is not known, so the target may be any level + gain*Y' + a share of CB
// and of CR + a share of the squares of R', G' and B': gain, setup, ranges and
// matrices are that exactly, gamma nearly.
type fitter struct {
	c, d   *grid
	plane  int   // of the capture, that is compared: 0, or 1 or 2 where luma is flat
	shares []int // planes of the definition that take part: 0 stands for Y' and the squares
	terms  int   // of the level: 1 + those of the shares
	rim    rim

	rows, cols int // every so manieth row is taken whole, and every so manieth column

	columns       []column
	buf           []point
	last          [3][4]*float32 // rows from which buf was made
	lastF         float64
	shown, before []float64 // what the last row that was added should be, for the slopes down
	shownAt       int
	hold          [freedoms]float64 // standard deviations of the step that are taken for granted
	stiff         bool              // levels are told by areas without edges alone: while the place is wrong they would make up for it
	noise         float64           // of a sample of the capture
}

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

const (
	freedoms = 4 // shift and scale across, shift and scale down
	maxTerms = 5
	maxFit   = maxTerms + freedoms
)

// newFitter returns a fitter. Planes of the definition without content take no
// part.
func newFitter(c, d *grid, plane, rows, cols int) *fitter {
	f := &fitter{c: c, d: d, plane: plane, rows: rows, cols: cols, terms: 1, noise: c.noise(plane),
		hold: [freedoms]float64{priorShift, priorScale, priorShift, priorScale}}
	for k := range 3 {
		if d.rows[k] == nil || plane > 0 && k == 0 {
			continue
		}
		f.shares = append(f.shares, k)
		f.terms++
		if k == 0 {
			f.terms++
		}
	}
	return f
}

// A fit is what a pass found.
type fit struct {
	m       lattice
	levels  [maxTerms]float64
	within  float64 // share of the capture that lies within the definition
	n       float64 // samples
	score   float64 // share of the target's variance that is explained at m
	edges   float64 // correlation of the changes from sample to sample and row to row, noise taken off
	residue float64 // variance that is not
	step    [freedoms]float64
	sigma   [freedoms][freedoms]float64 // covariance of the step
}

// pass compares at m. before is an earlier pass, whose levels give the slopes,
// and beyond half of white a sample counts for little.
func (f *fitter) pass(m lattice, before *fit) *fit {
	a := &sums{n: f.terms + freedoms}
	out := &fit{m: m}
	out.levels[1] = 1
	var far float64
	if before != nil {
		out.levels = before.levels
		far = farAway
	}
	var e edgeSums
	f.columns = f.columnsAt(m, 1)
	for j := f.rows / 2; j < f.c.h; j += f.rows {
		if f.add(a, m, j, &out.levels, far) {
			e.across(f, j)
		}
	}
	f.columns, f.shownAt = f.columnsAt(m, f.cols), -2
	for j := range f.c.h {
		before := append(f.before[:0], f.shown...)
		f.before = before
		if f.add(a, m, j, &out.levels, far) {
			if f.shownAt == j-1 {
				e.down(f, j)
			}
			f.shownAt = j
		}
	}
	out.n = a.count
	out.edges = e.correlation(f.noise)
	u0, u1 := m.U0, m.U0+float64(m.DU*float64(f.c.w-1))
	v0, v1 := m.V0, m.V0+float64(m.DV*float64(f.c.h-1))
	out.within = overlap(u0, u1, f.d.w) * overlap(v0, v1, f.d.h)
	f.solve(a, out)
	return out
}

// fitness is how well the place fits, 0 to 1. Levels alone say little: broad
// bars agree over most of their width when they are ten samples off.
func (t *fit) fitness() float64 { return 0.3*t.score + 0.7*t.edges }

// overlap returns which share of [a, b] lies within samples 0 to n-1.
func overlap(a, b float64, n int) float64 {
	return max(0, min(b, float64(n)-0.5)-max(a, -0.5)) / max(b-a, 1)
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

// add takes the columns of row j into the sums, if it lies within the
// definition.
func (f *fitter) add(a *sums, m lattice, j int, levels *[maxTerms]float64, far float64) bool {
	v := m.V0 + float64(m.DV*float64(j))
	if v < -0.5 || v > float64(f.d.h)-0.5 || atRim(v, f.rim.y0, f.rim.y1, f.rim.doubtY) {
		return false
	}
	f.points(v)
	f.shown = f.shown[:0]
	half := float64(f.c.h) / 2
	y := (float64(j) - half + 0.5) / half
	row := f.c.rows[f.plane][j]
	var q [maxFit + 1]float64
	q[0] = 1
	for i := range f.columns {
		col, p := &f.columns[i], &f.buf[i]
		n := 1
		var gx, gy float64
		is := levels[0]
		for _, c := range f.shares {
			l := levels[n]
			v := float64(p.v[c])
			q[n] = v
			is += l * v
			if c == 0 {
				bend := levels[n+1]
				q[n+1] = p.bend
				is += bend * p.bend
				gx += bend * p.bendX
				gy += bend * p.bendY
				n++
			}
			n++
			gx += l * float64(p.x[c])
			gy += l * float64(p.y[c])
		}
		q[n], q[n+1], q[n+2], q[n+3] = gx, gx*col.x, gy, gy*y
		t := float64(row[col.i])
		q[n+4] = t
		w := 1.0
		if far > 0 {
			w = 1 / (1 + (t-is)*(t-is)/far)
		}
		if p.quiet {
			a.addLevel(&q, w, n)
		} else {
			a.add(&q, w, n+freedoms)
		}
		f.shown = append(f.shown, is)
	}
	return true
}

// sums is a matrix of products, the target being the last of n+1.
type sums struct {
	n     int
	count float64
	m     [maxFit + 1][maxFit + 1]float64
	level [maxTerms + 1][maxTerms + 1]float64 // the same for levels, of areas without edges
}

// addLevel takes the first n of q, and the target behind the steps.
func (a *sums) addLevel(q *[maxFit + 1]float64, w float64, n int) {
	a.count++
	t := q[n+freedoms]
	for i := range n {
		x := w * q[i]
		row := &a.level[i]
		for k := i; k < n; k++ {
			row[k] += x * q[k]
		}
		row[maxTerms] += x * t
	}
	a.level[maxTerms][maxTerms] += w * t * t
}

// join makes m of all that was added, and level of what has no edges, with
// little of the rest for levels that are nowhere else.
func (a *sums) join(terms int) {
	const little = 0.02
	at := func(i int) int {
		if i == terms {
			return maxTerms
		}
		return i
	}
	t := terms + freedoms
	for i := range terms + 1 {
		for k := i; k <= terms; k++ {
			all := &a.m[i][k]
			switch {
			case i == terms:
				all = &a.m[t][t]
			case k == terms:
				all = &a.m[i][t]
			}
			quiet := &a.level[at(i)][at(k)]
			*all, *quiet = *all+*quiet, *quiet+little**all
		}
	}
}

func (a *sums) add(q *[maxFit + 1]float64, w float64, n int) {
	a.count++
	for i := 0; i <= n; i++ {
		x := w * q[i]
		if x == 0 {
			continue
		}
		row := &a.m[i]
		for k := i; k <= n; k++ {
			row[k] += x * q[k]
		}
	}
}

// Priors, that keep apart what a pattern cannot: a bend of levels and shares of
// color are small, and geometry stays where nothing says otherwise.
const (
	priorBend  = 0.5
	priorShare = 0.5
	priorShift = 40.0 // samples or rows
	priorScale = 15.0 // samples or rows at the edge
	farAway    = 0.25 // square of a difference: nearer, an edge could not pull the picture into place
	floorSigma = 0.004
)

// solve turns the sums into levels, score and the step.
func (f *fitter) solve(a *sums, out *fit) {
	a.join(f.terms)
	n, t := a.n, a.n
	weight := max(a.m[0][0], 1e-9)
	mean := a.m[0][t] / weight
	total := max(a.m[t][t]-weight*mean*mean, 1e-12)

	level := f.system(a, f.terms, floorSigma*floorSigma)
	if f.stiff {
		level = f.quietSystem(a)
	}
	x, ok := level.solution()
	if !ok || a.count < 50 {
		return
	}
	left := a.residue(x, t)
	out.score = min(max(1-left/total, 0), 1)
	out.residue = max(left, 0) / weight
	if f.plane == 0 && x[1]+2*x[2]*f.middle(a) < 0 {
		out.score = 0 // black shown white: no capture is like that
	}
	copy(out.levels[:], x)

	all := f.system(a, n, max(out.residue, floorSigma*floorSigma))
	if f.stiff {
		steps, ok := f.stepsAlone(a, all, x)
		if !ok {
			return
		}
		copy(out.step[:], steps)
	} else {
		if x, ok = all.solution(); !ok {
			return
		}
		copy(out.levels[:f.terms], x)
		copy(out.step[:], x[f.terms:])
	}
	if _, ok := all.root(); !ok {
		return
	}
	inverse := all.inverse()
	for i := range freedoms {
		for k := range freedoms {
			out.sigma[i][k] = inverse[f.terms+i][f.terms+k] * max(out.residue, floorSigma*floorSigma)
		}
	}
}

// quietSystem returns the equations of the levels alone, of areas without edges.
// A bend that those do not show is none.
func (f *fitter) quietSystem(a *sums) *equations {
	const noBend, little = 2e-4, 1e-6
	e := newEquations(f.terms)
	for i := range f.terms {
		for k := range f.terms {
			e.m[i][k] = a.level[min(i, k)][max(i, k)]
		}
		e.y[i] = a.level[i][maxTerms]
		e.m[i][i] += little * weightOf(a)
	}
	if f.plane == 0 {
		e.m[2][2] += noBend * weightOf(a)
	}
	return e
}

// stepsAlone solves for the step where the levels are given.
func (f *fitter) stepsAlone(a *sums, all *equations, levels []float64) ([]float64, bool) {
	e := newEquations(freedoms)
	for i := range freedoms {
		row := f.terms + i
		copy(e.m[i], all.m[row][f.terms:])
		e.y[i] = all.y[row]
		for k, l := range levels {
			e.y[i] -= float64(l * all.m[row][k])
		}
	}
	return e.solution()
}

// middle is the mean luma of the definition.
func (f *fitter) middle(a *sums) float64 { return a.m[0][1] / max(a.m[0][0], 1e-9) }

// residue returns the sum of squares that the solution leaves.
func (a *sums) residue(x []float64, t int) float64 {
	left := a.m[t][t]
	for i := range x {
		left -= 2 * x[i] * a.m[i][t]
		for k := range x {
			left += x[i] * x[k] * a.m[min(i, k)][max(i, k)]
		}
	}
	return left
}

// system returns the first n equations with the priors.
func (f *fitter) system(a *sums, n int, variance float64) *equations {
	e := newEquations(n)
	for i := range n {
		for k := range n {
			e.m[i][k] = a.m[min(i, k)][max(i, k)]
		}
		e.y[i] = a.m[i][a.n]
		e.m[i][i] += 1e-9 * weightOf(a)
		switch {
		case i >= f.terms:
			prior := f.hold[i-f.terms]
			e.m[i][i] += variance / (prior * prior)
		case f.plane == 0 && i == 2:
			e.m[i][i] += variance / (priorBend * priorBend)
		case i > 0 && f.plane == 0 && i > 2:
			e.m[i][i] += variance / (priorShare * priorShare)
		}
	}
	return e
}

func weightOf(a *sums) float64 { return max(a.m[0][0], 1) }

// moved returns m with a step of a fit applied, no coordinate of it beyond
// most samples or rows.
func (f *fitter) moved(m lattice, step [freedoms]float64, most float64) lattice {
	for i := range step {
		step[i] = min(max(step[i], -most), most)
	}
	w, h := float64(f.c.w)/2, float64(f.c.h)/2
	m.U0 += step[0] - float64(step[1]*(w-0.5)/w)
	m.DU += step[1] / w
	m.V0 += step[2] - float64(step[3]*(h-0.5)/h)
	m.DV += step[3] / h
	return m
}

// refine makes passes until the place stands still, most of them at most, and
// returns the last.
func (f *fitter) refine(m lattice, before *fit, most int, reach float64) *fit {
	best := f.pass(m, before)
	share := 1.0
	for range most - 1 {
		if still(best.step, 0.02) {
			break
		}
		step := best.step
		for i := range step {
			step[i] *= share
		}
		next := f.pass(f.moved(best.m, step, reach), best)
		switch {
		case next.within < 0.5:
			return best
		case next.residue > best.residue*1.0005:
			// Hard edges between rows throw the step too far.
			if share /= 2.5; share < 0.1 {
				return best
			}
		default:
			best, share = next, min(1, 1.5*share)
		}
	}
	return best
}

func still(step [freedoms]float64, least float64) bool {
	for _, s := range step {
		if math.Abs(s) > least {
			return false
		}
	}
	return true
}
