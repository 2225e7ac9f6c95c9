package pattern

import (
	"strings"
)

// BarsSplitRed is eight bars above a field of the same set's red, where chroma
// noise shows best.
type BarsSplitRed struct {
	Set string // a/b/c/d
}

// Scene implements Pattern.
func (p *BarsSplitRed) Scene(v View) (*Scene, error) {
	set, err := ParseBarSet(p.Set)
	if err != nil {
		return nil, err
	}
	top, cut, bottom := v.down(0), v.down(1.0/2), v.down(1)
	list := make([]bar, 8)
	for i := range list {
		list[i] = bar{Name: barColors[i].name, Until: v.across(float64(i+1) / 8), Want: set.Color(i)}
	}
	bars, patches := v.bars(v.across(0), top, cut, list...)
	field, more := v.bars(v.across(0), cut, bottom, bar{Name: "red field", Until: v.across(1), Want: set.Color(5)})
	return still(endsAt([]Band{bars, field}), append(patches, more...)...), nil
}

// WantsSetup implements SetupPattern.
func (p *BarsSplitRed) WantsSetup() bool {
	s, err := ParseBarSet(p.Set)
	return err == nil && s.Setup
}

var barsSplitRedEntries = []Entry{{
	Name: "bars-split-red", Group: GroupPurity,
	Use:     "chroma noise, and hum or cross-talk in chroma: look into the red field while the bars prove that the levels are right",
	Source:  "bars of ITU-R BT.471 sets (memory) above red: common practice",
	Example: "backporch render bars-split-red --set 100/0/75/0 -o red.y4m",
	New: func() (Pattern, []*Option) {
		p := &BarsSplitRed{Set: "75/0/75/0"}
		return p, []*Option{
			spelled("set", &p.Set, strings.Join(barSets, ", ")+"; 7.5 may stand for 0 as in 75/7.5/75/7.5",
				"levels of white, black and colored bars, per cent; red is that of the set", func(s string) error { _, err := ParseBarSet(s); return err }, barSets...),
		}
	},
}}
