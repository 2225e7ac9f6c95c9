package timing

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"backporch/internal/testtable"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestLineMaps holds the rows of every interlaced raster to the table of lines:
// row by row, and that no line of the table is left out.
func TestLineMaps(t *testing.T) {
	for _, tt := range []struct{ raster, table, column string }{
		// SMPTE 170M figure 6 (published); the crops are secondary.
		{"486i", "lines_525.csv", "row_486_BFF"},
		{"480i", "lines_525.csv", "row_480_TFF_RP202"},
		{"480i-dv", "lines_525.csv", "row_480_BFF_DV"},
		// EBU Tech 3280-E figure 6 (published); line numbers of DV: memory.
		{"576i", "lines_625.csv", "row_576_TFF"},
		{"576i-dv", "lines_625.csv", "row_576_BFF_DV"},
	} {
		t.Run(tt.raster, func(t *testing.T) {
			r := Lookup(tt.raster)
			require.NotNil(t, r)
			mapped := 0
			for _, row := range testtable.Table(t, tt.table) {
				text := row.Text(t, tt.column)
				if text == "" {
					continue
				}
				j, number := row.Int(t, tt.column), row.Int(t, "line")
				require.Less(t, j, r.Height())
				assert.Equal(t, number, r.Lines[j].Number, "row %d", j)
				// The half line 263 is "1|2": it begins in field 1.
				field := 1
				if strings.HasPrefix(row.Text(t, "field"), "2") {
					field = 2
				}
				assert.Equal(t, field, r.Lines[j].Field, "line %d", number)
				if number != 335 { // of 625-line DV, a line that the analog picture lacks
					assert.NotEqual(t, "blank", row.Text(t, "picture"), "line %d", number)
				}
				mapped++
			}
			assert.Equal(t, r.Height(), mapped)
		})
	}
}

// TestFullFrame: ITU-R BT.656 carries every picture line of the system, half
// lines full width: SMPTE 170M figure 6, EBU Tech 3280-E figure 6.
func TestFullFrame(t *testing.T) {
	for _, r := range Rasters() {
		f := r.FullFrame()
		if !r.Scan.Interlaced() {
			assert.Nil(t, f, r.Name)
			continue
		}
		require.NotNil(t, f, r.Name)
		table, name := "lines_525.csv", "486i"
		if r.Scan.System == System625 {
			table, name = "lines_625.csv", "576i"
		}
		var want []int
		for _, row := range testtable.Table(t, table) {
			if row.Text(t, "picture") != "blank" {
				want = append(want, row.Int(t, "line"))
			}
		}
		var got []int
		for _, l := range f.Lines {
			got = append(got, l.Number)
		}
		slices.Sort(got)
		assert.Equal(t, want, got, r.Name)
		assert.Equal(t, Lookup(name).Lines, f.Lines, r.Name)
		assert.Equal(t, r.Clock, f.Clock)
		assert.NotEqual(t, r.Name, f.Name)
	}
	assert.Equal(t, "480i-dv", Lookup("480i-dv").Name, "FullFrame leaves the raster alone")
}

// TestOrder: field 1 is the older, so the crop alone decides. Orders of 486i,
// 480i, 480i-dv, 576i: secondary; 480i-cea from its porches; 576i-dv memory.
func TestOrder(t *testing.T) {
	want := map[string]Order{
		"480i": TopFirst, "480i-dv": BottomFirst, "480i-cea": TopFirst, "486i": BottomFirst,
		"576i": TopFirst, "576i-dv": BottomFirst,
		"240p": Progressive, "240p-263": Progressive, "240p-228": Progressive, "240p-227.33": Progressive,
		"288p": Progressive, "288p-313": Progressive,
	}
	for _, r := range Rasters() {
		require.Contains(t, want, r.Name)
		assert.Equal(t, want[r.Name], r.Order(), r.Name)
		f1, f2 := r.FieldRows()
		for field, rows := range []int{f1, f2} {
			first, last := r.FieldLines(field + 1)
			if rows == 0 {
				assert.Zero(t, [2]int{first, last}, r.Name)
			} else {
				assert.Equal(t, rows, last-first+1, "%s: consecutive lines", r.Name)
			}
		}
		assert.Equal(t, r.Height(), f1+f2)
		if r.Order() == Progressive {
			assert.Zero(t, f2, r.Name)
		} else {
			assert.Equal(t, f1, f2, r.Name)
		}
		delete(want, r.Name)
	}
	assert.Empty(t, want)
	assert.Equal(t, "progressive", Progressive.String())
	assert.Equal(t, "top field first", TopFirst.String())
	assert.Equal(t, "bottom field first", BottomFirst.String())
	assert.Equal(t, "Order(7)", Order(7).String())
	assert.Equal(t, "Order(-1)", Order(-1).String())
}

