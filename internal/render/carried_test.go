package render

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/pattern"
	"backporch/timing"
)

// carriedBlack returns the lowest luma that the wire carries of a flat black,
// and the number of its lines.
func carriedBlack(t *testing.T, plan colorimetry.Plan) (y float64, lines int) {
	t.Helper()
	p, err := pattern.Parse("flat color=black")
	require.NoError(t, err)
	f, err := format.Resolve(format.Choice{Name: "y4m", Depth: 10})
	require.NoError(t, err)
	q := Request{Pattern: p, Raster: timing.Lookup("480i"), Aspect: timing.R(4, 3), Plan: plan, Format: f, Clip: true}
	job, err := q.Layout()
	require.NoError(t, err)
	lattice := timing.Lookup("486i")
	got, err := job.Carried(lattice, 0)
	require.NoError(t, err)
	return got.Planes[0].Rows[0][100], got.Raster.Height()
}

// TestCarried: without a player the wire carries the definition, on every
// line; with one, what that player can reach, on the lines of the file.
func TestCarried(t *testing.T) {
	m, j := colorimetry.CompositeM, colorimetry.CompositeJ
	y, lines := carriedBlack(t, colorimetry.Plan{Wire: m})
	assert.Zero(t, y)
	assert.Equal(t, 486, lines)

	y, lines = carriedBlack(t, colorimetry.Plan{Wire: m, Player: j})
	assert.InDelta(t, 0, y, 1e-12)
	assert.Equal(t, 480, lines)

	// A player that adds 7.5 IRE cannot make 0: code 4 of 10 bits is the lowest,
	// -60/876 of its 92.5 IRE above 7.5.
	y, _ = carriedBlack(t, colorimetry.Plan{Wire: j, Player: m})
	assert.InDelta(t, 0.075-0.925*60/876, y, 1e-9)
}
