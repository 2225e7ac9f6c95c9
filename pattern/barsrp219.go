package pattern

import (
	"fmt"
	"strings"

	"backporch/colorimetry"
	"backporch/timing"
)

// BarsRP219 is the picture of SMPTE RP 219 in its 4:3 form, the central three
// quarters of the wide one, with BT.601 codes. In a plain file the codes are the
// same whatever setup the wire has, and all but the darkest fit into R'G'B'. A
// file that setup or levels are put into has them mapped.
type BarsRP219 struct {
	Row2 string // 75-white, 100-white, plus-i or minus-i
	Row3 string // black or plus-q
}

var (
	row2Slots = []string{"75-white", "100-white", "plus-i", "minus-i"}
	row3Slots = []string{"black", "plus-q"}
)

// Scene implements Pattern.
func (p *BarsRP219) Scene(v View) (*Scene, error) {
	// Rows and widths, a bar being c: memory.
	y := [5]float64{v.down(0), v.down(7.0 / 12), v.down(8.0 / 12), v.down(9.0 / 12), v.down(1)}
	c := func(n float64) float64 { return v.across(n / 7) }

	one, patches := v.sevenBars(y[0], y[1])
	patches[0].Name = "75 % white"

	slot2, slot3, err := p.slots()
	if err != nil {
		return nil, err
	}
	two, more := v.bars(c(0), y[1], y[2],
		bar{Name: "row 2 slot", Until: c(1), Want: slot2},
		bar{Name: "row 2 75 % white", Until: c(7), Want: colorimetry.Gray(0.75)})
	patches = append(patches, more...)

	three, more := v.rampRow(slot3, y[2], y[3])
	patches = append(patches, more...)

	darkest, absent := v.hold(colorimetry.Gray(-0.02), black)
	four, more := v.bars(c(0), y[3], y[4],
		bar{Name: "left black", Until: c(1.5), Want: black},
		bar{Name: "100 % white", Until: c(3.5), Want: white},
		bar{Name: "middle black", Until: c(26.0 / 6), Want: black}, // 5/6 c
		bar{Name: "-2 %", Until: c(14.0 / 3), Want: darkest, Absent: absent},
		bar{Name: "0 %", Until: c(15.0 / 3), Want: black},
		bar{Name: "+2 %", Until: c(16.0 / 3), Want: colorimetry.Gray(0.02)},
		bar{Name: "second 0 %", Until: c(17.0 / 3), Want: black},
		bar{Name: "+4 %", Until: c(6), Want: colorimetry.Gray(0.04)},
		bar{Name: "right black", Until: c(7), Want: black})
	patches = append(patches, more...)

	s := still(endsAt([]Band{one, two, three, four}), patches...)
	if !v.Plan.Plain() {
		s.Notes = append(s.Notes, "The codes of RP 219 are those of a plain file: here setup or levels are put into the file, so they are mapped like every other level.")
	}
	s.Notes = append(s.Notes, "The document itself warns that this picture is not made for setting black level, white level or white balance of a set, least of all one with a picture tube: take pluge, window and near-black for that.")
	return s, nil
}

// slots returns what stands in the two slots that the document leaves open.
func (p *BarsRP219) slots() (row2, row3 colorimetry.Signal, err error) {
	switch p.Row2 {
	case "75-white":
		row2 = colorimetry.Gray(0.75)
	case "100-white":
		row2 = white
	case "plus-i":
		row2 = colorimetry.LegalPlusI()
	case "minus-i":
		row2 = colorimetry.LegalMinusI()
	default:
		return row2, row3, fmt.Errorf("row2: %q is none of %s", p.Row2, strings.Join(row2Slots, ", "))
	}
	switch p.Row3 {
	case "black":
	case "plus-q":
		row3 = colorimetry.LegalPlusQ()
	default:
		return row2, row3, fmt.Errorf("row3: %q is none of %s", p.Row3, strings.Join(row3Slots, ", "))
	}
	return row2, row3, nil
}

// rampRow lays out row 3: the slot, a ramp of luma over five bars, and white.
func (v View) rampRow(slot colorimetry.Signal, top, bottom float64) (Band, []Patch) {
	x0, x1, x2, x3 := v.across(0), v.across(1.0/7), v.across(6.0/7), v.across(1)
	band, patches := v.bars(x0, top, bottom,
		bar{Name: "row 3 slot", Until: x1, Want: slot}, bar{Until: x3, Want: black})
	levels := band.Paint
	band.Paint = func(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, t int) {
		levels(dst, c, x, y, t)
		if c == colorimetry.Y {
			addRamp(dst, x, x1, x2, 1)
		}
	}
	ramp := area("ramp", x1, top, x2, bottom, black, "")
	ramp.Kind, ramp.To = Ramp, white
	return band, append(patches, ramp, area("row 3 white", x2, top, x3, bottom, white, ""))
}

var barsRP219Entries = []Entry{{
	Name: "bars-rp219", Group: GroupColor,
	Use:     "levels and chroma of a digital source: bars that have the same codes in every plain file, a luma ramp and steps about black",
	Source:  "SMPTE RP 219-2002: list of patterns from its opening text; HD codes as an encyclopaedia article prints them (secondary), SD codes calculated by BT.601; places and steps about black memory",
	Example: "backporch render bars-rp219 --row2 75-white --row3 black -o rp219.y4m",
	New: func() (Pattern, []*Option) {
		p := &BarsRP219{Row2: "minus-i", Row3: "plus-q"}
		return p, []*Option{
			choice("row2", &p.Row2, "what stands in the first slot of the second row", row2Slots...),
			choice("row3", &p.Row3, "what stands in the first slot of the third row", row3Slots...),
		}
	},
}}
