package crosscheck

import (
	"math"
	"testing"

	"backporch/internal/oracle"
	"backporch/internal/render"

	"github.com/stretchr/testify/assert"
)

// TestDecodedColors reads every pattern on every raster in every Y'CbCr stream
// format as R'G'B' in float, by the zimg library, and holds it to the
// definition within 1.6/255 at 8 bits and 0.4/255 at 10 bits: what half a code
// of Y' and half a code of C come to, 0.5/219 + 1.772 * 0.5/224.
//
// Compared is every sample about which chroma does not change: between its
// samples others interpolate in ways of their own. R'G'B' formats are held to
// half their step by TestStoredCodes.
//
// It would catch another matrix or range than BT.601's limited one, U and V
// taken for each other, and rows of chroma that belong to the other field.
func TestDecodedColors(t *testing.T) {
	for _, f := range streamFormats() {
		if f.raw == "rgb24" || f.raw == "rgb565le" || f.raw == "rgb555le" {
			continue
		}
		t.Run(f.String(), func(t *testing.T) {
			t.Parallel()
			all := batches(t, specs(), rasters(), f.choice)
			if f.raw == "uyvy422" || f.raw == "yuv420p10le" {
				all = append(all, batches(t, others(), otherRasters(), f.choice)...)
			}
			for _, b := range all {
				s := oracle.Stream{Format: f.raw, Planes: f.planes, W: b.w, H: b.h, Interlaced: b.interlaced, Data: &reel{jobs: b.jobs}}
				n := oracle.ReadColors(t, s, func(n int, c *oracle.Colors) {
					if n < len(b.jobs) {
						checkColors(t, b.jobs[n], c)
					}
				})
				assert.Equal(t, len(b.jobs), n, "frames")
			}
		})
	}
}

// leastCompared is how much of a picture must be comparable; less would mean
// that the test looks away. A row that chroma stands still in counts whole.
const leastCompared = 0.5

func checkColors(t *testing.T, j *render.Job, c *oracle.Colors) {
	t.Helper()
	tolerance := 1.6 / 255
	if j.Format.Coding.Bits == 10 {
		tolerance = 0.4 / 255
	}
	z := twinOf(j, j.Raster)
	still := z.still()
	compared := 0
	for y, row := range z.planes[0] {
		k := y
		if z.down == 2 {
			k = z.chromaRowOf(y)
		}
		for x, luma := range row {
			i := x / z.across
			if !still[k][i] {
				continue
			}
			compared++
			want := rgb(luma, z.planes[1][k][i], z.planes[2][k][i])
			got := [3]float32{c.R[y*c.W+x], c.G[y*c.W+x], c.B[y*c.W+x]}
			for n, v := range want {
				if d := math.Abs(float64(got[n]) - v); !(d <= tolerance) {
					t.Errorf("%s on %s: sample %d of row %d: %s is %.5f, want %.5f; %.2f/255 off",
						j.Spec, j.Raster.Name, x, y, "RGB"[n:n+1], got[n], v, d*255)
					return
				}
			}
		}
	}
	if part := float64(compared) / float64(c.W*c.H); part < leastCompared {
		t.Errorf("%s on %s: only %.0f %% of the samples could be compared", j.Spec, j.Raster.Name, 100*part)
	}
}

// chromaRowOf returns the row of 4:2:0 chroma that belongs to a row of luma.
func (z *twin) chromaRowOf(y int) int {
	if z.field {
		return y/4*2 + y%2
	}
	return y / 2
}

// still marks the chroma samples that are equal to all others in reach of an
// interpolator of four taps: two to either side, and in 4:2:0 two rows of the
// field up and down too. At full chroma resolution nothing is interpolated.
func (z *twin) still() [][]bool {
	const reach = 2
	cb, cr := z.planes[1], z.planes[2]
	across := make([][]bool, len(cb))
	for k := range across {
		across[k] = make([]bool, len(cb[k]))
		for i := range across[k] {
			across[k][i] = true
			for x := max(0, i-reach); z.across > 1 && x <= min(i+reach, len(cb[k])-1); x++ {
				across[k][i] = across[k][i] && cb[k][x] == cb[k][i] && cr[k][x] == cr[k][i]
			}
		}
	}
	if z.down == 1 {
		return across
	}
	step := 1
	if z.field {
		step = 2
	}
	both := make([][]bool, len(cb))
	for k := range both {
		both[k] = make([]bool, len(cb[k]))
		for i := range both[k] {
			both[k][i] = true
			for d := -reach; d <= reach; d++ {
				if y := k + d*step; y >= 0 && y < len(cb) {
					both[k][i] = both[k][i] && across[y][i] && cb[y][i] == cb[k][i] && cr[y][i] == cr[k][i]
				}
			}
		}
	}
	return both
}
