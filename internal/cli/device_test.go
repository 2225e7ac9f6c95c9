package cli

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestOneProfile: all that a command makes for a device is on the rasters of one
// profile, also where these are of its own making.
func TestOneProfile(t *testing.T) {
	o := &kitOptions{Streams: &Streams{}, pictureFlags: pictureFlags{Device: "computer-1440-525", Setup: "as-player", Aspect: "4:3"}, Rasters: "all"}
	q, _, err := o.request()
	require.NoError(t, err)
	require.Len(t, q.Variants, len(q.Device.Rasters))
	for _, v := range q.Variants {
		assert.True(t, slices.Contains(q.Device.Rasters, v.Raster), v.Raster.Name)
	}
}
