package pattern

import (
	"fmt"
	"strings"

	"backporch/colorimetry"
)

// Pluge sets black level: strips just below and just above black, on black.
// The levels of each variant are those of its document; where the strips and
// patches lie is a layout of our own, because the documents' was not known.
type Pluge struct {
	Variant string // eg1, bt814 or analog
}

var plugeVariants = []string{"eg1", "bt814", "analog"}

// A grayPatch is a named level of the column at the right.
type grayPatch struct {
	name  string
	level float64
}

// Scene implements Pattern.
func (p *Pluge) Scene(v View) (*Scene, error) {
	switch p.Variant {
	case "eg1":
		s := v.plugeSteps()
		s.Notes = v.ireNotes("PLUGE steps")
		return s, nil
	case "bt814":
		// 16 of the 876 codes from black to white to either side of black: 48
		// and 80 at 10 bits, loosely called 2 % (an open calculator that quotes
		// ITU-R BT.814: secondary). Peak white: memory. The gray patches are our
		// own.
		return v.plugePair(16.0/876, []grayPatch{{"white", 1}, {"50 %", 0.5}, {"25 %", 0.25}}), nil
	case "analog":
		// ±14 mV and four patches on a scale of 700 mV: memory.
		s := v.plugePair(14.0/700, []grayPatch{{"700 mV", 1}, {"450 mV", 450.0 / 700}, {"200 mV", 200.0 / 700}, {"110 mV", 110.0 / 700}})
		s.Notes = []string{"The millivolts hold where black to white is 700 mV; on other wires all levels keep their share of it."}
		return s, nil
	}
	return nil, fmt.Errorf("variant: %q is none of %s", p.Variant, strings.Join(plugeVariants, ", "))
}

// plugeSteps has the three steps of EG 1 side by side in the middle of a black
// picture, each a seventh of the width.
func (v View) plugeSteps() *Scene {
	list := []bar{{Name: "left black", Until: v.across(2.0 / 7), Want: black}}
	for i, b := range v.plugeEG1() {
		b.Until = v.across(float64(3+i) / 7)
		list = append(list, b)
	}
	list = append(list, bar{Name: "right black", Until: v.across(1), Want: black})
	band, patches := v.bars(v.across(0), v.down(0), v.down(1), list...)
	return still(endsAt([]Band{band}), patches...)
}

// plugePair has two upright strips, darker and lighter than black by step, at
// the left of a black picture, and a column of gray patches at the right.
func (v View) plugePair(step float64, grays []grayPatch) *Scene {
	darker, absent := v.hold(colorimetry.Gray(-step), black)
	lighter := colorimetry.Gray(step)
	x := func(eighth float64) float64 { return v.across(eighth / 8) }
	top, bottom := v.down(1.0/8), v.down(7.0/8)

	bands := []Band{row{First: black}.band(top)}
	patches := []Patch{
		area("below black", x(1), top, x(2), bottom, darker, absent),
		area("black", x(2), top, x(3), bottom, black, ""),
		area("above black", x(3), top, x(4), bottom, lighter, ""),
	}
	for i, g := range grays {
		end := v.down(blend(1.0/8, 7.0/8, float64(i+1)/float64(len(grays))))
		band, patch := v.bars(x(0), top, end,
			bar{Until: x(1), Want: black}, bar{Until: x(2), Want: darker}, bar{Until: x(3), Want: black}, bar{Until: x(4), Want: lighter},
			bar{Until: x(5), Want: black}, bar{Name: g.name, Until: x(7), Want: colorimetry.Gray(g.level)}, bar{Until: x(8), Want: black})
		bands, patches, top = append(bands, band), append(patches, patch...), end
	}
	return still(append(bands, row{First: black}.band(endless)), patches...)
}

var plugeEntries = []Entry{{
	Name: "pluge", Group: GroupLevels,
	Use:     "black level: turn brightness down until the strip below black is just gone and the one above just stays",
	Source:  "levels: SMPTE EG 1 as an encyclopaedia article reports it, ITU-R BT.814 as an open calculator quotes it (both secondary), ±14 mV memory; layout own design",
	Example: "backporch render pluge --variant bt814 -o pluge.y4m",
	New: func() (Pattern, []*Option) {
		p := &Pluge{Variant: "eg1"}
		return p, []*Option{
			choice("variant", &p.Variant, "steps of 4 IRE (eg1), the 2 % pair with white and grays (bt814), or ±14 mV with four grays (analog)", plugeVariants...),
		}
	},
}}
