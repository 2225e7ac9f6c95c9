package pattern

import (
	"fmt"

	"backporch/colorimetry"
)

// NearBlack is strips from -4 to +10 % in steps of 1 %, each with black about
// it, so that the eye can tell which is the first to come out of the dark.
type NearBlack struct{}

// Scene implements Pattern.
func (*NearBlack) Scene(v View) (*Scene, error) {
	const from, to = -4, 10
	top, bottom := v.down(1.0/4), v.down(3.0/4)
	var list []bar
	for n := from; n <= to; n++ {
		// A strip takes the middle 7/10 of its slot.
		at := func(part float64) float64 { return v.across((float64(n-from) + part) / (to - from + 1)) }
		name := fmt.Sprintf("%+d %%", n)
		if n == 0 {
			name = "0 %"
		}
		want, absent := v.hold(colorimetry.Gray(float64(n)/100), black)
		list = append(list, bar{Until: at(0.15), Want: black},
			bar{Name: name, Until: at(0.85), Want: want, Absent: absent})
	}
	list = append(list, bar{Until: v.across(1), Want: black})
	band, patches := v.bars(v.across(0), top, bottom, list...)
	dark := row{First: black}
	return still([]Band{dark.band(top), band, dark.band(endless)}, patches...), nil
}

var nearBlackEntries = []Entry{{
	Name: "near-black", Group: GroupLevels,
	Use:     "black level and gray tracking at cut-off: count which strip is the first to be seen, and of what color it is",
	Source:  "own design; levels ITU-R BT.601-5 clause 3.5",
	Example: "backporch render near-black -o nearblack.y4m",
	New:     func() (Pattern, []*Option) { return &NearBlack{}, nil },
}}
