package crosscheck

import (
	"encoding/binary"
	"slices"
	"strings"
	"testing"

	"backporch/internal/format"
	"backporch/internal/oracle"
	"backporch/internal/render"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestPNG reads a PNG of every pattern on every raster by netpbm and lets
// pngcheck judge it: every pixel is the code of the definition, the shape of a
// pixel is right and the text is there. 8-bit full range for all; studio range
// and 16 bits for the probe patterns.
func TestPNG(t *testing.T) {
	for _, tt := range []struct {
		name   string
		choice format.Choice
		specs  []string
	}{
		{"8-bit", format.Choice{Name: "png"}, specs()},
		{"8-bit studio", format.Choice{Name: "png", Range: "studio"}, probes},
		{"16-bit", format.Choice{Name: "png", Depth: 16}, probes},
		{"16-bit studio", format.Choice{Name: "png", Depth: 16, Range: "studio"}, probes},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for _, r := range rasters() {
				list := tt.specs
				if tt.name == "8-bit" && slices.Contains(otherRasters(), r) {
					list = append(list, others()...)
				}
				for _, s := range list {
					t.Run(s+"/"+r.Name, func(t *testing.T) {
						t.Parallel()
						checkPNG(t, shot{spec: s, raster: r, choice: tt.choice}.job(t))
					})
				}
			}
		})
	}
}

func checkPNG(t *testing.T, j *render.Job) {
	t.Helper()
	b := file(t, j)
	p := oracle.ReadPNG(t, b)
	depths := rgbDepths(j)
	require.Equal(t, 1<<depths[0]-1, p.Max, "samples")
	checkRGB(t, j, twinOf(j, j.Raster), depths, p.W, p.H, func(i, x, y int) uint16 { return p.At(x, y)[i] })

	text := map[string]string{}
	shapes := 0
	for _, c := range oracle.CheckPNG(t, b) {
		data := b[c.Offset+4 : c.Offset+4+c.Length]
		switch c.Type {
		case "pHYs":
			shapes++
			// PNG (3rd edition) clause 11.3.4.3: pixels per unit X and Y; a pixel is Y/X
			// as wide as it is high. Unit 0: only the ratio is known.
			require.Len(t, data, 9)
			x, y := binary.BigEndian.Uint32(data), binary.BigEndian.Uint32(data[4:])
			assert.Equal(t, pixelShape(j.Raster), timing.R(int64(y), int64(x)), "pixel shape")
			assert.Zero(t, data[8], "unit")
		case "tEXt":
			keyword, value, ok := strings.Cut(string(data), "\x00")
			require.True(t, ok)
			text[keyword] = value
		case "gAMA", "sRGB", "cHRM", "iCCP":
			t.Errorf("chunk %s invites a viewer to change the codes", c.Type)
		}
	}
	assert.Equal(t, 1, shapes, "pHYs chunks")
	assert.Equal(t, j.Spec, text["Pattern"])
	assert.Equal(t, j.Raster.Name, text["Raster"])
	assert.Equal(t, "as player", text["Setup"])
}

// pixelShape returns width over height of a pixel on a 4:3 tube, as
// testdata/par.csv has it: the ratios of the square clocks to 13.5 MHz (common
// practice), and half of them where every row is a field line.
func pixelShape(r *timing.Raster) timing.Ratio {
	switch r.Height() {
	case 480, 486:
		return timing.R(10, 11)
	case 240:
		return timing.R(5, 11)
	case 576:
		return timing.R(59, 54)
	default: // 288
		return timing.R(59, 108)
	}
}
