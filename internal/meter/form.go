package meter

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"backporch/colorimetry"
)

// A Form is how three figures spell a color with its light.
type Form string

// The forms, as they are spelled.
const (
	XYY Form = "xyY"   // chromaticity of CIE 1931, luminance
	XYZ Form = "XYZ"   // of CIE 1931, cd/m2
	YUV Form = "Yu'v'" // luminance, chromaticity of CIE 1976
)

// Forms lists the forms.
func Forms() []Form { return []Form{XYY, XYZ, YUV} }

// ParseForm reads a form; capitals do not matter, and Yuv is Yu'v', for shells
// in which a quote is a nuisance.
func ParseForm(text string) (Form, error) {
	plain := strings.ReplaceAll(quotes(strings.TrimSpace(text)), "'", "")
	for _, f := range Forms() {
		if strings.EqualFold(plain, strings.ReplaceAll(string(f), "'", "")) {
			return f, nil
		}
	}
	return "", fmt.Errorf("unknown form %q of a reading; use xyY (chromaticity, cd/m2), XYZ (cd/m2) or Yuv (cd/m2, u', v' of CIE 1976)", text)
}

// figures names the three.
func (f Form) figures() [3]string {
	switch f {
	case XYZ:
		return [3]string{"X", "Y", "Z"}
	case YUV:
		return [3]string{"Y", "u'", "v'"}
	}
	return [3]string{"x", "y", "Y"}
}

// ParseTriple reads three figures of a form, such as "0.3127 0.3290 80": blanks,
// semicolons or commas between them. Where no comma separates, one may stand for
// the decimal point.
func ParseTriple(f Form, text string) (colorimetry.XYZ, error) {
	comma := strings.ContainsAny(text, "; \t")
	words := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\t' || r == ';' || r == ',' && !comma })
	if comma { // "0.3127, 0.3290, 80" has both
		for i := range words {
			words[i] = strings.TrimSuffix(words[i], ",")
		}
	}
	names := f.figures()
	if len(words) != 3 {
		return colorimetry.XYZ{}, fmt.Errorf("%q is not the three figures of %s; write %s, such as %q", text, f, strings.Join(names[:], " "), f.example())
	}
	var v [3]float64
	for i, word := range words {
		x, err := figure(word, true)
		if err != nil {
			return colorimetry.XYZ{}, fmt.Errorf("%s: %w; write %s, such as %q", names[i], err, strings.Join(names[:], " "), f.example())
		}
		v[i] = x
	}
	return f.light(v)
}

// example is D65 at 80 cd/m2.
func (f Form) example() string {
	switch f {
	case XYZ:
		return "76.04 80 87.12"
	case YUV:
		return "80 0.1978 0.4683"
	}
	return "0.3127 0.3290 80"
}

// figure reads one number. A decimal comma is taken where it is allowed.
func figure(text string, comma bool) (float64, error) {
	word := strings.TrimSpace(text)
	if comma && strings.Count(word, ",") == 1 && !strings.Contains(word, ".") {
		word = strings.Replace(word, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(word, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || strings.ContainsAny(word, "xX_") {
		return 0, fmt.Errorf("%q is not a number", text)
	}
	return v, nil
}

// What no meter in front of a picture tube reads, cd/m2.
const mostLight = 1e5

// leastY is the least y of a chromaticity: that of the spectrum itself stays
// above .004 (CIE 1931).
const leastY = 0.001

// light makes XYZ of three figures and refuses what is no light.
func (f Form) light(v [3]float64) (c colorimetry.XYZ, err error) {
	names := f.figures()
	for i, x := range v {
		if x < 0 {
			return c, fmt.Errorf("%s is %g, and no light has less than 0; check the reading, and the meter's zero", names[i], x)
		}
	}
	switch f {
	case XYZ:
		c = colorimetry.XYZ{X: v[0], Y: v[1], Z: v[2]}
		if xy, ok := c.XY(); ok && xy.Y < leastY {
			return colorimetry.XYZ{}, fmt.Errorf("the light X %g, Y %g, Z %g is no color: next to no Y beside the others; are the columns in their order?", v[0], v[1], v[2])
		}
	case YUV:
		d := 4 - float64(16*v[2]/3) + float64(2*v[1]) // as in x = 9u'/(6u'-16v'+12)
		xy := colorimetry.UV{U: v[1], V: v[2]}.XY1976()
		if v[0] > 0 && (!(d > 0) || !possible(xy)) {
			return c, fmt.Errorf("u' %g, v' %g is no color (u' ends at 0.63, v' at 0.6); are Y, u' and v' in their order?", v[1], v[2])
		}
		if v[0] > 0 {
			c = xy.At(v[0])
		}
	default:
		xy := colorimetry.XY{X: v[0], Y: v[1]}
		if v[2] > 0 && !possible(xy) {
			return c, fmt.Errorf("x %g, y %g is no color: their sum is 1 at most and y above 0; are x, y and Y in their order?", v[0], v[1])
		}
		if v[2] > 0 {
			c = xy.At(v[2])
		}
	}
	if most := max(c.X, c.Y, c.Z); most > mostLight {
		return colorimetry.XYZ{}, fmt.Errorf("%g cd/m2 is more than any tube gives (%g at most); are the figures in the order %s?", most, float64(mostLight), strings.Join(names[:], " "))
	}
	return c, nil
}

func possible(c colorimetry.XY) bool { return c.X >= 0 && c.Y >= leastY && c.X+c.Y <= 1 }

// quotes writes every kind of prime and apostrophe as one.
func quotes(text string) string {
	return strings.NewReplacer("′", "'", "’", "'", "`", "'", "´", "'", "_prime", "'", " prime", "'").Replace(text)
}
