package measure

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
