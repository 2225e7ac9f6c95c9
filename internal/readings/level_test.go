package readings

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/testtable"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// barsOn returns the readings of the bars of a pattern by their names.
func barsOn(t *testing.T, spec, raster string, wire *colorimetry.Family) map[string]Level {
	t.Helper()
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	v := pattern.NewView(timing.Lookup(raster), colorimetry.YCbCr10, frame.S422, pattern.Shaped)
	v.Plan = colorimetry.Plan{Wire: wire}
	s, err := p.Scene(v)
	require.NoError(t, err)
	bars := make(map[string]Level)
	for _, r := range Of(s, v, v.Plan) {
		require.False(t, r.Clipped)
		bars[r.Patch.Name] = On(wire, r.Held)
	}
	return bars
}

func value(t *testing.T, row testtable.Row, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(row[column], 64)
	require.NoError(t, err, column)
	return v
}

// TestTableA3 holds the readings of 75 % bars to SMPTE 170M-2004 table A.3, to
// the last printed digit (exact ties are printed rounded up, or down).
func TestTableA3(t *testing.T) {
	bars := barsOn(t, "bars-full set=75/0/75/0", "480i", colorimetry.CompositeM)
	rows := testtable.Table(t, "smpte170m_75_bars.csv")
	require.Len(t, rows, 8)
	for _, row := range rows {
		l, ok := bars[strings.ToLower(row["bar"])]
		if row["bar"] == "White" && !ok {
			l, ok = bars["gray"]
		}
		require.True(t, ok, "%s of %v", row["bar"], bars)
		assert.InDelta(t, value(t, row, "luma_IRE"), float64(l.Luma.IRE()), 6e-5, row["bar"])
		assert.InDelta(t, value(t, row, "chroma_pp_IRE"), float64(l.Chroma.IRE()), 6e-5, row["bar"])
		if row["phase_deg"] == "" {
			continue
		}
		assert.InDelta(t, value(t, row, "min_IRE"), float64(l.Low.IRE()), 6e-5, row["bar"])
		assert.InDelta(t, value(t, row, "max_IRE"), float64(l.High.IRE()), 6e-5, row["bar"])
		assert.InDelta(t, value(t, row, "phase_deg"), l.Degrees, 6e-5, row["bar"])
	}
}

// TestGlow: light relative to white of levels by BT.1886 with no black, as
// computed by other means; gray has the chromaticity of the white.
func TestGlow(t *testing.T) {
	tube, err := colorimetry.NewTube(100, 0, 2.4)
	require.NoError(t, err)
	p, err := colorimetry.ParsePrimaries("smpte-c")
	require.NoError(t, err)
	g := Glow{tube, p, colorimetry.D65}
	for _, row := range testtable.Table(t, "bt1886_check.csv") {
		if row["LW"] != "100" || row["LB"] != "0" {
			continue
		}
		percent, xy, ok := g.Light(colorimetry.Gray(value(t, row, "V")))
		assert.InDelta(t, value(t, row, "L"), percent, 1e-7, "V %s", row["V"])
		assert.Equal(t, percent > 0, ok)
		if ok {
			assert.InDelta(t, 0.3127, xy.X, 1e-9)
			assert.InDelta(t, 0.3290, xy.Y, 1e-9)
		}
	}
	// Full red of SMPTE C at D65 has 21.24 % of the luminance (RP 177, calc).
	percent, xy, ok := g.Light(colorimetry.FromRGB(1, 0, 0))
	assert.True(t, ok)
	assert.InDelta(t, 21.237636, percent, 1e-5)
	assert.InDelta(t, 0.630, xy.X, 1e-9)
	assert.InDelta(t, 0.340, xy.Y, 1e-9)
}

// TestPAL holds the readings of three sets to levels computed from ITU-R
// BT.470-6 items 2.5 and 2.9 by other means.
func TestPAL(t *testing.T) {
	checked := 0
	for _, row := range testtable.Table(t, "bars_composite_pal.csv") {
		bars := barsOn(t, "bars-full set="+row["bars"], "576i", colorimetry.PAL)
		l, ok := bars[strings.ToLower(row["bar"])]
		if !ok {
			l, ok = bars["gray"]
		}
		require.True(t, ok, "%s of %v", row["bar"], bars)
		assert.InDelta(t, value(t, row, "lum_mv"), float64(l.Luma), 0.006)
		assert.InDelta(t, value(t, row, "chroma_pp_mv"), float64(l.Chroma), 0.006)
		assert.InDelta(t, value(t, row, "min_mv"), float64(l.Low), 0.006)
		assert.InDelta(t, value(t, row, "max_mv"), float64(l.High), 0.006)
		if row["phase_pos_deg"] != "" {
			assert.InDelta(t, value(t, row, "phase_pos_deg"), l.Degrees, 0.006)
		}
		checked++
	}
	assert.Greater(t, checked, 20)
}

