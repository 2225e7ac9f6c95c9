package compare_test

import (
	"image"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/compare"
	"backporch/internal/goldentest"
	"backporch/internal/table"
)

// TestPages keeps a page of each shape: two and three columns, one gun, pairs.
func TestPages(t *testing.T) {
	tests := []struct {
		file, spec, raster string
		axis               compare.Axis
		values             []float64
		gun                compare.Gun
		exposure           float64
	}{
		{"compare-setup.png", "bars-eg1", "480i", compare.Setup, nil, compare.AllGuns, 0},
		{"compare-setup-dark.png", "pluge", "480i", compare.Setup, nil, compare.AllGuns, 5},
		{"compare-component.png", "bars-full", "480i", compare.Component, nil, compare.AllGuns, 0},
		{"compare-phase-blue.png", "bars-full", "480i", compare.Phase, []float64{-10, 0, 10}, compare.BlueOnly, 0},
	}
	for _, tt := range tests {
		t.Run(tt.file, func(t *testing.T) {
			q := request(t, tt.spec, tt.raster, tt.axis)
			q.Values, q.Gun, q.Exposure = tt.values, tt.gun, tt.exposure
			img, err := run(t, q).Page(720)
			require.NoError(t, err)
			goldentest.PNG(t, tt.file, img)
		})
	}
}

func TestPageWidth(t *testing.T) {
	res := run(t, levels(t, compare.Setup, 0, 1))
	for _, width := range []int{compare.MinWidth, compare.MaxWidth} {
		img, err := res.Page(width)
		require.NoError(t, err)
		assert.Equal(t, width, img.Rect.Dx())
	}
	_, err := res.Page(100)
	assert.EqualError(t, err, "a page cannot be 100 pixels wide; use 480 to 4000")
}

// TestPageScale: on the common scale the brightest picture reaches the white of
// the page.
func TestPageScale(t *testing.T) {
	// The white of the matched pictures is the white of the page: on one common
	// scale the brightest variant is what is not clipped.
	res := run(t, request(t, "window level=100", "480i", compare.Setup))
	img, err := res.Page(compare.UsualWidth)
	require.NoError(t, err)
	brightest := uint8(0)
	at := image.Point{}
	// Around the middle of the first picture, which lies within the upper half.
	for y := 200; y < 560; y++ {
		if c := img.RGBAAt(280, y); c.R > brightest && c.R == c.G && c.G == c.B {
			brightest, at = c.R, image.Pt(280, y)
		}
	}
	assert.GreaterOrEqual(t, brightest, uint8(250), "%v", at)
}

// TestExposure: five steps show 32 times the light. Black lifted to 0.2 % of
// white (SMPTE 170M clause 10 at gamma 2.4, BT.1886) is then 6.4 %, code 72 of
// sRGB; without, it is 7, and the page says how to see more.
func TestExposure(t *testing.T) {
	q := request(t, "pluge", "480i", compare.Setup)
	lifted := func(exposure float64) uint8 {
		q.Exposure = exposure
		res := run(t, q)
		img, err := res.Page(720)
		require.NoError(t, err)
		assert.Equal(t, exposure == 0, strings.Contains(strings.Join(res.Notes(), " "), "--exposure"))
		return img.RGBAAt(380, 200).R // left black of the second picture
	}
	assert.InDelta(t, 7, float64(lifted(0)), 1)
	assert.InDelta(t, 72, float64(lifted(5)), 1)
}

func TestRecord(t *testing.T) {
	q := request(t, "bars-eg1", "480i", compare.Setup)
	q.Gun = compare.BlueOnly
	res := run(t, q)
	for _, axis := range []compare.Axis{compare.Setup, compare.Component, compare.Phase, compare.Gain, compare.Burst, compare.ColorTemperature, compare.TVLines} {
		rec := run(t, levels(t, axis, 0, 0.5, 1)).Record()
		require.NoError(t, rec.Check(), "%v", axis)
	}
	rec := res.Record()
	require.NoError(t, rec.Check())
	var names []string
	for _, x := range rec.Tables {
		names = append(names, x.Name)
	}
	assert.Equal(t, []string{"variants", "steps", "bars", "gun", "sensitivity"}, names)

	var b strings.Builder
	require.NoError(t, rec.Write(&b, table.JSON, 0))
	assert.True(t, strings.HasPrefix(b.String(), `{"schema":"backporch/compare/1"`))
	assert.Contains(t, b.String(), `"black_cd_m2":0.1996`)
	assert.Contains(t, b.String(), `"contrast":null`, "no light at black is no number")
	assert.NotContains(t, b.String(), "NaN")
}
