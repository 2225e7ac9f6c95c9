package kit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/internal/readings"
)

func mustFormat(t *testing.T, name string) *format.Format {
	t.Helper()
	f, err := format.Resolve(format.Choice{Name: name})
	require.NoError(t, err)
	return f
}

// Half of white in 5 bits is 16/31: 1.613 IRE too light where black is at
// blanking, and 0.925 of that where it is at 7.5 IRE (SMPTE 170M-2004 clause
// 10: the picture has 92.5 IRE).
func TestLumaOff(t *testing.T) {
	want, got := colorimetry.Gray(0.5), colorimetry.Gray(16.0/31)
	d := deviationOf(colorimetry.CompositeJ, want, got)
	assert.InDelta(t, 100*(16.0/31-0.5), d.Luma, 1e-9)
	assert.True(t, d.beyond())
	assert.Equal(t, "luma +1.6 IRE", d.words())
	d = deviationOf(colorimetry.CompositeM, want, got)
	assert.InDelta(t, 92.5*(16.0/31-0.5), d.Luma, 1e-9)
}

// Amplitude and angle agree with those of the wire, whose figures are held to
// SMPTE 170M-2004 table A.3 elsewhere: 75 % yellow against what 3 bits make of
// it, 5/7 of white.
func TestColorOff(t *testing.T) {
	full := colorimetry.FromRGB(1, 1, 0)
	yellow := colorimetry.FromRGB(0.75, 0.75, 0)
	near := colorimetry.FromRGB(5.0/7, 5.0/7, 0)
	d := deviationOf(colorimetry.CompositeJ, yellow, near)
	assert.InDelta(t, 100*(5.0/7/0.75-1), d.Chroma, 1e-9, "all of it is smaller by the same part")
	assert.InDelta(t, 0, d.Degrees, 1e-9)
	assert.InDelta(t, 88.6*(5.0/7-0.75), d.Luma, 1e-9, "ITU-R BT.601: yellow is 0.886 of white")
	assert.True(t, d.beyond())

	for _, c := range []colorimetry.Signal{full, colorimetry.FromRGB(1, 0, 0), colorimetry.FromRGB(0, 0.3, 1), colorimetry.FromRGB(0.2, 0.1, 0)} {
		for _, e := range []colorimetry.Signal{colorimetry.FromRGB(0, 1, 1), colorimetry.FromRGB(0.9, 0.1, 0.1)} {
			d := deviationOf(colorimetry.CompositeM, c, e)
			a, b := readings.On(colorimetry.CompositeM, c), readings.On(colorimetry.CompositeM, e)
			assert.InDelta(t, 100*(float64(b.Chroma/a.Chroma)-1), d.Chroma, 1e-3)
			turn := b.Degrees - a.Degrees
			for turn > 180 {
				turn -= 360
			}
			for turn < -180 {
				turn += 360
			}
			assert.InDelta(t, turn, d.Degrees, 1e-3)
			assert.InDelta(t, float64((b.Luma - a.Luma).IRE()), d.Luma, 1e-9)
		}
	}
}

// Color where gray is wanted has no amplitude to be compared with.
func TestColorInGray(t *testing.T) {
	d := deviationOf(colorimetry.CompositeJ, colorimetry.Gray(0.4), colorimetry.FromRGB(0.4, 0.4, 0.5))
	assert.True(t, d.Gray)
	l := readings.On(colorimetry.CompositeJ, colorimetry.FromRGB(0.4, 0.4, 0.5))
	assert.InDelta(t, float64(l.Chroma.IRE()), d.Chroma, 1e-3)
	assert.True(t, d.beyond())
	d = deviationOf(colorimetry.CompositeJ, colorimetry.Gray(0.4), colorimetry.Gray(0.4))
	assert.False(t, d.beyond())
	assert.Zero(t, d.size())
}
