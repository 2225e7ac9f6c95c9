package pattern

import "backporch/colorimetry"

// BarsEG1 is the picture of SMPTE EG 1: seven bars, a strip of bars in reverse
// order for matching by the blue gun alone, and -I, white, +Q, black and PLUGE
// at the bottom.
type BarsEG1 struct{}

// Scene implements Pattern.
func (*BarsEG1) Scene(v View) (*Scene, error) {
	top, first, second, bottom := v.down(0), v.down(2.0/3), v.down(3.0/4), v.down(1)
	bars, patches := v.sevenBars(top, first)
	reverse, more := v.reverseStrip(first, second)
	patches = append(patches, more...)

	list := append(v.blocksIQ(), bar{Name: "black", Until: v.across(5.0 / 7), Want: black})
	for i, b := range v.plugeEG1() {
		b.Until = v.across(float64(16+i) / 21)
		list = append(list, b)
	}
	list = append(list, bar{Name: "right black", Until: v.across(1), Want: black})
	strip, more := v.bars(v.across(0), second, bottom, list...)
	patches = append(patches, more...)

	s := still(endsAt([]Band{bars, reverse, strip}), patches...)
	s.Notes = v.ireNotes("-I, +Q and PLUGE")
	return s, nil
}

// reverseStrip has in each column the same amount of blue as the bar above:
// with the blue gun alone both melt together when chroma gain and phase are
// right.
func (v View) reverseStrip(top, bottom float64) (Band, []Patch) {
	names := [7]string{"reverse blue", "reverse black 1", "reverse magenta", "reverse black 2", "reverse cyan", "reverse black 3", "reverse gray"}
	list := make([]bar, 7)
	for i, name := range names {
		want := black
		if i%2 == 0 {
			c := barColors[6-i]
			want = colorimetry.FromRGB(0.75*c.r, 0.75*c.g, 0.75*c.b)
		}
		list[i] = bar{Name: name, Until: v.across(float64(i+1) / 7), Want: want}
	}
	return v.bars(v.across(0), top, bottom, list...)
}

// plugeEG1 are the three steps of EG 1: black and 4 IRE to either side of it,
// on a wire with setup 3.5, 7.5 and 11.5 IRE (an encyclopaedia article:
// secondary; on a wire without setup ±4 IRE, and ±4 % at 625 lines: memory).
// Where they end is left to the caller.
func (v View) plugeEG1() []bar {
	step := 4 * v.perIRE()
	below, absent := v.hold(colorimetry.Gray(-step), black)
	return []bar{
		{Name: "PLUGE below black", Want: below, Absent: absent},
		{Name: "PLUGE black", Want: black},
		{Name: "PLUGE above black", Want: colorimetry.Gray(step)},
	}
}

var barsEG1Entries = []Entry{{
	Name: "bars-eg1", Group: GroupColor,
	Use:     "everyday alignment of a decoder: bars, reverse strip for blue-only matching, -I/+Q, white and PLUGE",
	Source:  "SMPTE EG 1 as reported by C. Poynton, Digital Video and HD, 2nd ed., chapter 36, and an encyclopaedia article (secondary); widths of the lower blocks and black slots memory",
	Example: "backporch render bars-eg1 --setup 7.5 -o eg1.y4m",
	New:     func() (Pattern, []*Option) { return &BarsEG1{}, nil },
}}
