package measure

import "math"

// equations is a symmetric, positive system of a few unknowns.
type equations struct {
	m [][]float64
	y []float64
}

func newEquations(n int) *equations {
	e := &equations{m: make([][]float64, n), y: make([]float64, n)}
	for i := range e.m {
		e.m[i] = make([]float64, n)
	}
	return e
}

// root returns the lower triangle whose product with its transpose is m
// (Cholesky).
func (e *equations) root() (l [][]float64, ok bool) {
	n := len(e.y)
	l = make([][]float64, n)
	for i := range n {
		l[i] = make([]float64, n)
		for k := range i + 1 {
			s := e.m[i][k]
			for q := range k {
				s -= float64(l[i][q] * l[k][q])
			}
			if i > k {
				l[i][k] = s / l[k][k]
				continue
			}
			if !(s > 1e-12*e.m[i][i]) {
				return nil, false
			}
			l[i][i] = math.Sqrt(s)
		}
	}
	return l, true
}

func (e *equations) solution() (x []float64, ok bool) {
	l, ok := e.root()
	if !ok {
		return nil, false
	}
	return substituted(l, e.y), true
}

// substituted solves l*transposed(l)*x = y.
func substituted(l [][]float64, y []float64) []float64 {
	n := len(y)
	x := append([]float64(nil), y...)
	for i := range n {
		for k := range i {
			x[i] -= float64(l[i][k] * x[k])
		}
		x[i] /= l[i][i]
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			x[i] -= float64(l[k][i] * x[k])
		}
		x[i] /= l[i][i]
	}
	return x
}

// inverse returns the inverse of m, which must have a root.
func (e *equations) inverse() [][]float64 {
	l, _ := e.root()
	out := make([][]float64, len(e.y))
	for i := range out {
		unit := make([]float64, len(e.y))
		unit[i] = 1
		out[i] = substituted(l, unit)
	}
	return out
}
