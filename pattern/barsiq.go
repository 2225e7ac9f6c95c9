package pattern

import "backporch/colorimetry"

// sevenBars lays out the seven 75 % bars of the split-field signals: equal
// intervals, falling luma, the first one gray (US Army course SS0606, which
// reports EIA-189-A: secondary).
func (v View) sevenBars(top, bottom float64) (Band, []Patch) {
	const level = 0.75
	list := make([]bar, 7)
	for i := range list {
		c := barColors[i]
		list[i] = bar{Name: c.name, Until: v.across(float64(i+1) / 7), Want: colorimetry.FromRGB(level*c.r, level*c.g, level*c.b)}
	}
	list[0].Name = "gray"
	return v.bars(v.across(0), top, bottom, list...)
}

// blocksIQ are the three blocks that begin the bottom row of EIA-189-A and EG
// 1: -I, white, +Q, each 5/4 of a bar wide (order: C. Poynton, Digital Video
// and HD, 2nd ed., chapter 36; widths: memory).
//
// -I and +Q lie at black luma, 40 IRE peak to peak on the wire, and each has a
// primary below black, which R'G'B' cannot hold.
func (v View) blocksIQ() []bar {
	i, absentI := v.hold(colorimetry.MinusI(v.wireIRE()), colorimetry.LegalMinusI())
	q, absentQ := v.hold(colorimetry.PlusQ(v.wireIRE()), colorimetry.LegalPlusQ())
	return []bar{
		{Name: "-I", Until: v.across(5.0 / 28), Want: i, Absent: absentI},
		{Name: "white", Until: v.across(10.0 / 28), Want: white},
		{Name: "+Q", Until: v.across(15.0 / 28), Want: q, Absent: absentQ},
	}
}
