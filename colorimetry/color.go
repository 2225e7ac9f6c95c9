package colorimetry

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/lucasb-eyer/go-colorful"
)

var named = []struct {
	name    string
	r, g, b float64
}{
	{"white", 1, 1, 1}, {"black", 0, 0, 0}, {"red", 1, 0, 0}, {"green", 0, 1, 0}, {"blue", 0, 0, 1},
	{"cyan", 0, 1, 1}, {"magenta", 1, 0, 1}, {"yellow", 1, 1, 0},
}

// ColorNames lists the names that [ParseColor] takes.
func ColorNames() []string {
	names := make([]string, len(named))
	for i, n := range named {
		names[i] = n.name
	}
	return names
}

// ColorRange says in words what [ParseColor] takes.
const ColorRange = "white, black, red, green, blue, cyan, magenta, yellow, gray-N (N per cent), R,G,B (per cent, 0 to 100) or #rrggbb"

// ParseColor reads a color name, gray-N with N in per cent (-7 to 109), three
// comma-separated per cents of R'G'B' (0 to 100), or #rrggbb in full range.
func ParseColor(text string) (Signal, error) {
	t := strings.ToLower(strings.TrimSpace(text))
	for _, n := range named {
		if n.name == t {
			return FromRGB(n.r, n.g, n.b), nil
		}
	}
	if strings.HasPrefix(t, "#") {
		c, err := colorful.Hex(t)
		if err != nil || len(t) != len("#rrggbb") { // Hex takes #rgb, too
			return Signal{}, fmt.Errorf("color %q is not #rrggbb, six hexadecimal digits such as #ff8000", text)
		}
		return FromRGB(c.R, c.G, c.B), nil
	}
	if n, ok := strings.CutPrefix(strings.Replace(t, "grey", "gray", 1), "gray-"); ok {
		v, ok := percent(n)
		if !ok || v < -7 || v > 109 {
			return Signal{}, fmt.Errorf("color %q: gray-N takes a per cent from -7 to 109, such as gray-50", text)
		}
		return Gray(v / 100), nil
	}
	if parts := strings.Split(t, ","); len(parts) == 3 {
		var v [3]float64
		for i, p := range parts {
			x, ok := percent(strings.TrimSpace(p))
			if !ok || x < 0 || x > 100 {
				return Signal{}, fmt.Errorf("color %q: R,G,B takes three per cents from 0 to 100, such as 75,0,0", text)
			}
			v[i] = x / 100
		}
		return FromRGB(v[0], v[1], v[2]), nil
	}
	return Signal{}, fmt.Errorf("unknown color %q; use %s", text, ColorRange)
}

// percent reads a decimal number. ParseFloat alone would take hexadecimal and
// the names of infinity as well.
func percent(text string) (v float64, ok bool) {
	if strings.Trim(text, "0123456789.+-") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil
}
