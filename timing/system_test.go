package timing

import (
	"math/big"
	"testing"

	"backporch/internal/testtable"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestRates types every figure that follows from others and holds them to each
// other exactly.
func TestRates(t *testing.T) {
	tests := []struct {
		scan                     *Scan
		cycles, line, field      Ratio
		period                   Ratio // microseconds
		perLine135, per4fsc      Ratio // samples a line
		perFrame4fsc, perFrame27 int64
	}{
		// SMPTE 170M-2004 clause 11 and table 2; samples: ITU-R BT.601-5 table 2
		// and SMPTE 244M-2003 clause 4.1.1.
		{Scan525i, R(455, 2), R(2_250_000, 143), R(60_000, 1001), R(572, 9), Int(858), Int(910), 477_750, 900_900},
		// ITU-R BT.1700 Annex 1 Part B table 1; samples: BT.601-5 table 2 and EBU
		// Tech 3280-E clause 1.2.
		{Scan625i, R(709_379, 2500), Int(15_625), Int(50), Int(64), Int(864), R(709_379, 625), 709_379, 1_080_000},
	}
	for _, tt := range tests {
		t.Run(tt.scan.Name, func(t *testing.T) {
			s := tt.scan
			assert.Equal(t, tt.cycles, s.Cycles)
			assert.Equal(t, tt.line, s.LineRate())
			assert.Equal(t, tt.field, s.FieldRate())
			assert.Equal(t, tt.field.Div(Int(2)), s.FrameRate())
			assert.Equal(t, tt.period, s.LinePeriod())
			assert.True(t, s.Interlaced())

			r := &Raster{Scan: s, Clock: Int(13_500_000)}
			assert.Equal(t, tt.perLine135, r.SamplesPerLine())
			assert.Equal(t, s.FrameRate(), r.FrameRate())
			r.Clock = s.System.Subcarrier.Mul(Int(4))
			assert.Equal(t, tt.per4fsc, r.SamplesPerLine())
			assert.Equal(t, Int(tt.perFrame4fsc), r.SamplesPerLine().Mul(Int(int64(s.Lines))))
			r.Clock = Int(27_000_000)
			assert.Equal(t, Int(tt.perFrame27), r.SamplesPerLine().Mul(Int(int64(s.Lines))))
		})
	}
	// 1135/4 + 1/625 cycles a line: BT.1700 Annex 1 Part B table 1.
	assert.Equal(t, R(1135, 4).Add(R(1, 625)), Scan625i.Cycles)
	// 315/88 MHz, and 4.5 MHz / 286: SMPTE 170M clause 11.
	assert.Equal(t, R(315_000_000, 88), System525.Subcarrier)
	assert.Equal(t, R(4_500_000, 286), Scan525i.LineRate())
	assert.Equal(t, R(443_361_875, 100), System625.Subcarrier)
	// Square samples, 780 and 944 a line: common practice.
	assert.Equal(t, Scan525i.LineRate().Mul(Int(780)), System525.Square)
	assert.Equal(t, Scan625i.LineRate().Mul(Int(944)), System625.Square)
}

// TestActiveLine checks the blanking against the tables of line timing, whose
// figures are exact.
func TestActiveLine(t *testing.T) {
	for _, tt := range []struct {
		system              *System
		scan                *Scan
		table, left, active string
	}{
		{System525, Scan525i, "horiz_525.csv", "0H to blanking end", "active line (H-10.7)"},
		{System625, Scan625i, "horiz_625.csv", "0H to blanking end b", "active line (64-12)"},
	} {
		t.Run(tt.system.Name, func(t *testing.T) {
			us := map[string]*big.Rat{}
			for _, row := range testtable.Table(t, tt.table) {
				us[row.Text(t, "item")] = row.Rat(t, "us_exact")
			}
			equal := func(item string, got Ratio) {
				t.Helper()
				require.Contains(t, us, item)
				assert.Zero(t, us[item].Cmp(rat(got)), "%s: %v, want %v", item, got, us[item])
			}
			equal(tt.left, tt.system.Left)
			equal(tt.active, tt.system.Active())
			equal("line period H", tt.scan.LinePeriod())
			front := "front porch (blanking start to 0H)"
			if tt.system == System625 {
				front = "front porch c"
			}
			equal(front, tt.scan.LinePeriod().Sub(tt.system.Right))
		})
	}
}

// TestPictureRows: the rows of the analog picture, half lines full
// width: SMPTE 170M figure 6 and EBU Tech 3280-E figure 6.
func TestPictureRows(t *testing.T) {
	for _, tt := range []struct {
		system                       *System
		first1, last1, first2, last2 int
	}{
		{System525, 21, 263, 283, 525},
		{System625, 23, 310, 336, 623},
	} {
		s := tt.system
		place := func(n, field int) Ratio { return Line{n, field}.Position(s) }
		assert.Equal(t, s.Height, Int(int64(tt.last1-tt.first1+1)), "%s: lines of field 1", s.Name)
		assert.Equal(t, tt.last1-tt.first1, tt.last2-tt.first2, "%s: both fields have as many", s.Name)
		// Half way between the outermost rows, which belong to different fields.
		top, bottom := place(tt.first1, 1), place(tt.last1, 1)
		if p := place(tt.first2, 2); p.Cmp(top) < 0 {
			top = p
		}
		if p := place(tt.last2, 2); p.Cmp(bottom) > 0 {
			bottom = p
		}
		assert.Equal(t, top.Add(bottom).Div(Int(2)), s.Middle, "%s", s.Name)
	}
	// 283 of 525/60 lies between 20 and 21, 336 of 625/50 between 23 and 24.
	assert.Equal(t, R(41, 2), Line{283, 2}.Position(System525))
	assert.Equal(t, R(47, 2), Line{336, 2}.Position(System625))
}

// TestLowLineRates checks every row of the table of non-interlaced rates, by
// name where it is one of our scans and as a scan of its own where it is not.
func TestLowLineRates(t *testing.T) {
	ours := map[string]*Scan{}
	for _, s := range []*Scan{Scan262, Scan263, Scan262c228, Scan262c227_33, Scan312, Scan313} {
		ours[s.System.Name+" "+s.Cycles.String()+" "+Int(int64(s.Lines)).String()] = s
	}
	cycles := map[string]Ratio{
		"227.5": R(455, 2), "228": Int(228), "227 1/3": R(682, 3), "283.7516": R(709_379, 2500), "283.75": R(1135, 4)}
	rows := testtable.Table(t, "lowline_rates.csv")
	require.Len(t, rows, 12)
	found := 0
	for _, row := range rows {
		s := &Scan{System: System525, Lines: row.Int(t, "lines_per_field"), Fields: 1}
		if row.Text(t, "family")[:3] == "625" {
			s.System = System625
		}
		// The table lists the carrier of 283.75 cycles at 64 us a line; ours keeps
		// the carrier and lets the line follow. Field rates of that row are then
		// 4.43361875 MHz / 283.75 / lines, 6 parts in a million above.
		moved := row.Text(t, "family") == "625-derived fsc=283.75fH"
		var ok bool
		s.Cycles, ok = cycles[row.Text(t, "subcarrier_cycles_per_line")]
		require.True(t, ok)
		if o := ours[s.System.Name+" "+s.Cycles.String()+" "+Int(int64(s.Lines)).String()]; o != nil {
			s = o
			found++
		}
		assert.False(t, s.Interlaced())
		perField := s.Cycles.Mul(Int(int64(s.Lines)))
		assert.InDelta(t, row.Float(t, "cycles_per_field"), perField.Float64(), 0.00005+1e-9)
		whole := Int(perField.Ceil())
		if whole != perField {
			whole = whole.Sub(Int(1))
		}
		assert.InDelta(t, row.Float(t, "fraction"), perField.Sub(whole).Float64(), 0.00005+1e-9)
		if moved {
			assert.InEpsilon(t, row.Float(t, "fH_Hz"), s.LineRate().Float64(), 6e-6)
			assert.InEpsilon(t, row.Float(t, "field_Hz"), s.FieldRate().Float64(), 6e-6)
			continue
		}
		assert.InDelta(t, row.Float(t, "fH_Hz"), s.LineRate().Float64(), 0.00005)
		assert.InDelta(t, row.Float(t, "line_us"), s.LinePeriod().Float64(), 0.000005)
		assert.InDelta(t, row.Float(t, "field_Hz"), s.FieldRate().Float64(), 0.000005)
	}
	assert.Equal(t, len(ours), found, "every non-interlaced scan has a row")
}

// TestLowLineRatesExact: the rates that go into file heads, as rationals.
func TestLowLineRatesExact(t *testing.T) {
	// 2250000/143/262 Hz, and its fellows; arithmetic on SMPTE 170M clause 11.
	assert.Equal(t, R(1_125_000, 18_733), Scan262.FrameRate())
	assert.Equal(t, R(2_250_000, 143*263), Scan263.FrameRate())
	assert.Equal(t, R(39_375_000, 11*228*262), Scan262c228.FrameRate())
	assert.Equal(t, R(3*39_375_000, 11*682*262), Scan262c227_33.FrameRate())
	// fsc / 283.75 is 15 625.088 Hz; arithmetic on BT.1700 table 1.
	assert.Equal(t, R(17_734_475, 1135), Scan312.LineRate())
	assert.InDelta(t, 15_625.088, Scan312.LineRate().Float64(), 0.0005)
	assert.Equal(t, R(17_734_475, 1135*312), Scan312.FrameRate())
	assert.InDelta(t, 50.08041, Scan312.FieldRate().Float64(), 0.000005)
	assert.Equal(t, R(17_734_475, 1135*313), Scan313.FrameRate())
	// The carrier itself is the same for all.
	for _, s := range []*Scan{Scan262, Scan263, Scan262c228, Scan262c227_33, Scan312, Scan313, Scan525i, Scan625i} {
		assert.Equal(t, s.System.Subcarrier, s.LineRate().Mul(s.Cycles), s.Name)
	}
}

// TestCompositeTiming: the line rates, carriers and blankings among the levels
// of the composite systems (published: SMPTE 170M, ITU-R BT.1700).
func TestCompositeTiming(t *testing.T) {
	scans := map[string]*Scan{"NTSC-M": Scan525i, "PAL-B/G": Scan625i}
	checked := 0
	for _, row := range testtable.Table(t, "composite_levels.csv") {
		s := scans[row.Text(t, "system")]
		if s == nil {
			continue
		}
		var got Ratio
		digits := 1e-9
		switch row.Text(t, "quantity") {
		case "fsc":
			got, digits = s.System.Subcarrier.Div(Int(1_000_000)), 1e-9 // MHz, cut off
		case "fH":
			got, digits = s.LineRate(), 5e-7
		case "H blanking start before 0H":
			got = s.LinePeriod().Sub(s.System.Right)
		case "0H to blanking end":
			got = s.System.Left
		case "line blanking":
			got = s.LinePeriod().Sub(s.System.Active())
		default:
			continue
		}
		checked++
		assert.InDelta(t, row.Float(t, "value"), got.Float64(), digits, "%s of %s", row.Text(t, "quantity"), s.Name)
	}
	assert.Equal(t, 8, checked)
}

// The lines of a frame follow from the offset between the fields: 525 and 625
// (SMPTE 170M-2004 clause 11, ITU-R BT.1700 Annex 1 Part B table 1).
func TestSystemLines(t *testing.T) {
	assert.Equal(t, 525, System525.Lines())
	assert.Equal(t, 625, System625.Lines())
	assert.Equal(t, Scan525i.Lines, System525.Lines())
	assert.Equal(t, Scan625i.Lines, System625.Lines())
}
