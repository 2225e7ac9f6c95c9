package measure

import "math"

// solve solves the symmetric positive definite a*x = g of order n; false if a is
// none.
func solve(a [numParameters][numParameters]float64, g [numParameters]float64, x *[numParameters]float64, n int) bool {
	det, inverse := invert(a, n)
	if !(det > 0) {
		return false
	}
	for i := range n {
		x[i] = 0
		for j := range n {
			x[i] += float64(inverse[i][j] * g[j])
		}
	}
	return true
}

// invert returns determinant and inverse of the symmetric positive definite a of
// order n, by elimination without exchange of rows; 0 if a is none.
func invert(a [numParameters][numParameters]float64, n int) (det float64, inverse [numParameters][numParameters]float64) {
	det = 1
	for i := range n {
		inverse[i][i] = 1
	}
	for i := range n {
		pivot := a[i][i]
		if !(pivot > 1e-12) || math.IsInf(pivot, 0) {
			return 0, inverse
		}
		det *= pivot
		for j := range n {
			a[i][j] /= pivot
			inverse[i][j] /= pivot
		}
		for k := range n {
			if k == i {
				continue
			}
			f := a[k][i]
			for j := range n {
				a[k][j] -= float64(f * a[i][j])
				inverse[k][j] -= float64(f * inverse[i][j])
			}
		}
	}
	return det, inverse
}
