package wavefile

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/composite"
	"backporch/internal/encode/samples"
	"backporch/timing"
)

func lines(t testing.TB, q *Request, l Lines) *samples.Table {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, q.WriteLines(&b, l))
	table, err := samples.ReadTable(&b)
	require.NoError(t, err)
	return table
}

// A line of text: its number of samples, its first time and its step. 525: 910
// samples, 19/30 sample (0.0442 us) after 0H, 69.841 ns apart (SMPTE 244M
// clause 4.1 and figure 4: word 785 is 44.2 ns after 0H). The tip of sync is
// -40 IRE (SMPTE 170M table 1).
func TestLines525(t *testing.T) {
	table := lines(t, request(CSV, "yc-m", timing.Scan525i), Lines{First: 100, Last: 101})
	assert.Equal(t, []string{"Y", "C"}, table.Channels)
	require.Len(t, table.Rows, 2*910)
	assert.Equal(t, 100, table.Rows[909].Line)
	assert.Equal(t, 101, table.Rows[910].Line)
	for _, first := range []int{0, 910} {
		assert.InDelta(t, 0.0442, table.Rows[first].Microseconds, 0.0001)
		assert.InDelta(t, 0.069841, table.Rows[first+1].Microseconds-table.Rows[first].Microseconds, 1e-6)
	}
	assert.InDelta(t, -285.714, table.Rows[30].Millivolts[0], 0.001)
	assert.Zero(t, table.Rows[30].Millivolts[1])
	assert.Contains(t, table.Notes, "lines 100-101 in field 1 of 4 of the color sequence; lines count from 1 over the whole frame")
	assert.Contains(t, table.Notes, "rate 157500000/11 Hz, 0.069841 us from sample to sample")
}

// 625 lines slip 4/625 of a sample a line (EBU Tech 3280-E clause 1.1): line 1
// begins half a sample after its 0H, line 2 less than that by 4/625.
func TestLines625(t *testing.T) {
	table := lines(t, request(CSV, "pal", timing.Scan625i), Lines{First: 1, Last: 2})
	require.Len(t, table.Rows, 1135+1135)
	sample := 1 / 17.734475
	assert.InDelta(t, sample/2, table.Rows[0].Microseconds, 1e-6)
	assert.InDelta(t, sample*(0.5-4.0/625), table.Rows[1135].Microseconds, 1e-6)
}

// The field picks the frame of the color sequence: the subcarrier turns over
// from field 1 to field 3 of 525 lines (SMPTE 170M clause 13.2), and field 5
// would be field 1 again.
func TestLinesField(t *testing.T) {
	q := request(CSV, "composite-m", timing.Scan525i)
	one, three := lines(t, q, Lines{First: 100, Last: 100, Field: 1}), lines(t, q, Lines{First: 100, Last: 100, Field: 3})
	burst := 0.0
	for i := range one.Rows {
		if us := one.Rows[i].Microseconds; us > 5.8 && us < 7.3 { // the burst without its ends
			assert.InDelta(t, 0, one.Rows[i].Millivolts[0]+three.Rows[i].Millivolts[0], 0.01)
			burst = max(burst, one.Rows[i].Millivolts[0])
		}
	}
	assert.Greater(t, burst, 100.0)
	assert.Equal(t, one.Rows, lines(t, q, Lines{First: 100, Last: 100}).Rows, "the first frame, unless asked")
}

func TestLinesCheck(t *testing.T) {
	m, pal := composite.Lookup("composite-m"), composite.Lookup("pal")
	for _, tt := range []struct {
		w    *composite.Wire
		s    *timing.Scan
		l    Lines
		want string
	}{
		{m, timing.Scan525i, Lines{1, 525, 0}, ""},
		{m, timing.Scan525i, Lines{263, 270, 3}, ""},
		{m, timing.Scan525i, Lines{264, 264, 2}, ""},
		{m, timing.Scan525i, Lines{0, 3, 0}, "lines 0-3: a frame has lines 1 to 525"},
		{m, timing.Scan525i, Lines{30, 20, 0}, "lines 30-20: the first comes after the last; write 20-30"},
		{m, timing.Scan262, Lines{263, 263, 0}, "lines 263: a frame has lines 1 to 262"},
		{m, timing.Scan525i, Lines{20, 20, 5}, "field 5: the sequence of composite-m has fields 1 to 4"},
		{m, timing.Scan525i, Lines{20, 20, 2}, "line 20 is not in field 2: lines up to 263 are in the odd fields"},
		{m, timing.Scan525i, Lines{283, 283, 3}, "line 283 is not in field 3: lines from 264 on are in the even fields"},
		{pal, timing.Scan625i, Lines{313, 320, 7}, ""},
		{pal, timing.Scan625i, Lines{400, 400, 9}, "field 9: the sequence of pal has fields 1 to 8"},
		{pal, timing.Scan312, Lines{20, 20, 2}, "field 2: the sequence of pal has fields 1 to 1"},
	} {
		err := tt.l.Check(tt.w, tt.s)
		if tt.want == "" {
			assert.NoError(t, err, "%v", tt.l)
		} else {
			assert.EqualError(t, err, tt.want)
		}
	}
}