// TestCEA861 derives the first and last active line of each display format
// from its porches, counted from the table's sync, and finds it in our raster.
// Secondary: tables of CEA-861 as reproduced in open code.
func TestCEA861(t *testing.T) {
	names := map[string]string{
		"480 525": "480i-cea", "240 262": "240p", "240 263": "240p-263",
		"576 625": "576i", "288 312": "288p", "288 313": "288p-313",
	}
	// The line of the first vertical sync pulse: 525/60 numbers lines from the
	// equalizing pulses before it, 625/50 from the sync itself.
	firstSync := map[*System]int{System525: 4, System625: 1}
	for _, row := range testtable.Table(t, "cea861_sd.csv") {
		key := row.Text(t, "v_active") + " " + row.Text(t, "v_total")
		name, ok := names[key]
		if key == "288 314" {
			continue // the program has no 314-line scan
		}
		require.True(t, ok, "no raster for %s", key)
		t.Run(name, func(t *testing.T) {
			r := Lookup(name)
			require.NotNil(t, r)
			s := r.Scan
			assert.Equal(t, row.Int(t, "v_total"), s.Lines)
			assert.Equal(t, row.Int(t, "v_active"), r.Height())
			assert.Equal(t, row.Text(t, "scan") == "i", s.Interlaced())
			// A pixel is sent twice, so half of the figures at 27 MHz.
			assert.Equal(t, row.Int(t, "h_active")/2, r.Width)
			if s.System == System525 || s.Interlaced() {
				assert.Equal(t, Int(int64(row.Int(t, "h_total"))).Div(Int(2)), r.SamplesPerLine())
				assert.InDelta(t, row.Float(t, "v_rate_Hz"), s.FieldRate().Float64(), 0.000005)
			} else {
				// Ours keep the carrier at 283.75 cycles, 5.6 parts in a million off.
				assert.InEpsilon(t, row.Float(t, "v_rate_Hz"), s.FieldRate().Float64(), 6e-6)
			}

			first, last := r.FieldLines(1)
			begin := firstSync[s.System]
			if s.Interlaced() {
				// "4 (per field)"; field 1 has the shorter back porch, which stands
				// in the note as "15 and 15.5".
				back := map[*System]int{System525: 15, System625: 19}[s.System]
				require.Contains(t, row.Text(t, "note"), fmt.Sprintf("back porch %d and %d.5", back, back))
				assert.Equal(t, begin+3+back, first)
				assert.Equal(t, first+r.Height()/2-1, last)
				// Field 2 begins half a line further into its own vertical period,
				// which begins half a frame after that of field 1.
				second, end := r.FieldLines(2)
				assert.Equal(t, first+s.Lines/2+1, second)
				assert.Equal(t, second+r.Height()/2-1, end)
				return
			}
			assert.Equal(t, begin+row.Int(t, "v_sync")+row.Int(t, "v_back"), first)
			assert.Equal(t, first+row.Int(t, "v_active")-1, last)
			// Front porch and the lines before the sync close the frame.
			assert.Equal(t, row.Int(t, "v_front"), s.Lines-last+begin-1)
		})
	}
}

// TestPixelShapes of the catalogue: par.csv, rows "square-pixel practice" and
// "low-line count" (common practice), and half of the 625-line one.
func TestPixelShapes(t *testing.T) {
	for _, r := range Rasters() {
		want := R(10, 11)
		if r.Scan.System == System625 {
			want = R(59, 54)
		}
		if !r.Scan.Interlaced() {
			want = want.Div(Int(2))
		}
		assert.Equal(t, want, r.PixelShape(), r.Name)
		// The shape is the step across over the step down, on the tube.
		c, s := r.Comb(0), r.Span(0)
		assert.InEpsilon(t, want.Float64(), c.DX/s.DY, 1e-14, r.Name)
	}
	assert.Equal(t, R(5, 11), Lookup("240p").PixelShape())
	assert.Equal(t, R(59, 108), Lookup("288p").PixelShape())

	par := map[string]Ratio{}
	for _, row := range testtable.Table(t, "par.csv") {
		num, den := row.Rat(t, "PAR_decimal"), strings.Split(row.Text(t, "PAR"), ":")
		require.Len(t, den, 2)
		var n, d int64
		_, err := fmt.Sscan(den[0]+" "+den[1], &n, &d)
		require.NoError(t, err)
		f, _ := num.Float64()
		require.InDelta(t, f, R(n, d).Float64(), 5e-7)
		par[row.Text(t, "case")] = R(n, d)
	}
	assert.Equal(t, par["525 square-pixel industry practice (ratio of clocks 135/11 : 13.5)"], Lookup("480i").PixelShape())
	assert.Equal(t, par["625 702.92x576 (14.75 MHz square)"], Lookup("576i").PixelShape())
	assert.Equal(t, par["525 240p low-line count"], Lookup("240p").PixelShape())
	// Never the shape that 720 samples to 4:3 would give.
	assert.NotEqual(t, par["525 full 720x480 = 4:3 (computer/EDID practice)"], Lookup("480i").PixelShape())
}

