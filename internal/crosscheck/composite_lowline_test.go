package crosscheck

import (
	"fmt"
	"math/big"
	"testing"

	"backporch/internal/composite"
	"backporch/internal/testtable"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// lowLines are the non-interlaced scans, by the family and cycles of their row
// in lowline_rates.csv.
var lowLines = []struct {
	wire           string
	scan           *timing.Scan
	family, cycles string
	lines          int
	exact          *big.Rat // cycles a line
}{
	{"composite-m", timing.Scan262, "525-derived", "227.5", 262, big.NewRat(455, 2)},
	{"composite-j", timing.Scan263, "525-derived", "227.5", 263, big.NewRat(455, 2)},
	{"composite-m", timing.Scan262c228, "525-derived", "228", 262, big.NewRat(228, 1)},
	{"composite-m", timing.Scan262c227_33, "525-derived", "227 1/3", 262, big.NewRat(682, 3)},
	{"pal", timing.Scan312, "625-derived fsc=283.75fH", "283.75", 312, big.NewRat(1135, 4)},
	{"pal", timing.Scan313, "625-derived fsc=283.75fH", "283.75", 313, big.NewRat(1135, 4)},
}

// fieldPulses are the pulses of a line of a non-interlaced picture: those of
// field 1 every time (ITU-R BT.470-6 note 2 for the parity; the scheme itself
// calc and memory).
func fieldPulses(s *timing.Scan, line int) [2]string {
	if s.System == timing.System525 {
		switch {
		case line <= 3 || line >= 7 && line <= 9:
			return [2]string{"EQ", "EQ"}
		case line <= 6:
			return [2]string{"BROAD", "BROAD"}
		}
		return [2]string{"H", ""}
	}
	switch {
	case line <= 2:
		return [2]string{"BROAD", "BROAD"}
	case line == 3:
		return [2]string{"BROAD", "EQ"}
	case line <= 5 || line > s.Lines-2:
		return [2]string{"EQ", "EQ"}
	case line == s.Lines-2 && s.Lines == 313:
		// The fifth pulse. Of 312 lines this is 310, the last of 288 picture lines
		// (CEA-861 porches), and half lines there are none: four pulses remain.
		return [2]string{"H", "EQ"}
	}
	return [2]string{"H", ""}
}

// repeats returns after how many fields samples, subcarrier and V switch are all
// where they were, by counting.
func repeats(cyclesOfLine *big.Rat, lines int, v bool) int {
	for n := 1; ; n++ {
		turns := new(big.Rat).Mul(cyclesOfLine, big.NewRat(int64(n*lines), 1))
		samples := new(big.Rat).Mul(turns, big.NewRat(4, 1))
		if turns.IsInt() && samples.IsInt() && (!v || n*lines%2 == 0) {
			return n
		}
	}
}

// TestLowLineScans reads 240p and 288p signals: field rate, pulses, picture
// lines, burst, phase and the sign of V, for a whole sequence.
func TestLowLineScans(t *testing.T) {
	for _, tt := range lowLines {
		t.Run(tt.scan.Name, func(t *testing.T) {
			t.Parallel()
			pal := tt.scan.System == timing.System625
			w := composite.Lookup(tt.wire)
			sequence := repeats(tt.exact, tt.lines, pal)
			require.Equal(t, sequence, w.Sequence(tt.scan), "fields of a sequence")
			r := record(t, tt.wire, tt.scan, composite.Standard, sequence, white)[0]

			fsc := fscOf(tt.scan)
			perLine, _ := tt.exact.Float64()
			h := perLine / fsc
			rates := lowLineRates(t, tt.family, tt.cycles, tt.lines)
			// Of 283.75 cycles the table keeps fH and moves fsc by 25 Hz; the program
			// keeps fsc, which a set must lock to, and fH is 25/4433593.75 higher.
			moved := 1.0
			if pal {
				moved = 4433618.75 / 4433593.75
			}
			near := func(column string, got float64) {
				assert.InEpsilon(t, rates.Float(t, column), got, 2e-7, column)
			}
			seconds := float64(len(r.v)) / 1e6 / r.mhz
			near("fH_Hz", float64(sequence*tt.lines)/seconds/moved)
			near("line_us", seconds*moved*1e6/float64(sequence*tt.lines))
			near("field_Hz", float64(sequence)/seconds/moved)
			assert.InDelta(t, rates.Float(t, "cycles_per_field")*float64(sequence)*4, len(r.v), 0.001, "samples of %d fields", sequence)

			sync, peak := -40*ire, 100*ire
			if pal {
				sync, peak = -300, 700
			}
			table := figuresOf(t, tt.scan)
			pulses := r.pulses(sync)
			k := 0
			for n := range sequence {
				for line := 1; line <= tt.lines; line++ {
					zero := float64(n*tt.lines+line-1) * h
					for half, kind := range fieldPulses(tt.scan, line) {
						if kind == "" {
							continue
						}
						require.Less(t, k, len(pulses))
						p := pulses[k]
						k++
						name := fmt.Sprintf("field %d line %d half %d", n, line, half)
						require.Equal(t, kind, p.kind(), name)
						require.InDelta(t, zero+float64(half)*h/2, p.at, 1*ns, name)
						if kind == "BROAD" {
							require.InDelta(t, h/2-4.7, p.width, 100*ns, name) // the gap is 4.7 us
						} else {
							checkPulse(t, tt.scan, table, p)
						}
					}
					// Whole picture lines only: 21 or 23 on, to the end of field 1 of the
					// interlaced system (timing of field 1: SMPTE 170M figure 6, EBU Tech
					// 3280-E figure 6), without the half lines.
					first, last := 21, 262
					if pal {
						first, last = 23, 310
					}
					middle := int(r.index(zero + h/2 + 2))
					if kinds := fieldPulses(tt.scan, line); line < first || line > last || kinds[1] != "" {
						require.LessOrEqual(t, r.sample(middle), 0.01, "field %d line %d is blank", n, line)
						continue
					}
					require.InDelta(t, peak, r.sample(middle), 0.01, "field %d line %d", n, line)
					require.InDelta(t, table.us(t, "0H to blanking end"), r.us(r.passed(middle, peak/2))-zero, 1*ns, "field %d line %d: begins", n, line)
					require.InDelta(t, h-1.5, r.us(r.passes(middle, peak/2))-zero, 1*ns, "field %d line %d: ends", n, line)
				}
			}
			assert.Len(t, pulses, k)

			all := bursts(r, tt.scan, h, sequence*tt.lines)
			checkLowLineBursts(t, tt.scan, all)
		})
	}
}

// checkLowLineBursts: nine lines of each field have no burst; 525 has all of the
// others at 180 degrees; 625 at plus and minus 135 in turn, over the seams of
// fields too, and the first after the interval at +135.
func checkLowLineBursts(t *testing.T, s *timing.Scan, all []tone) {
	t.Helper()
	sign := 0.0
	for i, b := range all {
		line := i%s.Lines + 1
		pulses := fieldPulses(s, line)
		if s.System == timing.System525 {
			if line <= 9 {
				require.InDelta(t, 0, b.amplitude, 0.01, "line %d", i+1)
				continue
			}
			require.InDelta(t, 20*ire, b.amplitude, 0.01, "line %d", i+1)
			require.InDelta(t, 0, apart(b.degrees, 180), 0.01, "line %d", i+1)
			continue
		}
		if b.amplitude < 1 {
			continue
		}
		require.Equal(t, [2]string{"H", ""}, pulses, "line %d has a burst beside vertical pulses", i+1)
		require.InDelta(t, 150, b.amplitude, 0.01, "line %d", i+1)
		was := all[(i+len(all)-1)%len(all)]
		if was.amplitude < 1 {
			require.InDelta(t, 135, b.degrees, 0.01, "the first burst, line %d", i+1)
			gone := 0
			for all[(i-1-gone+len(all))%len(all)].amplitude < 1 {
				gone++
			}
			require.Equal(t, 9, gone, "lines without burst before line %d", i+1)
		}
		// The sign of V alternates from line to line through the whole sequence.
		now := 1.0
		if b.degrees > 180 {
			now = -1
		}
		if i%2 == 1 {
			now = -now
		}
		if sign == 0 {
			sign = now
		}
		require.Equal(t, sign, now, "V switch at line %d", i+1)
	}
}

func lowLineRates(t *testing.T, family, cycles string, lines int) testtable.Row {
	t.Helper()
	for _, row := range testtable.Table(t, "lowline_rates.csv") {
		if row.Text(t, "family") == family && row.Text(t, "subcarrier_cycles_per_line") == cycles && row.Int(t, "lines_per_field") == lines {
			return row
		}
	}
	require.Fail(t, "no such row", "%s %s %d", family, cycles, lines)
	return nil
}

// TestInterlacedSequences: color frames are two and four frames long (SMPTE 170M
// clause 13.2, ITU-R BT.1700 Annex 1 Part B note 1), by counting cycles.
func TestInterlacedSequences(t *testing.T) {
	assert.Equal(t, 2, repeats(big.NewRat(455, 2), 525, false))
	assert.Equal(t, 4, repeats(new(big.Rat).Add(big.NewRat(1135, 4), big.NewRat(1, 625)), 625, true))
	for _, tt := range []struct {
		wire string
		scan *timing.Scan
		want int
	}{
		{"composite-m", timing.Scan525i, 2}, {"yc-j", timing.Scan525i, 2}, {"pal", timing.Scan625i, 4}, {"yc-pal", timing.Scan625i, 4},
		{"component-n10", timing.Scan525i, 1}, {"rgb-700", timing.Scan625i, 1},
	} {
		assert.Equal(t, tt.want, composite.Lookup(tt.wire).Sequence(tt.scan), "%s on %s", tt.wire, tt.scan.Name)
	}
}
