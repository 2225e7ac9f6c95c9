package kit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/device"
	"backporch/internal/format"
	"backporch/internal/render"
	"backporch/pattern"
	"backporch/timing"
)

func mustFormat(t *testing.T, name string) *format.Format {
	t.Helper()
	f, err := format.Resolve(format.Choice{Name: name})
	require.NoError(t, err)
	return f
}

// jobFor lays a pattern out for a built-in device.
func jobFor(t *testing.T, name, spec string) *render.Job {
	t.Helper()
	d, err := device.Find(name)
	require.NoError(t, err)
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	q := render.Request{Pattern: p, Spec: spec, Raster: d.Rasters[0], Edges: d.Edges(), Aspect: timing.R(4, 3), Device: d, Frames: 1,
		Plan: colorimetry.Plan{Wire: d.Outputs[0], Player: d.Outputs[0]}, Format: mustFormat(t, "png")}
	job, err := q.Layout()
	require.NoError(t, err)
	return job
}

// Half of white in 5 bits is 16/31, 1.6 IRE too light where black is at
// blanking: arithmetic.
func TestLumaOff(t *testing.T) {
	list, _, err := honesty(jobFor(t, "pixel-256", "flat color=gray-50"))
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Nil(t, list[0][1], "a flat patch has one end")
	d := list[0][0]
	assert.InDelta(t, 100*(16.0/31-0.5), d.Error.Luma, 1e-9)
	assert.True(t, d.Beyond())
	assert.InDelta(t, 1.613, d.Size(), 1e-3)
	assert.Equal(t, "luma +1.6 IRE", d.words())
}

// 75 % bars in 3 bits are those of 5/7: luma and chroma are smaller by the same
// part, and no hue turns: arithmetic.
func TestColorOff(t *testing.T) {
	job := jobFor(t, "pixel-320", "bars-full set=75/0/75/0")
	list, merge, err := honesty(job)
	require.NoError(t, err)
	assert.Empty(t, merge)
	for i, p := range job.Scene.Patches {
		d := list[i][0]
		require.NotNil(t, d, p.Name)
		assert.Equal(t, p.Name, d.Patch.Name)
		switch p.Name {
		case "black":
			assert.Equal(t, "luma +0.0 IRE", d.words())
		case "yellow":
			assert.Equal(t, "luma -3.2 IRE, chroma -4.8 %, hue +0.0 deg", d.words())
		}
	}
}

// Ends of ramps and patches that are not flat lie where the patches do.
func TestHonestyOrder(t *testing.T) {
	for _, spec := range specs {
		job := jobFor(t, "pixel-640", spec)
		list, _, err := honesty(job)
		require.NoError(t, err, spec)
		for i, p := range job.Scene.Patches {
			for k, d := range list[i] {
				if d == nil {
					continue
				}
				assert.Equal(t, p.Name, d.Patch.Name, spec)
				want := [2]colorimetry.Signal{p.Want, p.To}[k]
				assert.Equal(t, want, d.Want, "%s, %s", spec, p.Name)
			}
		}
	}
}
