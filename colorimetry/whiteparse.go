package colorimetry

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// WhiteRange says in words what [ParseWhite] takes.
func WhiteRange() string {
	return strings.Join(WhiteNames(), ", ") + ", kelvin of daylight from 4000 to 25000 such as 6500, daylight:7500+2 or blackbody:9300+8 (kelvin, then MPCD of CIE 1960 off that locus, + is green), or x,y"
}

// ParseWhite reads the name of a white, a color temperature of the daylight
// locus (6500 or 6500K), a temperature of either locus with a distance from it
// (daylight:7500-2, blackbody:6500+8), or x,y.
func ParseWhite(text string) (White, error) {
	for _, w := range whites {
		if strings.EqualFold(w.Name, text) {
			return w, nil
		}
	}
	if v, ok := numbers(text, 2); ok {
		w := White{Name: text, Title: "x " + strconv.FormatFloat(v[0], 'f', -1, 64) + " y " + strconv.FormatFloat(v[1], 'f', -1, 64), XY: XY{v[0], v[1]}, Source: "as given"}
		if !w.real() {
			return White{}, fmt.Errorf("white %q is no color: x and y are above 0 and their sum below 1", text)
		}
		return w, nil
	}
	if v, ok := numbers(strings.TrimSuffix(strings.ToUpper(text), "K"), 1); ok {
		return Daylight(v[0])
	}
	if name, rest, ok := strings.Cut(text, ":"); ok {
		for _, l := range loci() {
			if strings.EqualFold(l.name, strings.TrimSpace(name)) {
				return l.parse(text, rest)
			}
		}
	}
	return White{}, fmt.Errorf("unknown white %q; use %s", text, WhiteRange())
}

// A locus is a line of whites by color temperature.
type locus struct {
	name, title, source string
	least, most         float64 // kelvin
	at                  func(kelvin float64) XY
}

func loci() []locus {
	return []locus{
		{"daylight", "daylight", "CIE daylight locus, nominal temperature", 4000, 25000, func(k float64) XY { return daylight(min(k*daylightC2, 25000)) }},
		{"blackbody", "black body", "Planck's law with c2 of 1.4388e-2 m K and the CIE 1931 observer", 1000, 25000, BlackBody},
	}
}

// mostMPCD keeps whites where a color temperature has a meaning: beyond 125 MPCD
// it has none, and daylight itself lies 8 above the black bodies.
const mostMPCD = 100

// parse reads kelvin and MPCD, such as 7500+2; K and MPCD may stand behind them.
func (l locus) parse(text, rest string) (White, error) {
	rest = strings.TrimSuffix(strings.ToUpper(strings.ReplaceAll(rest, " ", "")), "MPCD")
	kelvin, off := rest, "0"
	if i := strings.IndexAny(rest, "+-"); i > 0 {
		kelvin, off = rest[:i], rest[i:]
	}
	k, okK := percent(strings.TrimSuffix(kelvin, "K"))
	d, okD := percent(off)
	switch {
	case !okK || !okD:
		return White{}, fmt.Errorf("white %q is not %s: kelvin, and MPCD off the locus with its sign if there are any; write it like %[2]s:7500 or %[2]s:7500+2", text, l.name)
	case !(k >= l.least && k <= l.most):
		return White{}, fmt.Errorf("white %q: %g K is not on the %s locus; use %g to %g", text, k, l.title, l.least, l.most)
	case !(math.Abs(d) <= mostMPCD):
		return White{}, fmt.Errorf("white %q: %+g MPCD is too far off the locus for a color temperature; use %d to %+d", text, d, -mostMPCD, mostMPCD)
	}
	w := White{
		Name:   l.name + ":" + strconv.FormatFloat(k, 'f', -1, 64),
		Title:  strconv.FormatFloat(k, 'f', -1, 64) + " K " + l.title,
		XY:     l.at(k),
		Source: l.source,
	}
	if d != 0 {
		mpcd := strconv.FormatFloat(d, 'f', -1, 64)
		if d > 0 {
			mpcd = "+" + mpcd
		}
		w.Name += mpcd
		w.Title += " " + mpcd[:1] + " " + mpcd[1:] + " MPCD (CIE 1960)"
		w.Source += "; MPCD of CIE 1960 u, v, 0.0004 each (secondary)"
		w.XY = l.off(k, d)
	}
	if !w.real() {
		return White{}, fmt.Errorf("white %q is no color; use fewer MPCD", text)
	}
	return w, nil
}

// off returns the place d MPCD beside the locus at a temperature, square to it
// on the CIE 1960 diagram, green positive.
func (l locus) off(kelvin, d float64) XY {
	const step = 0.01 // mired either side, of a line without corners
	mired := 1e6 / kelvin
	p, q := l.at(1e6/(mired-step)).UV1960(), l.at(1e6/(mired+step)).UV1960()
	length := math.Hypot(q.U-p.U, q.V-p.V)
	// Toward lower temperatures u grows; the side of greater v is on the left.
	c := l.at(kelvin).UV1960()
	return UV{
		c.U - float64(d*MPCD*(q.V-p.V)/length),
		c.V + float64(d*MPCD*(q.U-p.U)/length),
	}.XY1960()
}
