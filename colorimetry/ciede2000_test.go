package colorimetry

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/testtable"
)

// TestCIEDE2000: all 34 published pairs, both ways round. They are printed to
// four digits, so half a unit of the last is allowed. Pairs 10 and 14 lie on the
// branch of hue at 180 degrees, where the last bit of the arc tangent decides
// between two published-like values (colorimetric libraries differ there).
func TestCIEDE2000(t *testing.T) {
	rows := testtable.Table(t, "ciede2000_sharma34.csv")
	require.Len(t, rows, 34)
	branch := map[string][]float64{"10": {7.1792, 7.2195}, "14": {4.8045, 4.7461}}
	for _, row := range rows {
		p := Lab{number(t, row, "L1"), number(t, row, "a1"), number(t, row, "b1")}
		q := Lab{number(t, row, "L2"), number(t, row, "a2"), number(t, row, "b2")}
		for _, got := range []float64{CIEDE2000(p, q), CIEDE2000(q, p)} {
			off := math.Abs(got - number(t, row, "dE00"))
			for _, other := range branch[row["pair"]] {
				off = min(off, math.Abs(got-other))
			}
			assert.LessOrEqual(t, off, 5.1e-5, "pair %s: %.5f", row["pair"], got)
		}
		assert.Zero(t, CIEDE2000(p, p), "pair %s with itself", row["pair"])
	}
}

// TestLab: rows of open reference tests, printed to 8 digits (colour-science
// test_cie_lab.py): XYZ under the white 0.3127, 0.3290.
func TestLab(t *testing.T) {
	white := XY{0.3127, 0.3290}.At(1)
	got := XYZ{.20654008, .12197225, .05136952}.Lab(white)
	assert.InDelta(t, 41.52787529, got.L, 1e-6)
	assert.InDelta(t, 52.63858304, got.A, 1e-6)
	assert.InDelta(t, 26.92317922, got.B, 1e-6)
	assert.InDelta(t, 100, white.Lab(white).L, 1e-9)
	assert.InDelta(t, 0, XYZ{}.Lab(white).L, 1e-9)
}
