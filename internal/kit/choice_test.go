package kit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestChoices: the whole catalogue of a kit in the order of work, the proof of
// one-to-one playback first.
func TestChoices(t *testing.T) {
	all, err := Choices(nil)
	require.NoError(t, err)
	require.Len(t, all, len(specs))
	assert.Equal(t, "one-to-one", all[0].Spec)
	for i, c := range all {
		assert.Equal(t, i+1, c.Number)
		assert.NotEmpty(t, c.Step)
		assert.NotEmpty(t, c.Do)
	}
	few, err := Choices([]string{"bars-eg1", "crosshatch color=green"})
	require.NoError(t, err)
	var specs []string
	for _, c := range few {
		specs = append(specs, c.Spec)
	}
	assert.Equal(t, []string{"one-to-one", "crosshatch color=green", "bars-eg1"}, specs, "convergence comes before color")
	assert.Equal(t, "02-crosshatch-green", few[1].Slug)
	_, err = Choices([]string{"no-such"})
	assert.ErrorContains(t, err, "no-such")
}
