package colorimetry

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/testtable"
)

func number(t *testing.T, row testtable.Row, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(row[column], 64)
	require.NoError(t, err, column)
	return v
}

// TestTube: the equations of BT.1886 Annex 1 computed by other means, for
// white and black of 1/0, 100/0 and more.
func TestTube(t *testing.T) {
	rows := testtable.Table(t, "bt1886_check.csv")
	require.Greater(t, len(rows), 40)
	for _, row := range rows {
		tube, err := NewTube(number(t, row, "LW"), number(t, row, "LB"), 2.4)
		require.NoError(t, err)
		v, want := number(t, row, "V"), number(t, row, "L")
		assert.InDelta(t, want, tube.Light(v), 1e-9*max(1, want), "LW %s LB %s V %s", row["LW"], row["LB"], row["V"])
	}
	for _, bad := range [][3]float64{{100, -1, 2.4}, {1, 1, 2.4}, {100, 0, 0}, {math.Inf(1), 0, 2.4}, {1e308, 0, 1.5}, {100, 0, 0.001}, {100, math.NaN(), 2.4}} {
		_, err := NewTube(bad[0], bad[1], bad[2])
		assert.Error(t, err, "%v", bad)
	}
}

// TestPrimaryMatrix: the method of RP 177 computed by other means, for all 13
// sets of the table; the BT.709 and EBU rows are published to 8 digits.
func TestPrimaryMatrix(t *testing.T) {
	sets := map[string]string{
		"NTSC1953": "NTSC1953/BT.470 M", "SMPTE_C": "SMPTE C", "EBU": "EBU 3213 / BT.470 BG", "BT709": "BT.709",
		"ARIB_P22": "ARIB TR-B9 Japan-specific phosphor", "P22_mean15": "P22 mean of 15 monitors", "P22_pro": "P22 measured, professional monitor c.1996",
	}
	measured := make(map[string]Primaries)
	for _, row := range testtable.Table(t, "primaries.csv") {
		xy := func(c string) XY { return XY{number(t, row, "x"+c), number(t, row, "y"+c)} }
		measured[row["set"]] = Primaries{R: xy("r"), G: xy("g"), B: xy("b")}
	}
	rows := testtable.Table(t, "npm_matrices.csv")
	require.Len(t, rows, 13)
	for _, row := range rows {
		p, ok := measured[sets[row["primaries"]]]
		require.True(t, ok, row["primaries"])
		m := p.Matrix(XY{number(t, row, "xw"), number(t, row, "yw")})
		inverse := m.Inverse()
		for i := range 3 {
			for j := range 3 {
				assert.InDelta(t, number(t, row, fmt.Sprintf("M%d%d", i+1, j+1)), m[i][j], 1e-9, row["primaries"])
				assert.InDelta(t, number(t, row, fmt.Sprintf("Minv%d%d", i+1, j+1)), inverse[i][j], 1e-9, row["primaries"])
			}
		}
	}
}

// A white outside the triangle would need light below none of a gun.
func TestCanMake(t *testing.T) {
	for _, p := range AllPrimaries() {
		for _, w := range whites {
			assert.NoError(t, p.CanMake(w), "%s, %s", p.Name, w.Name)
		}
		for _, bad := range []string{"0.7,0.29", "0.05,0.8", "0.16,0.02"} {
			w, err := ParseWhite(bad)
			require.NoError(t, err)
			assert.ErrorContains(t, p.CanMake(w), "outside the triangle", "%s, %s", p.Name, bad)
		}
	}
}

// TestPrimariesTable holds the sets to the published chromaticities.
func TestPrimariesTable(t *testing.T) {
	names := map[string]string{
		"NTSC1953/BT.470 M": "ntsc-1953", "SMPTE C": "smpte-c", "EBU 3213 / BT.470 BG": "ebu", "BT.709": "bt709",
		"ARIB TR-B9 Japan-specific phosphor": "p22-japan", "P22 university table B": "p22",
	}
	checked := 0
	for _, row := range testtable.Table(t, "primaries.csv") {
		name, ok := names[row["set"]]
		if !ok {
			continue
		}
		p, err := ParsePrimaries(name)
		require.NoError(t, err)
		assert.Equal(t, []XY{{number(t, row, "xr"), number(t, row, "yr")}, {number(t, row, "xg"), number(t, row, "yg")}, {number(t, row, "xb"), number(t, row, "yb")}}, []XY{p.R, p.G, p.B}, name)
		checked++
	}
	assert.Equal(t, len(names), checked)
	assert.Len(t, names, len(AllPrimaries()))
}

// TestWhites holds the whites to the published chromaticities, and the
// daylight locus to its published ends (4000 K and 25000 K) and to the
// temperature of 9300 K found by direct search.
func TestWhites(t *testing.T) {
	places := make(map[string]XY)
	for _, row := range testtable.Table(t, "white_points_cct.csv") {
		name, _, _ := strings.Cut(row["name"], " (")
		places[name] = XY{number(t, row, "x"), number(t, row, "y")}
	}
	for name, row := range map[string]string{
		"D65": "D65", "d93": "9300+8MPCD CIE .2831,.2971", "9300K+27MPCD": "9300+27MPCD .281,.311", "D50": "D50", "C": "C rounded",
	} {
		w, err := ParseWhite(name)
		require.NoError(t, err)
		require.Contains(t, places, row)
		assert.Equal(t, places[row], w.XY, name)
	}
	near := func(want, got XY, within float64) {
		t.Helper()
		assert.InDelta(t, want.X, got.X, within)
		assert.InDelta(t, want.Y, got.Y, within)
	}
	near(XY{0.382343625, 0.383766261}, daylight(4000), 1e-9)
	near(XY{0.24985367, 0.254799464}, daylight(25000), 1e-8)
	w, err := ParseWhite("9300K")
	require.NoError(t, err)
	near(places["daylight 9300*1.4388/1.438 K"], w.XY, 1e-5)
	w, err = ParseWhite("6500")
	require.NoError(t, err)
	near(D65.XY, w.XY, 1.5e-4) // the formula of the locus is that far from its own D65
	w, err = ParseWhite("0.300, 0.310")
	require.NoError(t, err)
	assert.Equal(t, XY{0.3, 0.31}, w.XY)
	for _, bad := range []string{"", "D66", "3999", "26000K", "0.7,0.4", "0,0.3", "1,2,3", "inf"} {
		_, err := ParseWhite(bad)
		assert.Error(t, err, bad)
	}
	for _, bad := range []string{"", "smpte", "1,2,3", ".6,.3,.6,.3,.6,.3", "2,.3,.3,.6,.15,.06"} {
		_, err := ParsePrimaries(bad)
		assert.Error(t, err, bad)
	}
}