// TestDotClocks makes a raster of every clock of the table, interlaced and not:
// no figure of a raster rests on 13.5 MHz or on 720 samples.
func TestDotClocks(t *testing.T) {
	fsc525, fsc625 := System525.Subcarrier, System625.Subcarrier
	clocks := map[string]Ratio{
		"525 3/2 fsc": fsc525.Mul(R(3, 2)), "525 15/8 fsc": fsc525.Mul(R(15, 8)), "525 2 fsc": fsc525.Mul(Int(2)),
		"525 4 fsc": fsc525.Mul(Int(4)), "525 13.5 MHz": Int(13_500_000), "525 6.75 MHz": Int(6_750_000),
		"525 135/22 MHz (390 fH)": R(135_000_000, 22), "525 135/11 MHz (780 fH)": R(135_000_000, 11),
		"625 6/5 fsc": fsc625.Mul(R(6, 5)), "625 3/2 fsc": fsc625.Mul(R(3, 2)), "625 8/5 fsc": fsc625.Mul(R(8, 5)),
		"625 4 fsc": fsc625.Mul(Int(4)), "625 13.5 MHz": Int(13_500_000),
		"625 7.375 MHz (472 fH)": Int(7_375_000), "625 14.75 MHz (944 fH)": Int(14_750_000),
	}
	rows := testtable.Table(t, "dotclocks.csv")
	require.Len(t, rows, 19)
	for _, row := range rows {
		name := row.Text(t, "system") + " " + row.Text(t, "clock_expr")
		require.Contains(t, clocks, name)
		t.Run(name, func(t *testing.T) {
			inter, single, lines := Scan525i, Scan262, consecutive(22, 240)
			if row.Text(t, "system") == "625" {
				inter, single, lines = Scan625i, Scan312, consecutive(23, 288)
			}
			r := &Raster{Scan: inter, Clock: clocks[name], Start: Int(60), Width: row.Int(t, "active_px"), Lines: interleave(inter, 23, 336, 3)}
			assert.InDelta(t, row.Float(t, "clock_MHz"), r.Clock.Float64()/1e6, 5.1e-7)
			assert.InDelta(t, row.Float(t, "clocks_per_line"), r.SamplesPerLine().Float64(), 0.00005)
			assert.InDelta(t, row.Float(t, "PAR_interlaced"), r.PixelShape().Float64(), 5e-7)
			us := r.TimeOf(Int(int64(r.Width))).Sub(r.TimeOf(Int(0)))
			assert.InDelta(t, row.Float(t, "active_us"), us.Float64(), 0.00005)

			p := &Raster{Scan: single, Clock: clocks[name], Start: Int(60), Width: r.Width, Lines: lines}
			assert.InDelta(t, row.Float(t, "PAR_noninterlaced"), p.PixelShape().Float64(), 5e-7)
			assert.Equal(t, r.PixelShape(), p.PixelShape().Mul(Int(2)))
			if row.Text(t, "system") == "525" { // the fractions of 625 are approximate
				assert.Zero(t, row.Rat(t, "PAR_noninterlaced_fraction").Cmp(rat(p.PixelShape())))
			}
			// What a set shows is width over height of a sample times the lattice.
			c, s := p.Comb(0), p.Span(0)
			assert.InEpsilon(t, p.PixelShape().Float64(), c.DX/s.DY, 1e-14)
			assert.Equal(t, p.Width, c.N)
		})
	}
}

func TestLookup(t *testing.T) {
	for _, r := range Rasters() {
		assert.Same(t, r, Lookup(r.Name))
		assert.Same(t, r, Lookup(strings.ToUpper(r.Name)))
		assert.NotEmpty(t, r.Note, r.Name)
		assert.Len(t, r.Lines, r.Height())
		seen := map[int]bool{}
		for _, l := range r.Lines {
			assert.False(t, seen[l.Number], "%s: line %d twice", r.Name, l.Number)
			seen[l.Number] = true
			assert.LessOrEqual(t, l.Number, r.Scan.Lines)
		}
	}
	assert.Nil(t, Lookup(""))
	assert.Nil(t, Lookup("480"))
	all := Rasters()
	all[0] = nil
	assert.NotNil(t, Rasters()[0], "the slice is the caller's")
}
