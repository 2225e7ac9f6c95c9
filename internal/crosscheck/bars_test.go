package crosscheck

import (
	"testing"

	"backporch/internal/format"
	"backporch/internal/oracle"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// barPrimaries are R'G'B' of the eight bars, on or off, in falling order of
// luma (SMPTE 170M-2004 table A.3).
var barPrimaries = []struct {
	name    string
	r, g, b float64
}{
	{"white", 1, 1, 1}, {"yellow", 1, 1, 0}, {"cyan", 0, 1, 1}, {"green", 0, 1, 0},
	{"magenta", 1, 0, 1}, {"red", 1, 0, 0}, {"blue", 0, 0, 1}, {"black", 0, 0, 0},
}

// TestDecodedBars reads the bars of the four classic sets by zimg, in the
// middle of each, and holds them to the R'G'B' that a set a/b/c/d is named
// after: white a, black b, the others c where a primary is on and d where it is
// off. The program's own matrix has no part in what is wanted.
func TestDecodedBars(t *testing.T) {
	sets := []struct {
		name       string
		a, b, c, d float64
	}{
		{"100/0/100/0", 1, 0, 1, 0}, {"100/0/75/0", 1, 0, 0.75, 0}, {"75/0/75/0", 0.75, 0, 0.75, 0}, {"100/0/100/25", 1, 0, 1, 0.25},
	}
	for _, f := range []struct {
		streamFormat
		tolerance float64
	}{
		{streamFormat{format.Choice{Name: "uyvy"}, "uyvy422", ""}, 1.6 / 255},
		{streamFormat{format.Choice{Name: "v210"}, "v210", ""}, 0.4 / 255},
	} {
		var list []string
		for _, s := range sets {
			list = append(list, "bars-full set="+s.name)
		}
		for _, b := range batches(t, list, rasters(), f.choice) {
			s := oracle.Stream{Format: f.raw, W: b.w, H: b.h, Interlaced: b.interlaced, Data: &reel{jobs: b.jobs}}
			n := oracle.ReadColors(t, s, func(n int, c *oracle.Colors) {
				require.Less(t, n, len(b.jobs))
				set := sets[n%len(sets)]
				require.Contains(t, b.jobs[n].Spec, set.name)
				g := geometryOf(b.jobs[n].Raster)
				for i, bar := range barPrimaries {
					level := func(on float64) float64 { return set.d + on*(set.c-set.d) }
					want := [3]float64{level(bar.r), level(bar.g), level(bar.b)}
					switch bar.name {
					case "white":
						want = [3]float64{set.a, set.a, set.a}
					case "black":
						want = [3]float64{set.b, set.b, set.b}
					}
					us := g.left + (g.right-g.left)*(float64(i)+0.5)/8
					at := b.h/2*b.w + int(us*13.5-g.start+0.5)
					got := []float64{float64(c.R[at]), float64(c.G[at]), float64(c.B[at])}
					assert.InDeltaSlice(t, want[:], got, f.tolerance, "%s of %s on %s", bar.name, set.name, b.jobs[n].Raster.Name)
				}
			})
			assert.Equal(t, len(b.jobs), n, "frames")
		}
	}
}
