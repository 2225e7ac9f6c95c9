package crosscheck

import (
	"math"
	"testing"

	"backporch/internal/composite"
	"backporch/internal/testtable"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ns is a nanosecond in microseconds.
const ns = 1e-3

// TestPulses finds every pulse of whole color sequences and holds it to the
// line tables: its kind, the half line it stands in, and its shape.
func TestPulses(t *testing.T) {
	for _, tt := range brief(2, interlaced) {
		t.Run(tt.wire, func(t *testing.T) {
			t.Parallel()
			table := figuresOf(t, tt.scan)
			h := table.us(t, "line period")
			got := record(t, tt.wire, tt.scan, composite.Standard, tt.frames, black)[0].pulses(tt.sync)
			count := map[string]int{}
			k := 0
			for n := range tt.frames {
				for _, row := range linesOf(t, tt.scan) {
					line := row.Int(t, "line")
					for half, kind := range []string{row.Text(t, "pulse_1st_half"), row.Text(t, "pulse_2nd_half")} {
						if kind == "-" {
							continue
						}
						require.Less(t, k, len(got), "pulses")
						p := got[k]
						k++
						count[kind]++
						require.Equal(t, kind, p.kind(), "frame %d line %d half %d: a pulse of %.3f us at %.3f us", n, line, half, p.width, p.at)
						at := (float64(n*tt.scan.Lines+line-1) + float64(half)/2) * h
						require.InDelta(t, at, p.at, 0.5*ns, "frame %d line %d half %d: leading edge, us", n, line, half)
						require.InDelta(t, tt.sync, p.tip, 0.01, "frame %d line %d: tip, mV", n, line)
						checkPulse(t, tt.scan, table, p)
					}
				}
			}
			assert.Len(t, got, k, "no pulse that the table lacks")
			// SMPTE 170M table 3 and figure 7; ITU-R BT.1700 Annex 1 Part B table 3.
			want := map[string]int{"EQ": 24, "BROAD": 12, "H": 507}
			if tt.scan.System == timing.System625 {
				want = map[string]int{"EQ": 20, "BROAD": 10, "H": 610}
			}
			for kind, one := range want {
				assert.Equal(t, one*tt.frames, count[kind], kind)
			}
		})
	}
}

// checkPulse holds a pulse to the widths and edges of horiz_525.csv and
// horiz_625.csv: SMPTE 170M tables 2 and 3, ITU-R BT.1700 Annex 1 Part B
// tables 2 and 3. All widths have 100 ns of tolerance (625: 200 for line sync,
// 100 in practice); edges 20 (525) and 100 (625).
func checkPulse(t *testing.T, s *timing.Scan, table figures, p pulse) {
	t.Helper()
	item := map[string]string{"EQ": "equalising pulse", "BROAD": "broad pulse", "H": "line sync width"}[p.kind()]
	require.InDelta(t, table.us(t, item), p.width, 100*ns, "%s: width, us", item)
	rise, tolerance := 0.140, 20*ns
	if s.System == timing.System625 {
		rise, tolerance = 0.200, 100*ns
	}
	require.InDelta(t, rise, p.fall, tolerance, "%s: leading edge 10 to 90 %%, us", item)
	require.InDelta(t, rise, p.rise, tolerance, "%s: trailing edge 10 to 90 %%, us", item)
}

// TestReaderOnPublishedWords lets the reader measure the words of SMPTE 244M
// table 5 itself: were it wrong, it would be wrong here first. The table is a
// raised cosine of 145.5 ns, 67 samples wide, 33/90 sample after word 784 (calc).
func TestReaderOnPublishedWords(t *testing.T) {
	r := tape{mhz: 4 * 5 * 63.0 / 88, start: 768 - 784 - 33.0/90}
	for _, row := range testtable.Table(t, "smpte244_hblank.csv") {
		r.v = append(r.v, float32((row.Float(t, "code10_burst_0deg")-240)/5.6*ire))
	}
	got := r.pulses(-40 * ire)
	require.Len(t, got, 1)
	assert.InDelta(t, 0, got[0].at, 0.5*ns, "0H, us")
	assert.InDelta(t, 67/r.mhz, got[0].width, 1*ns, "width, us")
	assert.InDelta(t, 0.1455, got[0].fall, 2*ns, "fall, us")
	assert.InDelta(t, 0.1455, got[0].rise, 2*ns, "rise, us")
	b := r.tone(5.8, 7.4, 5*63.0/88)
	assert.InDelta(t, 20*ire, b.amplitude, 0.2*ire, "burst, mV")
	// Zero SC/H: a sine in phase with the burst goes through zero at 0H.
	assert.InDelta(t, 0, math.Abs(math.Sin(b.degrees*math.Pi/180)), 0.005, "SC/H")
}
