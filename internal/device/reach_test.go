package device

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/testtable"
	"backporch/timing"
)

var aspect4x3 = timing.R(4, 3)

// TestReach against figures of others: a 13.5 MHz file ends at 533 TV lines of
// 525 (52.6556 us; 0.4 % more with the 52.8556 us of SMPTE 170M-2004 that the
// program follows) and 526 of 625, clean at 454 and 448; calculated, the
// 5.75 MHz memory. Pixels at 3/2 fsc, 5.3693 MHz, end at 5.3693 x 52.6556 x 3/4 =
// 212, and twice the clock is twice the lines (arithmetic).
func TestReach(t *testing.T) {
	const wider = 52.8555556 / 52.6555556
	for _, tt := range []struct {
		device       string
		atAll, clean float64
	}{
		{"player-525", 533 * wider, 454 * wider},
		{"player-625", 526, 448},
		{"pixel-256", 212 * wider, 212 * wider},
		{"computer-720-525", 533 * wider, 454 * wider},
		{"computer-1440-525", 1066 * wider, 908 * wider},
	} {
		p, err := Find(tt.device)
		require.NoError(t, err)
		r := p.Reach(p.Rasters[0], aspect4x3, UsualTubes())
		assert.InDelta(t, tt.atAll, r.AtAll.TVLines, 1, tt.device)
		assert.InDelta(t, tt.clean, r.Clean.TVLines, 1, tt.device)
	}
}

// TestReachOfTheTable: the frequency of each number of TV lines, and whether a
// file at 13.5 MHz holds it, from the published blanking.
func TestReachOfTheTable(t *testing.T) {
	met := 0
	for _, row := range testtable.Table(t, "tvl.csv") {
		name := "player-625"
		switch row.Text(t, "system") {
		case "525 SMPTE170M (52.8556us)":
			name = "player-525"
		case "625 (52.0us)":
		default:
			continue
		}
		met++
		p, err := Find(name)
		require.NoError(t, err)
		r := p.Reach(p.Rasters[0], aspect4x3, []float64{row.Float(t, "TVL_per_picture_height")})
		assert.InDelta(t, row.Float(t, "MHz"), r.Tubes[0].MHz, 0.00005)
		assert.Equal(t, row.Text(t, "inside_BT601_passband_5.75MHz") == "yes", r.Tubes[0].State == Clean)
		assert.Equal(t, row.Text(t, "below_Nyquist_13.5") == "yes", r.Tubes[0].State != Beyond)
		assert.Equal(t, row.Text(t, "inside_BT601_passband_5.75MHz") == "no", len(r.Alike) == 1)
		// Two samples a cycle across the active line.
		assert.InDelta(t, 2*row.Float(t, "cycles_per_active_line"), float64(r.Needs[0].Samples), 1)
		assert.InDelta(t, 2*row.Float(t, "MHz"), r.Needs[0].ClockMHz, 0.0001)
	}
	assert.Equal(t, 22, met)
}

// TestNeeds: who reaches 600 lines, and that nobody needs more than is there.
func TestNeeds(t *testing.T) {
	p, err := Find("player-525")
	require.NoError(t, err)
	r := p.Reach(p.Rasters[0], aspect4x3, []float64{300, 600, 800, 3000})
	assert.Equal(t, []float64{600, 800, 3000}, r.Alike)
	assert.Contains(t, r.Needs[0].Devices, "player-525")
	assert.Equal(t, []string{"computer-1440-525", "computer-2880-525"}, r.Needs[1].Devices)
	assert.Empty(t, r.Needs[3].Devices)
	words := strings.Join(r.Words(), "\n")
	assert.Contains(t, words, "Tubes of 600, 800 and 3000 TV lines all resolve more than it shows: they cannot be told apart with it.")
	assert.Contains(t, words, "none of the devices that come with the program does")
	assert.Contains(t, words, "player-525 on 480i: at 13.500 MHz the finest detail is 6.75 MHz, 535 TV lines, at all, and 5.75 MHz, 456 TV lines, clean.")
	// What many tubes take is not said twice.
	many := strings.Join(p.Reach(p.Rasters[0], aspect4x3, UsualTubes()).Words(), "\n")
	assert.NotContains(t, many, "they take pixels")
	assert.Contains(t, many, "stands in the table; a player with a filter needs a clock that is 1.17 times as high")
	// 4.2 MHz are 332 TV lines of 52.6556 us, 5.0 and 5.5 MHz 390 and 429 of 625.
	require.Len(t, r.Composite, 1)
	assert.InDelta(t, 332*52.8556/52.6556, r.Composite[0].TVLines, 0.6)
	p, err = Find("player-625")
	require.NoError(t, err)
	r = p.Reach(p.Rasters[0], aspect4x3, []float64{300})
	require.Len(t, r.Composite, 2)
	assert.InDelta(t, 390, r.Composite[0].TVLines, 0.6)
	assert.InDelta(t, 429, r.Composite[1].TVLines, 0.6)
	assert.Contains(t, strings.Join(r.Words(), "\n"), "finer than all of the tubes named")

	// A wider screen spreads the same detail: fewer lines in a picture height.
	wide := p.Reach(p.Rasters[0], timing.R(16, 9), []float64{450})
	assert.InDelta(t, r.AtAll.TVLines*3/4, wide.AtAll.TVLines, 1e-9)
	assert.Equal(t, []float64{450}, wide.Alike)
	assert.Contains(t, strings.Join(wide.Words(), "\n"), "A tube of 450 TV lines")
	assert.Equal(t, "at the limit", AtLimit.String())
	assert.Equal(t, "State(9)", State(9).String())
}

func ExampleReach_Words() {
	p, _ := Find("pixel-256")
	for _, line := range p.Reach(p.Rasters[0], timing.R(4, 3), []float64{300, 450}).Words() {
		fmt.Println(line)
	}
	// Output:
	// pixel-256: at 5.369 MHz the finest detail is 2.68 MHz, 213 TV lines.
	// Tubes of 300 and 450 TV lines all resolve more than it shows: they cannot be told apart with it.
	// 300 TV lines are 3.78 MHz: they take pixels at 7.57 MHz or more, 400 across the analog picture, or a player at 8.9 MHz; of the devices that come with the program: player-525, player-525-0, computer-720-525, computer-1440-525, computer-2880-525, pixel-512, pixel-640, pixel-640-square.
	// 450 TV lines are 5.68 MHz: they take pixels at 11.35 MHz or more, 600 across the analog picture, or a player at 13.3 MHz; of the devices that come with the program: player-525, player-525-0, computer-720-525, computer-1440-525, computer-2880-525, pixel-640, pixel-640-square.
	// Composite itself ends near 4.2 MHz, 333 TV lines (nominal band of 525 lines, system M); Y/C, component and RGB do not.
}
