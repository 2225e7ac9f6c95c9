package geometry

import "math"

// enough is how much of a shape, as a share of its length, must be new over the
// simpler ones for the points to show it. Below it a reading error would come
// out twenty times greater.
const enough = 0.05

// A solver fits named columns to readings by least squares: Gram-Schmidt with a
// second pass, which keeps the columns square to each other to rounding.
type solver struct {
	q     [][]float64 // columns at right angles, of length 1
	r     [][]float64 // r[j][i]: how much of q[i] is in column j, i <= j
	kept  []int       // of the columns offered, in order
	vague []bool      // of the kept: another shape, no less simple, looks the same at these points
	b     []float64   // coefficients of the kept columns
	left  []float64   // of the readings
	sigma float64     // standard error of a reading
}

// solve offers the columns in order, the simplest first, and keeps those that
// the readings show. One that is left out is a mixture of kept ones at these
// points: where those are simpler, it is taken to be absent; where they are not,
// what was found may be either, and the kept ones are vague. orders say how
// simple each is. stated is the standard error of a reading.
func solve(columns [][]float64, orders []int, y []float64, stated float64) *solver {
	s := &solver{left: append([]float64(nil), y...), sigma: stated}
	n := len(y)
	for j, col := range columns {
		w := append([]float64(nil), col...)
		whole := norm(w)
		row := make([]float64, len(s.q)+1)
		for range 2 {
			for i, q := range s.q {
				c := dot(q, w)
				row[i] += c
				take(w, q, c)
			}
		}
		rest := norm(w)
		if whole == 0 {
			continue
		}
		if rest < enough*whole {
			for k, c := range s.mixture(row[:len(s.q)]) {
				share := math.Abs(c) * norm(columns[s.kept[k]])
				s.vague[k] = s.vague[k] || orders[s.kept[k]] >= orders[j] && share > enough*whole
			}
			continue
		}
		row[len(s.q)] = rest
		for i := range w {
			w[i] /= rest
		}
		s.q, s.r, s.kept = append(s.q, w), append(s.r, row), append(s.kept, j)
		s.vague = append(s.vague, false)
	}
	z := make([]float64, len(s.q))
	for i, q := range s.q {
		z[i] = dot(q, s.left)
		take(s.left, q, z[i])
	}
	s.b = s.mixture(z)
	if free := n - len(s.q); free > 0 {
		s.sigma = math.Max(stated, math.Sqrt(dot(s.left, s.left)/float64(free)))
	}
	return s
}

// mixture says how much of each kept column makes what has the shares z of the
// columns at right angles.
func (s *solver) mixture(z []float64) []float64 {
	b := make([]float64, len(z))
	for j := len(z) - 1; j >= 0; j-- {
		v := z[j]
		for k := j + 1; k < len(z); k++ {
			v -= float64(s.r[k][j] * b[k])
		}
		b[j] = v / s.r[j][j]
	}
	return b
}

// tells reports whether a weighted sum of the kept coefficients rests on none
// that is vague.
func (s *solver) tells(weights []float64) bool {
	for i, w := range weights {
		if s.vague[i] && math.Abs(w) > 1e-9 {
			return false
		}
	}
	return true
}

// variance of a weighted sum of the kept coefficients.
func (s *solver) variance(weights []float64) float64 {
	// With columns = Q R the sum is (inverse of R' times weights) . Q'y.
	v := 0.0
	x := make([]float64, len(weights))
	for j := range weights {
		t := weights[j]
		for i := range j {
			t -= float64(s.r[j][i] * x[i])
		}
		x[j] = t / s.r[j][j]
		v += float64(x[j] * x[j])
	}
	return v * s.sigma * s.sigma
}

// leverage is how much of reading i the fit takes from that reading itself.
func (s *solver) leverage(i int) float64 {
	h := 0.0
	for _, q := range s.q {
		h += float64(q[i] * q[i])
	}
	return h
}

func dot(a, b []float64) (v float64) {
	for i := range a {
		v += float64(a[i] * b[i])
	}
	return v
}

func norm(a []float64) float64 { return math.Sqrt(dot(a, a)) }

func take(w, q []float64, c float64) {
	for i := range w {
		w[i] -= float64(c * q[i])
	}
}
