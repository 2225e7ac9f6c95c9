package white

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
)

// A black step, of whatever color, neither moves the solution nor keeps the
// advice from ending.
func TestBlackStep(t *testing.T) {
	primaries, err := colorimetry.ParsePrimaries("smpte-c")
	require.NoError(t, err)
	o := Options{Target: colorimetry.D65, Primaries: primaries, Keep: Green}
	at := func(v float64, x, y, light float64) Reading {
		return Reading{Level: v, XYZ: colorimetry.XY{X: x, Y: y}.At(light)}
	}
	steps := []Reading{at(.2, .30, .31, 1.8), at(.8, .305, .32, 47)}
	black := at(0, .25, .28, .03)

	plain, err := Solve(o, steps)
	require.NoError(t, err)
	with, err := Solve(o, append([]Reading{black}, steps...))
	require.NoError(t, err)
	assert.Equal(t, plain.Moves, with.Moves)
	assert.Len(t, with.Steps, 2)
	assert.Contains(t, strings.Join(with.Notes, "\n"), "steps below 5 % are left out")

	on := []Reading{black, at(.2, .3127, .3290, 1.8), at(.8, .3127, .3290, 47)}
	a, err := Advise(o, []Control{{Name: "red-drive", Gun: Red, Role: Drive, Least: 0, Most: 100}}, []Round{{Settings: []float64{50}, Steps: on}})
	require.NoError(t, err)
	assert.True(t, a.Near)
	assert.Len(t, a.Steps, 2)

	// With one other step black is all there is to solve from.
	_, err = Solve(o, []Reading{black, steps[1]})
	require.NoError(t, err)
}
