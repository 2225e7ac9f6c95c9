package crosscheck

import (
	"math"
	"testing"

	"backporch/internal/oracle"
	"backporch/internal/render"

	"github.com/stretchr/testify/assert"
)

// TestStoredCodes reads every pattern on every raster in every stream format by
// the converter, which takes the samples apart without changing a code, and holds
// every sample to the definition: the twin's real number.
// It would catch a wrong byte order, a slipped row or sample, 10 bits made of
// 8, and a wrong way of rounding.
func TestStoredCodes(t *testing.T) {
	for _, f := range streamFormats() {
		t.Run(f.String(), func(t *testing.T) {
			t.Parallel()
			list := append(specs(), "circles color=magenta") // chroma that changes from row to row
			all := batches(t, list, rasters(), f.choice)
			if f.raw == "uyvy422" || f.raw == "yuv420p10le" {
				all = append(all, batches(t, others(), otherRasters(), f.choice)...)
			}
			for _, b := range all {
				s := oracle.Stream{Format: f.raw, Planes: f.planes, W: b.w, H: b.h, Data: &reel{jobs: b.jobs}}
				n := oracle.ReadCodes(t, s, func(n int, c *oracle.Codes) {
					if n < len(b.jobs) {
						checkCodes(t, b.jobs[n], c)
					}
				})
				assert.Equal(t, len(b.jobs), n, "frames")
			}
		})
	}
}

// checkCodes compares a frame as read with the definition.
func checkCodes(t *testing.T, j *render.Job, c *oracle.Codes) {
	t.Helper()
	z := twinOf(j, j.Raster)
	if depths := rgbDepths(j); depths != [3]int{} {
		checkRGB(t, j, z, depths, c.W[0], c.H[0], func(i, x, y int) uint16 { return c.Plane[i][y*c.W[0]+x] })
		return
	}
	bits := j.Format.Coding.Bits
	for i, plane := range z.planes {
		if len(plane) != c.H[i] || len(plane[0]) != c.W[i] {
			t.Errorf("%s on %s: plane %d is %d x %d, want %d x %d", j.Spec, j.Raster.Name, i, c.W[i], c.H[i], len(plane[0]), len(plane))
			return
		}
		for k, row := range plane {
			for x, v := range row {
				real := scale(i, v, bits)
				if got := c.Plane[i][k*c.W[i]+x]; !isCode(got, real) || torn(real) {
					t.Errorf("%s on %s: plane %d, row %d, sample %d is %d, want the code of %.9f", j.Spec, j.Raster.Name, i, k, x, got, real)
					return
				}
			}
		}
	}
}

// rgbDepths returns the bits of R, G and B of an R'G'B' format as stored, else
// zeros.
func rgbDepths(j *render.Job) [3]int {
	switch j.Format.Name {
	case "rgb24", "bmp", "bmp24":
		return [3]int{8, 8, 8}
	case "png":
		return [3]int{j.Format.Coding.Bits, j.Format.Coding.Bits, j.Format.Coding.Bits}
	case "rgb565":
		return [3]int{5, 6, 5}
	case "rgb555":
		return [3]int{5, 5, 5}
	}
	return [3]int{}
}

// checkRGB compares an R'G'B' picture with the definition: the code is the
// nearest, which is to say within half a step of it. Of 5 and 6 bits the
// converter shows the code in the upper bits of 8.
func checkRGB(t *testing.T, j *render.Job, z *twin, bits [3]int, w, h int, at func(i, x, y int) uint16) {
	t.Helper()
	if h != len(z.planes[0]) || w != len(z.planes[0][0]) {
		t.Errorf("%s on %s: %d x %d, want %d x %d", j.Spec, j.Raster.Name, w, h, len(z.planes[0][0]), len(z.planes[0]))
		return
	}
	for y := range h {
		for x := range w {
			for i, v := range z.colors(x, y) {
				top := float64(int(1)<<bits[i] - 1)
				zero, span := 0.0, top
				if j.Format.Range == "studio" { // BT.601-5 clause 3.5.4: 16 + 219 E', 16 bits the same scale
					u := float64(int(1) << (bits[i] - 8))
					zero, span = 16*u, 219*u
				}
				real := zero + v*span
				got := at(i, x, y)
				if bits[i] < 8 {
					got >>= 8 - bits[i]
				}
				if !isCode(got, real) || torn(real) {
					t.Errorf("%s on %s: %s of sample %d of row %d is %d, want the code of %.9f", j.Spec, j.Raster.Name, "RGB"[i:i+1], x, y, got, real)
					return
				}
			}
		}
	}
}

// TestRoundingOfTheTwin holds the twin's own arithmetic to figures of others.
func TestRoundingOfTheTwin(t *testing.T) {
	gray := scale(0, 0.5, 8) // an exact tie, 125.5: it goes up
	assert.True(t, isCode(126, gray))
	assert.False(t, isCode(125, gray))
	assert.False(t, isCode(125, math.Nextafter(gray, 0)))
	assert.False(t, isCode(127, gray+0.9))
	assert.False(t, isCode(126, gray-1e-5))
	assert.True(t, torn(gray-1e-6))
	assert.False(t, torn(gray) || torn(math.Nextafter(gray, 0)) || torn(125))
	// 75 % yellow, red of the 100 % set and blue, ITU-R BT.601-5 clause 3.5.3 as
	// testdata/bars_codes_601.csv has them.
	for _, tt := range []struct {
		r, g, b float64
		bits    int
		codes   [3]uint16
	}{
		{0.75, 0.75, 0, 8, [3]uint16{162, 44, 142}},
		{0.75, 0.75, 0, 10, [3]uint16{646, 176, 567}},
		{1, 0, 0, 8, [3]uint16{81, 90, 240}},
		{0, 0, 1, 10, [3]uint16{164, 960, 439}},
	} {
		y := 0.299*tt.r + 0.587*tt.g + 0.114*tt.b
		s := [3]float64{y, (tt.b - y) / 1.772, (tt.r - y) / 1.402}
		for i, v := range s {
			assert.True(t, isCode(tt.codes[i], scale(i, v, tt.bits)), "%+v component %d: %v", tt, i, scale(i, v, tt.bits))
		}
		back := rgb(s[0], s[1], s[2])
		assert.InDeltaSlice(t, []float64{tt.r, tt.g, tt.b}, back[:], 1e-12)
	}
}
