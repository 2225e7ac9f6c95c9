package crosscheck

import (
	"testing"

	"backporch/internal/composite"
	"backporch/internal/testtable"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestComponentBars holds the samples of Y, PB and PR in the middle of each bar
// to component_levels.csv: computed from ITU-R BT.601-5, and for N10 as printed
// in a broadcast equipment manual. Betacam without setup in its 714 mV form and
// MII are memory. The table has two decimals.
func TestComponentBars(t *testing.T) {
	table := testtable.Table(t, "component_levels.csv")
	measured, printed := 0, 0
	for _, tt := range []struct {
		wire, format string
		scan         *timing.Scan
		raster       string
	}{
		{"component-n10", "N10", timing.Scan525i, "480i"},
		{"component-n10", "N10", timing.Scan625i, "576i"},
		{"component-betacam", "BETA_SETUP", timing.Scan525i, "480i"},
		{"component-betacam-zero", "BETA_ZERO_J", timing.Scan525i, "480i"},
		{"component-betacam-700", "BETA_NONEBU", timing.Scan525i, "480i"},
		{"component-betacam-700", "BETA_NONEBU", timing.Scan625i, "576i"},
		{"component-mii", "MII_SETUP", timing.Scan525i, "480i"},
	} {
		for _, set := range []string{"75/0/75/0", "100/0/75/0", "100/0/100/0"} {
			tapes := record(t, tt.wire, tt.scan, composite.Standard, 1, on(t, "bars-full set="+set, tt.raster))
			require.Len(t, tapes, 3)
			h := figuresOf(t, tt.scan).us(t, "line period")
			for bar, p := range barPrimaries {
				row := barRow(table, map[string]string{"format": tt.format, "bars": set, "bar": p.name})
				require.NotNil(t, row, "%s %s %s", tt.format, set, p.name)
				middle := 99*h + barMiddle(tt.scan, bar)
				for c, column := range []string{"y_mv", "pb_mv", "pr_mv"} {
					// Every sample of 2 us around the middle: a bar is flat there.
					for i := int(tapes[c].index(middle - 1)); i < int(tapes[c].index(middle+1)); i++ {
						require.InDelta(t, row.Float(t, column), tapes[c].sample(i), 0.05, "%s %s %s: %s", tt.wire, set, p.name, column)
					}
					measured++
				}
				for c, column := range []string{"p_y", "p_by", "p_ry"} {
					if row.Text(t, column) == "" {
						continue
					}
					assert.InDelta(t, row.Float(t, column), tapes[c].sample(int(tapes[c].index(middle))), 0.05+0.001, "%s %s %s: %s as printed", tt.wire, set, p.name, column)
					printed++
				}
			}
		}
	}
	assert.Equal(t, 7*3*8*3, measured)
	assert.Positive(t, printed)
}

// TestRGBBars holds R, G and B of each bar to the levels 0, 75 and 100 % of
// component_levels.csv (SMPTE 170M Annex B figure; C. Poynton, Digital Video and
// HDTV, 2003): each primary of each bar is on or off.
func TestRGBBars(t *testing.T) {
	table := testtable.Table(t, "component_levels.csv")
	for _, tt := range []struct {
		wire, format string
		scan         *timing.Scan
		raster       string
	}{
		{"rgb-700", "RGB_N10", timing.Scan525i, "480i"},
		{"rgb-700", "RGB_N10", timing.Scan625i, "576i"},
		{"rgb-714", "RGB_714", timing.Scan525i, "480i"},
	} {
		level := func(name string) float64 {
			row := barRow(table, map[string]string{"format": tt.format, "bar": name})
			require.NotNil(t, row, "%s %s", tt.format, name)
			return row.Float(t, "y_mv")
		}
		for set, most := range map[string]string{"75/0/75/0": "75 %", "100/0/100/0": "100 %"} {
			tapes := record(t, tt.wire, tt.scan, composite.Standard, 1, on(t, "bars-full set="+set, tt.raster))
			require.Len(t, tapes, 3)
			for bar, p := range barPrimaries {
				middle := 99*figuresOf(t, tt.scan).us(t, "line period") + barMiddle(tt.scan, bar)
				for c, primary := range []float64{p.r, p.g, p.b} {
					want := level("0 %")
					if primary == 1 {
						want = level(most)
					}
					assert.InDelta(t, want, tapes[c].sample(int(tapes[c].index(middle))), 0.05, "%s %s %s channel %d", tt.wire, set, p.name, c)
				}
			}
		}
	}
}
