package white

import (
	"fmt"
	"math"

	"backporch/colorimetry"
)

// tube turns XYZ into the light of the three guns: equal where a step is at the
// target, and then each is its luminance.
type tube struct {
	o     Options
	m     colorimetry.Matrix // light of the guns to XYZ
	back  colorimetry.Matrix
	white colorimetry.UV // u', v' of the target
}

func newTube(o Options) (*tube, error) {
	t := &tube{o: o, white: o.Target.UV1976()}
	switch {
	case o.Keep < Red || o.Keep > Blue:
		return nil, fmt.Errorf("gun %d to keep: there are red (0), green (1) and blue (2)", o.Keep)
	case o.Gamma != 0 && !(o.Gamma >= 1 && o.Gamma <= 4):
		return nil, fmt.Errorf("gamma %g: a picture tube has 2 to 3; give 1 to 4, or none", o.Gamma)
	case !(o.Target.X > 0 && o.Target.Y > 0 && o.Target.X+o.Target.Y < 1):
		return nil, fmt.Errorf("target white %q: x %g, y %g is no color", o.Target.Name, o.Target.X, o.Target.Y)
	case !finite(o.Black) || min(o.Black.X, o.Black.Y, o.Black.Z) < 0:
		return nil, fmt.Errorf("light of the unlit screen %s: X, Y and Z are 0 or more; measure it again, or leave it out", text(o.Black))
	}
	column := func(c colorimetry.XY) colorimetry.XYZ { return colorimetry.XYZ{X: c.X, Y: c.Y, Z: 1 - c.X - c.Y} }
	columns := [3]colorimetry.XYZ{column(o.Primaries.R), column(o.Primaries.G), column(o.Primaries.B)}
	whose := "the primaries"
	if o.Primaries.Name != "" {
		whose += " " + o.Primaries.Name
	}
	if o.Measured != nil {
		whose = "the measured fields"
		for g, field := range o.Measured {
			lit := less(field, o.Black)
			if !finite(field) || !(lit.Y > 0) || lit.X < 0 || lit.Z < 0 {
				return nil, fmt.Errorf("%s field %s: no more light than the unlit screen; measure the field again, or give primaries instead", Gun(g), text(field))
			}
			columns[g] = lit
		}
	}
	for g, c := range columns {
		sum := c.X + c.Y + c.Z
		t.m[0][g], t.m[1][g], t.m[2][g] = c.X/sum, c.Y/sum, c.Z/sum
	}
	if det := determinant(t.m); !(math.Abs(det) > 1e-3) {
		return nil, fmt.Errorf("%s span no triangle: two of them are the same color, or all lie on a line; measure a red, a green and a blue field", whose)
	}
	w := o.Target.XY.At(1)
	share := t.m.Inverse().Mul([3]float64{w.X, w.Y, w.Z})
	for g := range share {
		if !(share[g] > 0) {
			return nil, fmt.Errorf("%s cannot make the target white %s (x %.4f, y %.4f): it would need light below none of %s; choose another white, or measure the three fields",
				whose, o.Target.Name, o.Target.X, o.Target.Y, Gun(g))
		}
		for i := range t.m {
			t.m[i][g] *= share[g]
		}
	}
	t.back = t.m.Inverse()
	return t, nil
}

func determinant(m colorimetry.Matrix) (det float64) {
	for j := range 3 {
		a, b := (j+1)%3, (j+2)%3
		det += m[0][j] * (float64(m[1][a]*m[2][b]) - float64(m[1][b]*m[2][a]))
	}
	return det
}

// lights returns the light of the guns of a reading; some may be none or less.
func (t *tube) lights(c colorimetry.XYZ) [3]float64 {
	l := less(c, t.o.Black)
	return t.back.Mul([3]float64{l.X, l.Y, l.Z})
}

// off returns the distance from the target of the light of three guns.
func (t *tube) off(l [3]float64) float64 {
	xy, ok := t.m.XYZ(l[0], l[1], l[2]).XY()
	if !ok {
		return 0
	}
	uv := xy.UV1976()
	return math.Hypot(uv.U-t.white.U, uv.V-t.white.V)
}

// color returns what a meter reads of the light of three guns: the unlit screen
// is in it.
func (t *tube) color(l [3]float64) colorimetry.XYZ {
	c := t.m.XYZ(l[0], l[1], l[2])
	return colorimetry.XYZ{X: c.X + t.o.Black.X, Y: c.Y + t.o.Black.Y, Z: c.Z + t.o.Black.Z}
}

// slope returns the change of u', v' for a relative change of the light of each
// gun, at the target.
func (t *tube) slope() (s [2][3]float64) {
	const h = 1e-4
	at := func(g int, k float64) colorimetry.UV {
		l := [3]float64{1, 1, 1}
		l[g] = k
		xy, _ := t.m.XYZ(l[0], l[1], l[2]).XY()
		return xy.UV1976()
	}
	for g := range 3 {
		a, b := at(g, 1-h), at(g, 1+h)
		s[0][g], s[1][g] = (b.U-a.U)/(2*h), (b.V-a.V)/(2*h)
	}
	return s
}

// check refuses readings from which nothing can be worked out.
func (t *tube) check(steps []Reading) error {
	if len(steps) < 2 {
		return fmt.Errorf("gray steps given: %d; two at least are needed, a dark one (10 to 20 %%) and a light one (80 to 100 %%)", len(steps))
	}
	least, most := math.Inf(1), math.Inf(-1)
	for _, r := range steps {
		at := level(r.Level)
		switch {
		case !(r.Level > -.1 && r.Level < 1.2):
			return fmt.Errorf("gray step of level %g: 0 is black and 1 is white", r.Level)
		case !finite(r.XYZ):
			return fmt.Errorf("gray step at %s: %s is no light; read it again", at, text(r.XYZ))
		case !(r.Noise >= 0 && r.Noise < 1):
			return fmt.Errorf("gray step at %s: noise of %g; give it as a fraction, such as 0.003", at, r.Noise)
		case r.XYZ.Y <= t.o.Black.Y || r.XYZ.X < t.o.Black.X || r.XYZ.Z < t.o.Black.Z:
			return fmt.Errorf("gray step at %s: %s is no more than the unlit screen, %s; take a lighter step, or measure the unlit screen again", at, text(r.XYZ), text(t.o.Black))
		}
		least, most = min(least, r.Level), max(most, r.Level)
	}
	if most-least < .05 {
		return fmt.Errorf("gray steps from %s to %s: too close to tell drive from cutoff; take one at 10 to 20 %% and one at 80 to 100 %%", level(least), level(most))
	}
	return nil
}

func less(a, b colorimetry.XYZ) colorimetry.XYZ {
	return colorimetry.XYZ{X: a.X - b.X, Y: a.Y - b.Y, Z: a.Z - b.Z}
}

func finite(c colorimetry.XYZ) bool {
	sum := c.X + c.Y + c.Z
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

func text(c colorimetry.XYZ) string { return fmt.Sprintf("X %.4g Y %.4g Z %.4g", c.X, c.Y, c.Z) }

func level(v float64) string { return fmt.Sprintf("%.4g %%", 100*v) }
