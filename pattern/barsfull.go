package pattern

import (
	"fmt"
	"strings"

	"backporch/colorimetry"
)

// A BarSet is a set of color bars as ITU-R BT.471 writes it, a/b/c/d: R'G'B'
// of the white bar, of the black bar, and the greatest and the least of the
// colored bars, in per cent (a, b, c, d: memory; 100/0/100/0 is in EBU Tech
// 3280-E, the 7.5 spelling in SMPTE 170M-2004 clause A.6).
type BarSet struct {
	White, Black, Max, Min float64 // 1 is white
	Setup                  bool    // was written with 7.5: the same R'G'B', setup on the wire
}

var barSets = []string{"100/0/100/0", "100/0/75/0", "75/0/75/0", "100/0/100/25"}

// ParseBarSet reads one of the four classic sets, or its 525-line spelling
// with 7.5 for the two lows.
func ParseBarSet(s string) (BarSet, error) {
	parts := strings.Split(s, "/")
	setup := false
	for i, p := range parts {
		if p == "7.5" && (i == 1 || i == 3) {
			parts[i], setup = "0", true
		}
	}
	plain := strings.Join(parts, "/")
	for _, known := range barSets {
		if plain != known {
			continue
		}
		if setup && (parts[1] == "0" && strings.Split(s, "/")[1] != "7.5" || parts[3] == "0" && strings.Split(s, "/")[3] != "7.5") {
			return BarSet{}, fmt.Errorf("set %q: write 7.5 for both lows or for neither", s)
		}
		var v [4]float64
		for i, p := range parts {
			if _, err := fmt.Sscan(p, &v[i]); err != nil {
				return BarSet{}, fmt.Errorf("set %q: %w", s, err)
			}
		}
		return BarSet{v[0] / 100, v[1] / 100, v[2] / 100, v[3] / 100, setup}, nil
	}
	return BarSet{}, fmt.Errorf("unknown bar set %q; use %s, or one of them with 7.5 for 0 as in 75/7.5/75/7.5", s, strings.Join(barSets, ", "))
}

// BarsFull is eight full-height bars.
type BarsFull struct {
	Set   string // a/b/c/d
	Order string // forward or reverse
}

// barColors are the primaries of the eight bars, in falling order of luma
// (SMPTE 170M-2004 table A.3).
var barColors = []struct {
	name    string
	r, g, b float64
}{
	{"white", 1, 1, 1}, {"yellow", 1, 1, 0}, {"cyan", 0, 1, 1}, {"green", 0, 1, 0},
	{"magenta", 1, 0, 1}, {"red", 1, 0, 0}, {"blue", 0, 0, 1}, {"black", 0, 0, 0},
}

// BarPrimary returns the name of bar i, 0 to 7 in falling order of luma, and its
// R', G' and B' at full amplitude, each 0 or 1.
func BarPrimary(i int) (name string, rgb [3]float64) {
	c := barColors[i]
	return c.name, [3]float64{c.r, c.g, c.b}
}

// Color returns the color of bar i, 0 to 7, of the set.
func (s BarSet) Color(i int) colorimetry.Signal {
	switch i {
	case 0:
		return colorimetry.Gray(s.White)
	case 7:
		return colorimetry.Gray(s.Black)
	}
	c := barColors[i]
	level := func(on float64) float64 { return blend(s.Min, s.Max, on) }
	return colorimetry.FromRGB(level(c.r), level(c.g), level(c.b))
}

// Scene implements Pattern.
func (p *BarsFull) Scene(v View) (*Scene, error) {
	set, err := ParseBarSet(p.Set)
	if err != nil {
		return nil, err
	}
	if p.Order != "forward" && p.Order != "reverse" {
		return nil, fmt.Errorf("order: %q is none of forward, reverse", p.Order)
	}
	e := v.Shown.Shown()
	list := make([]bar, 8)
	for i := range list {
		n := i
		if p.Order == "reverse" {
			n = 7 - i
		}
		list[i] = bar{Name: barColors[n].name, Until: blend(e.X0, e.X1, float64(i+1)/8), Want: set.Color(n)}
	}
	band, patches := v.bars(e.X0, e.Y0, e.Y1, list...)
	band.Bottom = endless
	return still([]Band{band}, patches...), nil
}

var barsEntries = []Entry{
	{
		Name: "bars-full", Group: GroupColor,
		Use:     "levels, chroma gain and phase of a source or a decoder: eight bars over the whole picture",
		Source:  "ITU-R BT.471 sets (memory), order of SMPTE 170M-2004 table A.3",
		Example: "backporch render bars-full --set 75/0/75/0 -o bars.png",
		New: func() (Pattern, []*Option) {
			p := &BarsFull{Set: "75/0/75/0", Order: "forward"}
			return p, []*Option{
				spelled("set", &p.Set, strings.Join(barSets, ", ")+"; 7.5 may stand for 0 as in 75/7.5/75/7.5",
					"levels of white, black and colored bars, per cent", func(s string) error { _, err := ParseBarSet(s); return err }, barSets...),
				choice("order", &p.Order, "white at the left (forward) or at the right (reverse)", "forward", "reverse"),
			}
		},
	},
}
