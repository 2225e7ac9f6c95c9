package colorimetry

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// White is a white to align to.
type White struct {
	Name, Title string
	XY
	Source string
}

var whites = []White{
	{"D65", "D65", XY{.3127, .3290}, "ITU-R BT.601-7 item 2.6.2"},
	{"D93", "9300 K daylight", XY{.2831, .2971}, "9300 K + 8 MPCD of Japanese master monitors (secondary)"},
	// Not 9300 K + 27 MPCD of CIE 1960, which is x .2786, y .3070 (calc).
	{"9300K+27MPCD", "9300 K + 27 MPCD of the trade", XY{.281, .311}, "a display equipment manual; its MPCD are older and larger ones: in those of CIE 1960 it is 8946 K + 28.5 (calc)"},
	{"D50", "D50", XY{.34567, .35850}, "CIE, as in a published data set"},
	{"D55", "D55", XY{.33243, .34744}, "CIE, as in a published data set"},
	{"D75", "D75", XY{.29903, .31488}, "CIE, as in a published data set"},
	{"C", "illuminant C", XY{.310, .316}, "ITU-R BT.470-6 table 2 item 2.2"},
}

// D65 is the white of both systems.
var D65 = whites[0]

// WhiteNames lists the names that [ParseWhite] takes.
func WhiteNames() (names []string) {
	for _, w := range whites {
		names = append(names, w.Name)
	}
	return names
}

// numbers reads n comma-separated decimal numbers.
func numbers(text string, n int) (v []float64, ok bool) {
	parts := strings.Split(text, ",")
	if len(parts) != n {
		return nil, false
	}
	for _, p := range parts {
		x, ok := percent(strings.TrimSpace(p))
		if !ok {
			return nil, false
		}
		v = append(v, x)
	}
	return v, true
}

// daylightC2 corrects nominal color temperatures, which were fixed with c2 of
// 1.438e-2 m K: the formula of the locus is fed with the present 1.4388e-2.
const daylightC2 = 1.4388 / 1.438

// Daylight returns the white of a nominal color temperature, 4000 to 25000 K,
// on the daylight locus of the CIE.
func Daylight(kelvin float64) (White, error) {
	if math.IsNaN(kelvin) || kelvin < 4000 || kelvin > 25000 {
		return White{}, fmt.Errorf("%g K is not on the daylight locus; use 4000 to 25000", kelvin)
	}
	t := min(kelvin*daylightC2, 25000)
	name := strconv.FormatFloat(kelvin, 'f', -1, 64) + " K"
	return White{name, name + " daylight", daylight(t), "CIE daylight locus, nominal temperature"}, nil
}

// daylight is the locus itself.
func daylight(t float64) XY {
	var x float64
	if t <= 7000 {
		x = -4.607e9/(t*t*t) + 2.9678e6/(t*t) + .09911e3/t + .244063
	} else {
		x = -2.0064e9/(t*t*t) + 1.9018e6/(t*t) + .24748e3/t + .23704
	}
	return XY{x, float64(-3*x*x) + float64(2.87*x) - .275}
}
