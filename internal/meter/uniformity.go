package meter

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"backporch/colorimetry"
)

// Center is the zone that the others are held against.
const Center = "center"

// Zones lists the nine zones of the screen as they are read, from the top left:
// those of misconvergence have the same names.
func Zones() []string {
	return []string{"top-left", "top", "top-right", "left", Center, "right", "bottom-left", "bottom", "bottom-right"}
}

// Uniform is what one white at several zones says.
type Uniform struct {
	Zones    []Zone // in the order of [Zones]
	Least    Zone   // that of least luminance
	Farthest Zone   // that whose color is farthest from the center's
}

// A Zone is one place of the screen.
type Zone struct {
	Name    string
	XYZ     colorimetry.XYZ // mean of all readings
	N       int
	Sigma   colorimetry.XYZ // standard deviation of one reading; 0 where there is but one
	XY      colorimetry.XY
	Percent float64 // luminance in per cent of the center's
	DUV     float64 // distance from the center in u', v'
	// Chroma is du*v* from the center at the lightness of white, 1300 times DUV: so
	// 2.6 is .002 in u', v' (EBU Tech 3320 v3 clause 5.14), and fall-off of light
	// does not hide a stain.
	Chroma float64
}

// Uniformity compares zones with the center. The center is needed, the others
// may be fewer than nine; names that are no zones are left out.
func Uniformity(samples []Sample) (*Uniform, error) {
	means := Average(slices.DeleteFunc(slices.Clone(samples), func(s Sample) bool { return !slices.Contains(Zones(), s.Name) }))
	u := &Uniform{}
	for _, name := range Zones() {
		for _, m := range means {
			if m.Name != name {
				continue
			}
			if slices.ContainsFunc(u.Zones, func(z Zone) bool { return z.Name == name }) {
				return nil, fmt.Errorf("the %s was read at two levels of the signal; read all zones at the same", name)
			}
			xy, ok := m.XYZ.XY()
			if !ok || !(m.XYZ.Y > 0) {
				return nil, fmt.Errorf("the reading of the %s is of no light, so nothing can be said of it; read it again", name)
			}
			u.Zones = append(u.Zones, Zone{Name: name, XYZ: m.XYZ, N: m.N, Sigma: m.Sigma, XY: xy})
		}
	}
	i := slices.IndexFunc(u.Zones, func(z Zone) bool { return z.Name == Center })
	switch {
	case i < 0:
		return nil, fmt.Errorf("there is no reading of the center, which the other zones are compared with; read it, and as many as you can of %s", strings.Join(Zones(), ", "))
	case len(u.Zones) < 2:
		return nil, fmt.Errorf("the center alone says nothing of uniformity; read at least one more of %s", strings.Join(Zones(), ", "))
	}
	center := u.Zones[i].XY.UV1976()
	light := u.Zones[i].XYZ.Y
	for j := range u.Zones {
		z := &u.Zones[j]
		at := z.XY.UV1976()
		z.Percent = 100 * z.XYZ.Y / light
		z.DUV = math.Hypot(at.U-center.U, at.V-center.V)
		z.Chroma = 1300 * z.DUV
	}
	u.Least = slices.MinFunc(u.Zones, func(a, b Zone) int { return cmp.Compare(a.Percent, b.Percent) })
	u.Farthest = slices.MaxFunc(u.Zones, func(a, b Zone) int { return cmp.Compare(a.DUV, b.DUV) })
	return u, nil
}
