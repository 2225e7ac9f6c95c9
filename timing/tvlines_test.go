package timing

import (
	"strings"
	"testing"

	"backporch/internal/testtable"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTVLines holds the blankings that the program follows to their rows of the
// table; the rows of BT.470-6's 10.9 us are 0.4 % off, as they should be.
func TestTVLines(t *testing.T) {
	aspect := R(4, 3)
	seen := map[string]int{}
	for _, row := range testtable.Table(t, "tvl.csv") {
		name := row.Text(t, "system")
		s := System525
		if strings.HasPrefix(name, "625") {
			s = System625
		}
		lines, mhz := row.Float(t, "TVL_per_picture_height"), row.Float(t, "MHz")
		seen[name]++
		if name == "525 (52.6556us)" {
			assert.InEpsilon(t, mhz*4739/4757, s.Frequency(lines, aspect), 2e-5)
			continue
		}
		assert.InDelta(t, mhz, s.Frequency(lines, aspect), 0.00005)
		assert.InDelta(t, row.Float(t, "TVL_per_MHz"), s.TVLines(1, aspect), 0.0005)
		cycles := s.Frequency(lines, aspect) * s.Active().Float64()
		assert.InDelta(t, row.Float(t, "cycles_per_active_line"), cycles, 0.005)
		assert.InDelta(t, row.Float(t, "samples_per_cycle_at_13.5MHz"), 13.5/s.Frequency(lines, aspect), 0.0005+1e-9) // 2.3785 is printed as 2.378
		r := Lookup("480i")
		assert.Equal(t, row.Text(t, "below_Nyquist_13.5") == "yes", s.Frequency(lines, aspect) < r.Nyquist().Float64())
	}
	assert.Equal(t, map[string]int{"525 (52.6556us)": 11, "525 SMPTE170M (52.8556us)": 11, "625 (52.0us)": 11}, seen)
}

func TestTVLinesRoundTrip(t *testing.T) {
	for _, s := range []*System{System525, System625} {
		for _, aspect := range []Ratio{R(4, 3), R(16, 9)} {
			for n := 50.0; n < 1200; n += 7.25 {
				require.InEpsilon(t, n, s.TVLines(s.Frequency(n, aspect), aspect), 1e-14)
			}
		}
		// As many lines in a height of a wider screen are more across the line.
		assert.InEpsilon(t, 4./3, s.Frequency(400, R(16, 9))/s.Frequency(400, R(4, 3)), 1e-14)
	}
	assert.Equal(t, R(27, 4), Lookup("576i").Nyquist()) // 6.75 MHz
}
