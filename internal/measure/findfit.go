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
