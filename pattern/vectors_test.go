package pattern

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestVectorsOnTheWire: every hue has its angle and the one amplitude on the
// wire, by the subcarrier factors that are printed in SMPTE 170M-2004 Annex A.3
// and ITU-R BT.470-6 item 2.5, and color differences by ITU-R BT.601-5 clause
// 3.5.2; the axes are where SMPTE 244M-2003 clause 4.1.2 has them.
func TestVectorsOnTheWire(t *testing.T) {
	type wire struct {
		raster string
		family *colorimetry.Family
		ku, kv float64
		unit   float64 // luma excursions in an IRE (625: in 7 mV)
	}
	for _, w := range []wire{
		{"480i", nil, 0.492111, 0.877283, 1 / 92.5},
		{"480i", colorimetry.CompositeM, 0.492111, 0.877283, 1 / 92.5},
		{"240p", colorimetry.CompositeJ, 0.492111, 0.877283, 1.0 / 100},
		{"576i", nil, 0.493, 0.877, 1.0 / 100},
	} {
		for _, steps := range []int{6, 7, 24} {
			for _, amplitude := range []float64{10, 40, 80} {
				q := shot{spec: fmt.Sprintf("vectors steps=%d amplitude=%g luma=40", steps, amplitude), raster: w.raster,
					coding: colorimetry.YCbCr8, sampling: frame.S422, plan: colorimetry.Plan{Wire: w.family}}
				s, _, f := q.take(t)
				require.Len(t, s.Patches, steps+8+1)
				want := map[string]float64{"+(B-Y)": 0, "+Q": 33, "+(R-Y)": 90, "+I": 123, "-(B-Y)": 180, "-Q": 213, "-(R-Y)": 270, "-I": 303}
				for i := range steps {
					want[s.Patches[i].Name] = 360 * float64(i) / float64(steps)
				}
				for name, degrees := range want {
					p := patch(t, s, name)
					require.Empty(t, p.Absent)
					got := middle(t, f, p)
					require.InDelta(t, 0.4, got.Y, 1e-12)
					u, v := w.ku*1.772*got.CB, w.kv*1.402*got.CR
					require.InDelta(t, amplitude*w.unit, 2*math.Hypot(u, v), 1e-6, "%s: amplitude", name)
					diff := math.Mod(math.Atan2(v, u)*180/math.Pi-degrees+540, 360) - 180
					require.InDelta(t, 0, diff, 1e-4, "%s: angle", name)
				}
				assert.Equal(t, colorimetry.Gray(0.4), patch(t, s, "gray").Want)
			}
		}
	}
}

// TestVectorsSubstitute: where R'G'B' cannot hold one of the hues all have the
// same smaller amplitude, at their angles, and at least one is at the limit.
func TestVectorsSubstitute(t *testing.T) {
	q := shot{spec: "vectors amplitude=80 steps=12", raster: "480i", coding: colorimetry.RGB8, sampling: frame.S444, plan: colorimetry.Plan{Wire: colorimetry.CompositeJ}}
	s, _, _ := q.take(t)
	// (B'-Y') within ±0.5 at half luma: 2 x 0.5 x 0.492111 of white (calc; factor
	// of SMPTE 170M-2004 Annex A.3), and no part of a code beyond.
	limit := 98.4222 / 2
	for i, p := range s.Patches[:20] {
		assert.NotEmpty(t, p.Absent, p.Name)
		pp, degrees := colorimetry.CompositeJ.Phasor(p.Want)
		assert.InDelta(t, limit, float64(pp.IRE()), 1e-4, "%s", p.Name)
		if i < 12 {
			assert.InDelta(t, 30*float64(i), degrees, 1e-6)
		}
	}
	assert.Contains(t, strings.Join(s.Notes, " "), "IRE peak to peak instead")

	q.spec = "vectors"
	s, _, _ = q.take(t)
	for _, p := range s.Patches {
		assert.Empty(t, p.Absent, "the default fits R'G'B'")
	}
}
