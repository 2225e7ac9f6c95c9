package pattern

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"backporch/colorimetry"
)

// Window is a rectangle of one level in the middle of another.
type Window struct {
	Size     string  // per cent of the shown picture's area, or WxH in per cent of its width and height
	Level    float64 // per cent
	Surround float64 // per cent
}

const windowSizes = "1 to 80, per cent of the area, or WxH, per cent of width and height, each 10 to 90, as in 40x30"

// parseSize returns the shares of width and height.
func parseSize(s string) (w, h float64, err error) {
	share := func(number string, lo, hi float64) float64 {
		x, e := strconv.ParseFloat(strings.TrimSpace(number), 64)
		if e != nil || !(x >= lo && x <= hi) {
			err = fmt.Errorf("%q is not %s", s, windowSizes)
		}
		return x / 100
	}
	if a, b, ok := strings.Cut(strings.ToLower(s), "x"); ok && a != "" {
		w, h = share(a, 10, 90), share(b, 10, 90)
		return w, h, err
	}
	w = math.Sqrt(share(s, 1, 80))
	return w, w, err
}

// Scene implements Pattern.
func (p *Window) Scene(v View) (*Scene, error) {
	w, h, err := parseSize(p.Size)
	if err != nil {
		return nil, fmt.Errorf("size: %w", err)
	}
	for _, l := range []struct {
		name string
		v    float64
	}{{"level", p.Level}, {"surround", p.Surround}} {
		if !(l.v >= leastLevel && l.v <= greatestLevel) {
			return nil, fmt.Errorf("%s: %v is not within %d to %d %%", l.name, l.v, leastLevel, greatestLevel)
		}
	}
	level, absent := v.reach(colorimetry.Gray(p.Level / 100))
	surround, absentSurround := v.reach(colorimetry.Gray(p.Surround / 100))
	top, bottom := v.down((1-h)/2), v.down((1+h)/2)
	around := func(name string, y0, y1 float64) (Band, []Patch) {
		return v.bars(v.across(0), y0, y1, bar{Name: name, Until: v.across(1), Want: surround, Absent: absentSurround})
	}
	above, patches := around("surround above", v.down(0), top)
	middle, more := v.bars(v.across(0), top, bottom,
		bar{Name: "surround left", Until: v.across((1 - w) / 2), Want: surround, Absent: absentSurround},
		bar{Name: "window", Until: v.across((1 + w) / 2), Want: level, Absent: absent},
		bar{Name: "surround right", Until: v.across(1), Want: surround, Absent: absentSurround})
	below, last := around("surround below", bottom, v.down(1))
	return still(endsAt([]Band{above, middle, below}), append(append(patches, more...), last...)...), nil
}

var windowEntries = []Entry{{
	Name: "window", Group: GroupLevels,
	Use:     "white level and white balance with a probe, without loading the supply; with a larger or smaller window, its regulation",
	Source:  "own design; a white area of about an eighth of the picture: common practice",
	Example: "backporch render window --size 13 --level 100 -o window.png",
	Still:   stillBright,
	New: func() (Pattern, []*Option) {
		p := &Window{Size: "13", Level: 100, Surround: 0}
		return p, []*Option{
			spelled("size", &p.Size, windowSizes, "size of the window", func(s string) error { _, _, err := parseSize(s); return err }),
			number("level", &p.Level, leastLevel, greatestLevel, "per cent", "level of the window"),
			number("surround", &p.Surround, leastLevel, greatestLevel, "per cent", "level about the window"),
		}
	},
}}
