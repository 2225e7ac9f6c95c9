package pattern

import (
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"golang.org/x/image/font/basicfont"
)

// TestFocusLetters: the rows that are taken from the matrix hold all of every
// letter, and no two letters are alike. A wrong offset into the font's mask would
// show here.
func TestFocusLetters(t *testing.T) {
	mask := basicfont.Face7x13.Mask
	seen := map[[matrixLines][matrixCells]bool]rune{}
	for _, c := range strings.ReplaceAll(focusLetters, " ", "") {
		ink := 0
		for y := range 13 {
			for x := range matrixCells {
				if _, _, _, a := mask.At(x, int(c-' ')*13+y).RGBA(); a > 0 {
					ink++
				}
			}
		}
		m, taken := letter(byte(c)), 0
		for _, line := range m {
			for _, on := range line {
				if on {
					taken++
				}
			}
		}
		assert.Equal(t, ink, taken, "dots of %c", c)
		assert.Greater(t, taken, 8, "dots of %c", c)
		if other, ok := seen[m]; ok && other != c {
			t.Errorf("%c and %c look alike", c, other)
		}
		seen[m] = c
	}
	assert.Equal(t, [matrixLines][matrixCells]bool{}, letter(' '))
}

// TestFocusPolarity: dark on light is the exact complement of light on dark.
func TestFocusPolarity(t *testing.T) {
	for _, raster := range []string{"480i", "240p"} {
		take := func(spec string) *frame.Frame {
			_, _, f := shot{spec: spec, raster: raster, coding: colorimetry.YCbCr8, sampling: frame.S422}.take(t)
			return f
		}
		light, dark := take("focus-field"), take("focus-field polarity=dark")
		for j := range light.Raster.Height() {
			a, b := light.Planes[0].Row(j), dark.Planes[0].Row(j)
			for i := range a {
				require.InDelta(t, 1, a[i]+b[i], 1e-12, "%s row %d sample %d", raster, j, i)
			}
		}
	}
}

// TestFocusZones: every zone has characters that reach the full level and
// ground between them, at every size; zones lie opposite to each other.
func TestFocusZones(t *testing.T) {
	names := []string{"top left", "top middle", "top right", "middle left", "center", "middle right", "bottom left", "bottom middle", "bottom right"}
	for _, raster := range []string{"480i", "576i", "240p", "288p"} {
		for _, size := range []string{"1", "2", "4"} {
			s, v, f := shot{spec: "focus-field size=" + size, raster: raster, coding: colorimetry.YCbCr8, sampling: frame.S422}.take(t)
			require.Len(t, s.Patches, len(names))
			x, row := f.Raster.Comb(0), f.Raster.Span(0).DY
			for k, name := range names {
				p, opposite := patch(t, s, name), patch(t, s, names[8-k])
				assert.InDelta(t, -p.X0, opposite.X1, 1e-9, "%s: mirrored across", name)
				assert.InDelta(t, -p.Y0, opposite.Y1, 2.01*row, "%s: mirrored down", name)
				least, greatest := 1.0, 0.0
				for j := range f.Raster.Height() {
					if y := f.Raster.Span(j).Y; y < p.Y0 || y > p.Y1 {
						continue
					}
					for i, l := range f.Planes[0].Row(j) {
						if at := x.At(i); at >= p.X0 && at <= p.X1 {
							least, greatest = min(least, l), max(greatest, l)
						}
					}
				}
				assert.Less(t, least, 0.02, "%s %s size %s: ground", raster, name, size)
				assert.Greater(t, greatest, 0.95, "%s %s size %s: strokes", raster, name, size)
			}
			// Corners lie in the outer tenth.
			corner, e := patch(t, s, "top left"), v.Shown.Picture()
			assert.Less(t, corner.X0, 0.9*e.X0)
			assert.Less(t, corner.Y0, -0.4)
		}
	}
}
