package pattern

// BarsEIA189 is the split-field picture of EIA-189-A: seven bars over three
// quarters of the height, -I, white, +Q and black below.
type BarsEIA189 struct{}

// Scene implements Pattern.
func (*BarsEIA189) Scene(v View) (*Scene, error) {
	top, cut, bottom := v.down(0), v.down(3.0/4), v.down(1)
	bars, patches := v.sevenBars(top, cut)
	strip, more := v.bars(v.across(0), cut, bottom, append(v.blocksIQ(),
		bar{Name: "black", Until: v.across(1), Want: black})...)
	s := still(endsAt([]Band{bars, strip}), append(patches, more...)...)
	s.Notes = v.ireNotes("-I and +Q")
	return s, nil
}

var barsEIA189Entries = []Entry{{
	Name: "bars-eia189", Group: GroupColor,
	Use:     "chroma gain, phase and I/Q demodulation: seven 75 % bars with -I, white, +Q and black below",
	Source:  "EIA-189-A as reported by US Army course SS0606 (secondary); widths of the lower blocks memory; phases SMPTE 244M-2003 table 3",
	Example: "backporch render bars-eia189 --setup 7.5 -o eia189.y4m",
	New:     func() (Pattern, []*Option) { return &BarsEIA189{}, nil },
}}
