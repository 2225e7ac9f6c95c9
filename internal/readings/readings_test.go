package readings

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

func read(t *testing.T, spec, raster string, p colorimetry.Plan) map[string]Reading {
	t.Helper()
	pt, err := pattern.Parse(spec)
	require.NoError(t, err)
	v := pattern.NewView(timing.Lookup(raster), colorimetry.YCbCr8, frame.S422, pattern.Shaped)
	v.Plan = p
	s, err := pt.Scene(v)
	require.NoError(t, err)
	list := map[string]Reading{}
	for _, r := range Of(s, v, p) {
		list[r.Patch.Name] = r
	}
	return list
}

// Codes of the 75/0/75/0 set as in ITU-R BT.601-5 clause 3.5.3; the 10-bit ones
// are also printed in an encyclopaedia article (secondary).
func TestCodes(t *testing.T) {
	list := read(t, "bars-full set=75/0/75/0", "576i", colorimetry.Plan{})
	assert.Equal(t, [3]uint16{162, 44, 142}, list["yellow"].Codes8)
	assert.Equal(t, [3]uint16{646, 176, 567}, list["yellow"].Codes10)
	for i, want := range []float64{75, 75, 0} {
		assert.InDelta(t, want, list["yellow"].RGB[i], 1e-9)
	}
	assert.Nil(t, list["yellow"].Luma, "the wire is not known")
}

// With setup on the wire and none in the player the file holds it: black code
// 32; the luma of yellow is 492.62 mV (SMPTE 170M-2004 table A.3, 68.9663 IRE).
func TestSetup(t *testing.T) {
	list := read(t, "bars-full set=75/0/75/0", "480i", colorimetry.Plan{Wire: colorimetry.CompositeM, Player: colorimetry.CompositeJ})
	assert.Equal(t, [3]uint16{32, 128, 128}, list["black"].Codes8)
	require.NotNil(t, list["yellow"].Luma)
	assert.InDelta(t, 492.62, float64(*list["yellow"].Luma), 0.005)
}

// The green and magenta bars of eight meet in the middle of the picture, 9.2 us
// + 52.8556 us / 2 after 0H (SMPTE 170M-2004 table 2), and each is an eighth
// wide. 480i shows lines 23 to 262 of field 1 and 286 to 525 of field 2, which
// lie half a line higher: the middle is between lines 142 and 143 of field 1.
func TestPlace(t *testing.T) {
	list := read(t, "bars-full", "480i", colorimetry.Plan{})
	active := 572.0/9 - 1.5 - 9.2
	assert.InDelta(t, 9.2+active*7/16, list["green"].Microseconds, 1e-9)
	assert.InDelta(t, 9.2+active*9/16, list["magenta"].Microseconds, 1e-9)
	assert.Contains(t, []timing.Line{{Number: 142, Field: 1}, {Number: 143, Field: 1}}, list["green"].Line)
}
