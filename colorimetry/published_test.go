package colorimetry

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/testtable"
)

// TestIsotherms holds the lines to Robertson's printed table, and them to the
// black bodies: each line passes near the locus and is square to it, as far as
// five printed digits and the constants of 1968 go.
func TestIsotherms(t *testing.T) {
	rows := testtable.Table(t, "robertson1968.csv")
	lines, locus := isotherms(), newPlanck()
	require.Len(t, lines, len(rows))
	for i, row := range rows {
		l := lines[i]
		assert.Equal(t, isotherm{number(t, row, "reciprocal_megakelvin"), number(t, row, "u1960"), number(t, row, "v1960"), number(t, row, "slope")}, l)
		at := locus.at(l.mired)
		assert.Less(t, math.Hypot(at.U-l.u, at.V-l.v)/MPCD, 0.25, "%g mired", l.mired)
		a, b := locus.at(max(l.mired-1, 0)), locus.at(l.mired+1)
		along, line := math.Atan2(b.V-a.V, b.U-a.U), math.Atan(l.slope)
		assert.InDelta(t, math.Pi/2, along-line, .02, "%g mired", l.mired)
	}
}

// TestObserver holds the color-matching functions to the published ones, and
// their sums to each other: the observer has equal X, Y and Z of equal energy,
// x = y = 1/3 (CIE 1931).
func TestObserver(t *testing.T) {
	rows := testtable.Table(t, "cie1931_2deg_cmf_5nm.csv")
	table := observer2()
	require.Len(t, rows, len(table))
	var sum [3]float64
	for i, row := range rows {
		assert.Equal(t, number(t, row, "wavelength_nm"), float64(shortest+i*stride))
		assert.Equal(t, [3]float64{number(t, row, "xbar"), number(t, row, "ybar"), number(t, row, "zbar")}, table[i])
		for j, v := range table[i] {
			sum[j] += v
		}
	}
	xy, _ := XYZ{sum[0], sum[1], sum[2]}.XY()
	assert.InDelta(t, 1./3, xy.X, 5e-5)
	assert.InDelta(t, 1./3, xy.Y, 5e-5)
}
