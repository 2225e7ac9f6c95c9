package trace

import "math"

// A tone is what is found of a level with a subcarrier on it: mean + the
// imaginary part of z*exp(j*w*t), t from the first sample. Its phase is
// that of a sine.
type tone struct {
	level float64
	z     complex128
}

// fitTone finds the tone of frequency mhz that is nearest, by least squares,
// to the samples between two times; false where they are too few.
func (s *signal) fitTone(from, to, mhz float64) (tone, bool) {
	i, j := max(0, s.index(from)), min(len(s.v), s.index(to))
	if j-i < 6 || float64(j-i)*s.step*mhz < 1 {
		return tone{}, false
	}
	// Normal equations for 1, sin and cos about the middle, where they are
	// nearly orthogonal.
	mid := (s.at(i) + s.at(j-1)) / 2
	var a [3][4]float64
	for k := i; k < j; k++ {
		sin, cos := math.Sincos(2 * math.Pi * mhz * (s.at(k) - mid))
		x := [4]float64{1, sin, cos, s.v[k]}
		for r := range 3 {
			for c := range 4 {
				a[r][c] += float64(x[r] * x[c])
			}
		}
	}
	p, ok := solve3(a)
	if !ok {
		return tone{}, false
	}
	// sin(w(t-mid)+f) = sin(wt + f-w*mid).
	sin, cos := math.Sincos(2 * math.Pi * mhz * mid)
	return tone{p[0], complex(p[1], p[2]) * complex(cos, -sin)}, true
}

// solve3 solves three linear equations.
func solve3(a [3][4]float64) (x [3]float64, ok bool) {
	for c := range 3 {
		best := c
		for r := c + 1; r < 3; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[best][c]) {
				best = r
			}
		}
		a[c], a[best] = a[best], a[c]
		if math.Abs(a[c][c]) < 1e-9 {
			return x, false
		}
		for r := c + 1; r < 3; r++ {
			k := a[r][c] / a[c][c]
			for i := c; i < 4; i++ {
				a[r][i] -= float64(k * a[c][i])
			}
		}
	}
	for r := 2; r >= 0; r-- {
		v := a[r][3]
		for c := r + 1; c < 3; c++ {
			v -= float64(a[r][c] * x[c])
		}
		x[r] = v / a[r][r]
	}
	return x, true
}

// wrap returns an angle in degrees from -180 up to but not including 180.
func wrap(d float64) float64 {
	d = math.Mod(d+180, 360)
	if d < 0 {
		d += 360
	}
	return d - 180
}

// turn returns an angle in degrees from 0 up to but not including 360.
func turn(d float64) float64 {
	if d = math.Mod(d, 360); d < 0 {
		d += 360
	}
	if d >= 360 {
		return 0
	}
	return d
}
