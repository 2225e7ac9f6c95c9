package colorimetry

// XY is a chromaticity of CIE 1931.
type XY struct{ X, Y float64 }

// XYZ is a color of CIE 1931; Y is luminance, in the unit of whoever made it.
type XYZ struct{ X, Y, Z float64 }

// At returns the color of a chromaticity at a luminance: X = x/y Y, Z =
// (1-x-y)/y Y. It is zero where y is.
func (c XY) At(luminance float64) XYZ {
	if c.Y == 0 {
		return XYZ{}
	}
	return XYZ{c.X / c.Y * luminance, luminance, (1 - c.X - c.Y) / c.Y * luminance}
}

// XY returns the chromaticity of a color, and false for no light at all.
func (c XYZ) XY() (xy XY, ok bool) {
	sum := c.X + c.Y + c.Z
	if sum == 0 {
		return XY{}, false
	}
	return XY{c.X / sum, c.Y / sum}, true
}

// Matrix turns the linear light of three guns into XYZ, or back.
type Matrix [3][3]float64

// Mul returns m times the column v.
func (m Matrix) Mul(v [3]float64) (out [3]float64) {
	for i, row := range m {
		out[i] = float64(row[0]*v[0]) + float64(row[1]*v[1]) + float64(row[2]*v[2])
	}
	return out
}

// XYZ returns the color of the light of three guns.
func (m Matrix) XYZ(r, g, b float64) XYZ {
	v := m.Mul([3]float64{r, g, b})
	return XYZ{v[0], v[1], v[2]}
}

// Inverse returns the inverse of m. It panics if there is none.
func (m Matrix) Inverse() (out Matrix) {
	minor := func(i, j int) float64 {
		a, b, c, d := m[(i+1)%3][(j+1)%3], m[(i+2)%3][(j+2)%3], m[(i+1)%3][(j+2)%3], m[(i+2)%3][(j+1)%3]
		return float64(a*b) - float64(c*d)
	}
	det := 0.0
	for j := range 3 {
		det += float64(m[0][j] * minor(0, j))
	}
	if det == 0 {
		panic("colorimetry: Inverse of a singular matrix")
	}
	for i := range 3 {
		for j := range 3 {
			out[j][i] = minor(i, j) / det
		}
	}
	return out
}