// TestComponent holds the readings to the table of component levels; the
// columns p_* are printed in an equipment manual.
func TestComponent(t *testing.T) {
	families := map[string]string{
		"N10": "component-n10", "BETA_SETUP": "component-betacam", "BETA_ZERO_J": "component-betacam-zero", "BETA_NONEBU": "component-betacam-700", "MII_SETUP": "component-mii",
	}
	checked := map[string]int{}
	for _, row := range testtable.Table(t, "component_levels.csv") {
		name, ok := families[row["format"]]
		if !ok {
			continue
		}
		bars := barsOn(t, "bars-full set="+row["bars"], "480i", colorimetry.LookupFamily(name))
		l, ok := bars[strings.ToLower(row["bar"])]
		if !ok {
			l, ok = bars["gray"]
		}
		require.True(t, ok, "%s of %v", row["bar"], bars)
		for column, got := range map[string]colorimetry.Millivolt{"y_mv": l.Luma, "pb_mv": l.PB, "pr_mv": l.PR, "p_y": l.Luma, "p_by": l.PB, "p_ry": l.PR} {
			if row[column] != "" {
				assert.InDelta(t, value(t, row, column), float64(got), 0.051, "%s %s %s", name, row["bar"], column)
			}
		}
		checked[name]++
	}
	assert.Len(t, checked, 5)
}

// TestNTSC holds the readings of all sets, with setup and without, to levels
// computed by other means from the equation of SMPTE 170M annex A and, without
// setup, of ITU-R BT.1700 Annex 1 Part A note 1.
func TestNTSC(t *testing.T) {
	wires := map[string]*colorimetry.Family{"NTSC-M": colorimetry.CompositeM, "NTSC-J": colorimetry.CompositeJ}
	checked := map[string]int{}
	for _, row := range testtable.Table(t, "bars_composite_ntsc.csv") {
		if strings.HasPrefix(row["bars"], "E") {
			continue // elements of other patterns
		}
		wire, ok := wires[row["system"]]
		require.True(t, ok, row["system"])
		l, ok := barsOn(t, "bars-full set="+row["bars"], "480i", wire)[strings.ToLower(row["bar"])]
		require.True(t, ok, row["bar"])
		assert.InDelta(t, value(t, row, "lum_ire"), float64(l.Luma.IRE()), 6e-5)
		assert.InDelta(t, value(t, row, "chroma_pp_ire"), float64(l.Chroma.IRE()), 6e-5)
		assert.InDelta(t, value(t, row, "min_ire"), float64(l.Low.IRE()), 6e-5)
		assert.InDelta(t, value(t, row, "max_ire"), float64(l.High.IRE()), 6e-5)
		if row["phase_deg"] != "" {
			assert.InDelta(t, value(t, row, "phase_deg"), l.Degrees, 6e-5)
		}
		checked[row["system"]]++
	}
	assert.Equal(t, map[string]int{"NTSC-M": 16, "NTSC-J": 24}, checked)
}

// TestRGB: 75 % of 700 mV is 525 mV on each cable (SMPTE 170M Annex B figure),
// and of 714.3 mV 535.7 mV (computed; the range is Poynton 2003); a gun that is
// off is at blanking.
func TestRGB(t *testing.T) {
	for name, want := range map[string]float64{"rgb-700": 525, "rgb-714": 535.714} {
		bars := barsOn(t, "bars-full set=75/0/75/0", "480i", colorimetry.LookupFamily(name))
		for bar, guns := range map[string][3]float64{"white": {1, 1, 1}, "yellow": {1, 1, 0}, "cyan": {0, 1, 1}, "red": {1, 0, 0}, "black": {}} {
			l, ok := bars[bar]
			require.True(t, ok, bar)
			for i, got := range []colorimetry.Millivolt{l.R, l.G, l.B} {
				assert.InDelta(t, want*guns[i], float64(got), 0.001, "%s, %s, cable %d", name, bar, i)
			}
		}
	}
}
