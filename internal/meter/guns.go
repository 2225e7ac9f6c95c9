package meter

import (
	"fmt"
	"math"
	"strings"

	"backporch/colorimetry"
)

// gunNames are the names of the guns in the order of every list.
func gunNames() [3]string { return [3]string{"red", "green", "blue"} }

// FieldSet is what plain fields of each gun say.
type FieldSet struct {
	Guns       [3]GunField // red, green, blue
	Black      colorimetry.XYZ
	BlackKnown bool // it is taken off the fields of the guns
	White      colorimetry.XYZ
	WhiteKnown bool
	Sum        colorimetry.XYZ // of the three guns and black: white, if they add up
	// Additivity is how much more luminance the sum has than white, per cent of
	// white. Light of picture tubes adds up; what is missing in white the supply or
	// a beam limiter takes.
	Additivity    float64
	AdditivityDUV float64 // distance of the sum from white in u', v'
	Primaries     colorimetry.Primaries
	Together      colorimetry.XY // chromaticity of the three guns' light
}

// Light is that of the three guns, each less black.
func (f *FieldSet) Light() (light [3]colorimetry.XYZ) {
	for i, g := range f.Guns {
		light[i] = g.XYZ
	}
	return light
}

// A GunField is the field of one gun less black.
type GunField struct {
	XYZ   colorimetry.XYZ
	XY    colorimetry.XY
	Share float64 // of the luminance of the three, per cent
	N     int
	Sigma colorimetry.XYZ // standard deviation of one reading; 0 where there is but one
}

// Guns says what the fields red, green and blue say, and white and black where
// they were read. In each field the other two guns give the light of black, and
// so does the room: black is taken off.
func Guns(samples []Sample) (*FieldSet, error) {
	f := &FieldSet{}
	found := map[string]Mean{}
	for _, m := range Average(samples) {
		if _, twice := found[m.Name]; twice && m.Name != "" {
			return nil, fmt.Errorf("the field %s was read at two levels of the signal; read each at one", m.Name)
		}
		found[m.Name] = m
	}
	var missing []string
	for _, name := range gunNames() {
		if _, ok := found[name]; !ok {
			missing = append(missing, name)
		}
	}
	if len(missing) > 0 {
		return nil, fmt.Errorf("no reading of a field called %s; all three guns are needed, and white and black tell more", strings.Join(missing, ", "))
	}
	if m, ok := found["black"]; ok {
		f.Black, f.BlackKnown = m.XYZ, true
	}
	var light [3]colorimetry.XYZ
	for i, name := range gunNames() {
		m := found[name]
		g := GunField{XYZ: less(m.XYZ, f.Black), N: m.N, Sigma: m.Sigma}
		if min(g.XYZ.X, g.XYZ.Z) < 0 || !(g.XYZ.Y > 0) {
			return nil, fmt.Errorf("the field %s gives less light than black (X %.4g, Y %.4g, Z %.4g after black is taken off); read both again in the same light", name, g.XYZ.X, g.XYZ.Y, g.XYZ.Z)
		}
		g.XY, _ = g.XYZ.XY()
		f.Guns[i], light[i] = g, g.XYZ
	}
	var err error
	if f.Primaries, err = primaries(light); err != nil {
		return nil, err
	}
	var three colorimetry.XYZ
	for _, g := range f.Guns {
		three.X += g.XYZ.X
		three.Y += g.XYZ.Y
		three.Z += g.XYZ.Z
	}
	for i := range f.Guns {
		f.Guns[i].Share = 100 * f.Guns[i].XYZ.Y / three.Y
	}
	f.Together, _ = three.XY()
	f.Sum = colorimetry.XYZ{X: three.X + f.Black.X, Y: three.Y + f.Black.Y, Z: three.Z + f.Black.Z}
	if m, ok := found["white"]; ok {
		xy, lit := m.XYZ.XY()
		if !lit || !(m.XYZ.Y > 0) {
			return nil, fmt.Errorf("the reading of the field white is of no light; read it again, or leave it out")
		}
		f.White, f.WhiteKnown = m.XYZ, true
		f.Additivity = 100 * (f.Sum.Y - f.White.Y) / f.White.Y
		sum, _ := f.Sum.XY()
		a, b := sum.UV1976(), xy.UV1976()
		f.AdditivityDUV = math.Hypot(a.U-b.U, a.V-b.V)
	}
	return f, nil
}

// leastArea of the triangle of three primaries on the CIE 1931 diagram: those of
// tubes have .1 and more.
const leastArea = 1e-3

// primaries are the chromaticities of measured guns.
func primaries(light [3]colorimetry.XYZ) (colorimetry.Primaries, error) {
	var xy [3]colorimetry.XY
	for i, name := range gunNames() {
		c, ok := light[i].XY()
		if !ok || !(light[i].Y > 0) {
			return colorimetry.Primaries{}, fmt.Errorf("the measured field %s gives no light; read it again, or name the primaries", name)
		}
		xy[i] = c
	}
	switch a := area(xy[0], xy[1], xy[2]); {
	case math.Abs(a) < leastArea:
		return colorimetry.Primaries{}, fmt.Errorf("the measured fields have nearly the same color (x, y %.3f %.3f, %.3f %.3f, %.3f %.3f): are they those of one gun each?", xy[0].X, xy[0].Y, xy[1].X, xy[1].Y, xy[2].X, xy[2].Y)
	case a < 0:
		return colorimetry.Primaries{}, fmt.Errorf("the measured fields are not red, green and blue in this order (x, y %.3f %.3f, %.3f %.3f, %.3f %.3f); which is which?", xy[0].X, xy[0].Y, xy[1].X, xy[1].Y, xy[2].X, xy[2].Y)
	}
	return colorimetry.Primaries{Name: "measured", Title: "measured", R: xy[0], G: xy[1], B: xy[2], Source: "as measured"}, nil
}

// area is that of a triangle, positive where red, green and blue are in order.
func area(r, g, b colorimetry.XY) float64 {
	return (float64((g.X-r.X)*(b.Y-r.Y)) - float64((b.X-r.X)*(g.Y-r.Y))) / 2
}
