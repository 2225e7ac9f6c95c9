package pattern

import "backporch/colorimetry"

// Flat is one color all over.
type Flat struct {
	Color string // as colorimetry.ParseColor reads it
}

// Scene implements Pattern.
func (p *Flat) Scene(v View) (*Scene, error) {
	color, err := colorimetry.ParseColor(p.Color)
	if err != nil {
		return nil, err
	}
	color, absent := v.reach(color)
	band, patches := v.bars(v.across(0), v.down(0), v.down(1), bar{Name: "field", Until: v.across(1), Want: color, Absent: absent})
	return still(endsAt([]Band{band}), patches...), nil
}

var flatEntries = []Entry{{
	Name: "flat", Group: GroupPurity,
	Use:     "purity (red, green, blue), white uniformity and balance, raster size, hum and noise",
	Source:  "own design; levels ITU-R BT.601-5 clause 3.5",
	Example: "backporch render flat --color red -o red.png",
	Still:   stillBright,
	New: func() (Pattern, []*Option) {
		p := &Flat{Color: "white"}
		return p, []*Option{
			spelled("color", &p.Color, colorimetry.ColorRange, "color of the field",
				func(s string) error { _, err := colorimetry.ParseColor(s); return err }, colorimetry.ColorNames()...),
		}
	},
}}
