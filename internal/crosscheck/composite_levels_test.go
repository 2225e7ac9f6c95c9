package crosscheck

import (
	"math"
	"strings"
	"testing"

	"backporch/internal/composite"
	"backporch/internal/testtable"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// barMiddle returns when the middle of a bar of bars-full passes, us after 0H.
func barMiddle(s *timing.Scan, bar int) float64 {
	left, right := 9.2, 572.0/9-1.5 // SMPTE 170M table 2
	if s.System == timing.System625 {
		left, right = 10.5, 62.5 // ITU-R BT.1700 Annex 1 Part B table 2
	}
	return left + (right-left)*(float64(bar)+0.5)/8
}

// barSets are what can be asked of bars-full, and how the tables call it on a
// wire with setup.
var barSets = []struct{ spec, table, setup string }{
	{"75/0/75/0", "75/0/75/0", "75/7.5/75/7.5"},
	{"100/0/75/0", "100/0/75/0", "100/7.5/75/7.5"},
	{"100/0/100/0", "100/0/100/0", ""},
	{"100/0/100/25", "100/0/100/25", ""},
}

// barRow returns the row of a table for a bar, or nil.
func barRow(all []testtable.Row, match map[string]string) testtable.Row {
	for _, row := range all {
		ok := true
		for column, want := range match {
			ok = ok && strings.EqualFold(row[column], want)
		}
		if ok {
			return row
		}
	}
	return nil
}

// TestPublishedBars measures the 75 % bars with setup as SMPTE 170M-2004 table
// A.3 prints them: luma, chroma, its true extremes and phase, on the samples of
// composite and of Y/C before any rounding, and from 10-bit codes. Where a tie
// was printed as ...3 the table allows 0.00006.
func TestPublishedBars(t *testing.T) {
	s := timing.Scan525i
	table := testtable.Table(t, "smpte170m_75_bars.csv")
	require.Len(t, table, 8)
	composed := record(t, "composite-m", s, composite.Standard, 2, on(t, "bars-full set=75/0/75/0", "480i"))[0]
	apartYC := record(t, "yc-m", s, composite.Standard, 2, on(t, "bars-full set=75/0/75/0", "480i"))
	coded := composed
	coded.v = make([]float32, len(composed.v))
	for i, v := range composed.v {
		code := math.Floor(240 + 5.6*float64(v)/ire + 0.5) // SMPTE 244M clause 4.2
		coded.v[i] = float32((code - 240) / 5.6 * ire)
	}
	for bar, row := range table {
		name := row.Text(t, "bar")
		luma, pp := row.Float(t, "luma_IRE"), row.Float(t, "chroma_pp_IRE")
		for _, line := range []int{30, 101, 262, 300, 510, 525 + 30, 525 + 101, 525 + 401} {
			middle := float64(line-1)*572/9 + barMiddle(s, bar)
			from, to := middle-1.1, middle+1.1
			check := func(how string, y, c tone, ireDelta, degrees float64) {
				t.Helper()
				assert.InDelta(t, luma, y.dc/ire, ireDelta, "%s line %d %s: luma, IRE", name, line, how)
				assert.InDelta(t, pp, 2*c.amplitude/ire, ireDelta, "%s line %d %s: chroma, IRE", name, line, how)
				if pp > 0 {
					assert.InDelta(t, 0, apart(row.Float(t, "phase_deg"), c.degrees), degrees, "%s line %d %s: phase", name, line, how)
				}
			}
			fsc := fscOf(s)
			one := composed.tone(from, to, fsc)
			check("composite", one, one, 0.01, 0.01)
			check("Y/C", apartYC[0].tone(from, to, fsc), apartYC[1].tone(from, to, fsc), 0.01, 0.01)
			assert.InDelta(t, 0, apartYC[0].tone(from, to, fsc).amplitude, 0.001, "no chroma on Y")
			assert.InDelta(t, 0, apartYC[1].tone(from, to, fsc).dc, 0.001, "no luma on C")
			one = coded.tone(from, to, fsc)
			check("10 bits", one, one, 0.2, 0.3)
			if pp > 0 && line < 200 {
				least, greatest := composed.extremes(middle-0.6, middle+0.6)
				assert.InDelta(t, row.Float(t, "min_IRE"), least/ire, 0.01, "%s: lowest", name)
				assert.InDelta(t, row.Float(t, "max_IRE"), greatest/ire, 0.01, "%s: highest", name)
			}
		}
	}
}

// TestComputedBars525: all sets of bars on 525 lines, with and without setup, as
// bars_composite_ntsc.csv computes them from SMPTE 170M equation A.3.
func TestComputedBars525(t *testing.T) {
	table := testtable.Table(t, "bars_composite_ntsc.csv")
	measured := 0
	for wire, system := range map[string]string{"composite-m": "NTSC-M", "yc-m": "NTSC-M", "composite-j": "NTSC-J", "yc-j": "NTSC-J"} {
		for _, set := range barSets {
			name := set.table
			if system == "NTSC-M" {
				name = set.setup
			}
			if barRow(table, map[string]string{"system": system, "bars": name, "bar": "white"}) == nil {
				continue
			}
			s := timing.Scan525i
			tapes := record(t, wire, s, composite.Standard, 1, on(t, "bars-full set="+set.spec, "480i"))
			for bar, p := range barPrimaries {
				row := barRow(table, map[string]string{"system": system, "bars": name, "bar": p.name})
				require.NotNil(t, row, "%s %s", name, p.name)
				middle := 99*572.0/9 + barMiddle(s, bar)
				y := tapes[0].tone(middle-1.1, middle+1.1, fscOf(s))
				c := tapes[len(tapes)-1].tone(middle-1.1, middle+1.1, fscOf(s))
				assert.InDelta(t, row.Float(t, "lum_ire"), y.dc/ire, 0.01, "%s %s %s: luma, IRE", wire, name, p.name)
				assert.InDelta(t, row.Float(t, "chroma_pp_ire"), 2*c.amplitude/ire, 0.01, "%s %s %s: chroma, IRE", wire, name, p.name)
				if row.Float(t, "chroma_pp_ire") > 0 {
					assert.InDelta(t, 0, apart(row.Float(t, "phase_deg"), c.degrees), 0.01, "%s %s %s: phase", wire, name, p.name)
				}
				measured++
			}
		}
	}
	assert.Equal(t, 2*8*(2+3), measured, "bars of two interfaces, two and three sets")
}

// TestComputedBars625: all sets of bars on 625 lines, on both signs of V, as
// bars_composite_pal.csv computes them with the factors 0.493 and 0.877 that
// ITU-R BT.470-6 item 2.5 and BT.1700 Annex 1 Part B item 9 print.
func TestComputedBars625(t *testing.T) {
	table := testtable.Table(t, "bars_composite_pal.csv")
	s := timing.Scan625i
	for _, wire := range []string{"pal", "yc-pal"} {
		for _, set := range barSets {
			tapes := record(t, wire, s, composite.Standard, 2, on(t, "bars-full set="+set.spec, "576i"))
			for bar, p := range barPrimaries {
				row := barRow(table, map[string]string{"bars": set.table, "bar": p.name})
				require.NotNil(t, row, "%s %s", set.table, p.name)
				for _, line := range []int{100, 101, 500, 625 + 100, 625 + 101, 625 + 333 + 10} {
					middle := float64(line-1)*64 + barMiddle(s, bar)
					y := tapes[0].tone(middle-1.1, middle+1.1, fscOf(s))
					c := tapes[len(tapes)-1].tone(middle-1.1, middle+1.1, fscOf(s))
					assert.InDelta(t, row.Float(t, "lum_mv"), y.dc, 0.01, "%s %s %s: luma, mV", wire, set.table, p.name)
					assert.InDelta(t, row.Float(t, "chroma_pp_mv"), 2*c.amplitude, 0.01, "%s %s %s: chroma, mV", wire, set.table, p.name)
					if row.Float(t, "chroma_pp_mv") == 0 {
						continue
					}
					// Lines 1, 3, ... of fields 1 and 2 have +V, of fields 3 and 4 -V.
					degrees := row.Float(t, "phase_pos_deg")
					if line%2 == 0 {
						degrees = row.Float(t, "phase_neg_deg")
					}
					assert.InDelta(t, 0, apart(degrees, c.degrees), 0.01, "%s %s %s line %d: phase", wire, set.table, p.name, line)
					if wire == "pal" && line == 100 {
						least, greatest := tapes[0].extremes(middle-0.6, middle+0.6)
						assert.InDelta(t, row.Float(t, "min_mv"), least, 0.02, "%s %s: lowest", set.table, p.name)
						assert.InDelta(t, row.Float(t, "max_mv"), greatest, 0.02, "%s %s: highest", set.table, p.name)
					}
				}
			}
		}
	}
}

// TestCodesOfLevels: sync tip, blanking, setup and white come out on the codes
// of SMPTE 244M tables 1 and 2 and EBU Tech 3280-E table 1.
func TestCodesOfLevels(t *testing.T) {
	code := func(s *timing.Scan, mv float64) int {
		if s.System == timing.System525 {
			return int(math.Floor(240 + 5.6*mv/ire + 0.5))
		}
		return int(math.Floor(256 + 0.84*mv + 0.5))
	}
	for _, tt := range []struct {
		wire, table string
		scan        *timing.Scan
		names       [4]string // sync tip, blanking, black, white
	}{
		{"composite-m", "smpte244.csv", timing.Scan525i, [4]string{"sync tip", "blanking", "setup black 7.5 IRE", "white 100 IRE"}},
		{"composite-j", "smpte244.csv", timing.Scan525i, [4]string{"sync tip", "blanking", "blanking", "white 100 IRE"}},
		{"yc-m", "smpte244.csv", timing.Scan525i, [4]string{"sync tip", "blanking", "setup black 7.5 IRE", "white 100 IRE"}},
		{"pal", "ebu3280.csv", timing.Scan625i, [4]string{"lowest permitted / sync tip", "blanking = black", "blanking = black", "peak white"}},
		{"yc-pal", "ebu3280.csv", timing.Scan625i, [4]string{"lowest permitted / sync tip", "blanking = black", "blanking = black", "peak white"}},
	} {
		table := testtable.Table(t, tt.table)
		h := figuresOf(t, tt.scan).us(t, "line period")
		dark := record(t, tt.wire, tt.scan, composite.Standard, 1, black)[0]
		bright := record(t, tt.wire, tt.scan, composite.Standard, 1, white)[0]
		at := func(r tape, us float64) int { return code(tt.scan, r.sample(int(r.index(99*h+us)))) }
		// In the middle of sync, the breezeway's end and the back porch, the picture.
		for i, got := range [4]int{at(dark, 2.3), at(dark, 8.8), at(dark, 30), at(bright, 30)} {
			row := barRow(table, map[string]string{"name": tt.names[i]})
			require.NotNil(t, row, tt.names[i])
			assert.Equal(t, row.Int(t, "code10"), got, "%s: %s", tt.wire, tt.names[i])
		}
		assert.Equal(t, at(dark, 5.0), at(dark, 8.8), "%s: breezeway and back porch", tt.wire)
	}
}
