package meter

import (
	"math"

	"backporch/colorimetry"
)

// A Mean is all readings of one level or of one name.
type Mean struct {
	Level float64
	Name  string
	XYZ   colorimetry.XYZ
	N     int
	Sigma colorimetry.XYZ // standard deviation of one reading; 0 where there is but one
}

// sameLevel is how near two levels are that are one: less than a 10-bit code.
const sameLevel = 0.0005

// Average puts readings of the same level and name together, in the order of the
// first of each. The standard deviation is that of single readings (divisor one
// less than their number): how well the meter repeats, and the set holds still.
func Average(samples []Sample) []Mean {
	var means []Mean
	of := make([]int, len(samples)) // which mean each sample belongs to
	for i, s := range samples {
		of[i] = len(means)
		for j, m := range means {
			if m.Name == s.Name && math.Abs(m.Level-s.Level) < sameLevel {
				of[i] = j
				break
			}
		}
		if of[i] == len(means) {
			means = append(means, Mean{Level: s.Level, Name: s.Name})
		}
		means[of[i]].N++
	}
	for i, s := range samples {
		m := &means[of[i]]
		n := float64(m.N)
		m.XYZ.X += s.XYZ.X / n
		m.XYZ.Y += s.XYZ.Y / n
		m.XYZ.Z += s.XYZ.Z / n
	}
	square := func(v float64) float64 { return v * v }
	for i, s := range samples {
		if m := &means[of[i]]; m.N > 1 {
			n := float64(m.N - 1)
			m.Sigma.X += square(s.XYZ.X-m.XYZ.X) / n
			m.Sigma.Y += square(s.XYZ.Y-m.XYZ.Y) / n
			m.Sigma.Z += square(s.XYZ.Z-m.XYZ.Z) / n
		}
	}
	for i := range means {
		v := &means[i].Sigma
		*v = colorimetry.XYZ{X: math.Sqrt(v.X), Y: math.Sqrt(v.Y), Z: math.Sqrt(v.Z)}
	}
	return means
}
