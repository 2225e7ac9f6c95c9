package pattern

import (
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestChromaStepsJ63 holds set j63 to ITU-T J.63 (1990): Annex II signal G,
// 20, 40 and 80 IRE peak to peak on 50 IRE, 90 degrees behind the burst (180
// degrees, SMPTE 170M clause 8.2), and Annex I signal G2, 140, 420 and 700 mV on
// 350 mV, and the places of both.
func TestChromaStepsJ63(t *testing.T) {
	const ire = 1000.0 / 140
	for _, tt := range []struct {
		raster           string
		wire             *colorimetry.Family
		signal, quantity string
		names            []string
		pp               []float64 // mV
		pedestal, angle  float64   // mV; degrees
	}{
		{"480i", colorimetry.CompositeM, "525 line 17 f2", "G 3-level chroma", []string{"chroma 20 IRE", "chroma 40 IRE", "chroma 80 IRE"},
			[]float64{20 * ire, 40 * ire, 80 * ire}, 50 * ire, 90},
		{"240p", colorimetry.CompositeJ, "525 line 17 f2", "G 3-level chroma", []string{"chroma 20 IRE", "chroma 40 IRE", "chroma 80 IRE"},
			[]float64{20 * ire, 40 * ire, 80 * ire}, 50 * ire, 90},
		{"576i", colorimetry.PAL, "625 line 331", "G2 3-level", []string{"chroma 140 mV", "chroma 420 mV", "chroma 700 mV"},
			[]float64{140, 420, 700}, 350, 60}, // the angle is that of D2: own choice
	} {
		places := otherSignal(t, tt.signal, tt.quantity).places()
		require.Len(t, places, 4)
		plan := colorimetry.Plan{Wire: tt.wire}
		s, line := fineTraces(t, "chroma-steps set=j63", tt.raster, plan)
		_, _, f := shot{spec: "chroma-steps set=j63", raster: tt.raster, coding: colorimetry.YCbCr10, sampling: frame.S422, plan: plan}.take(t)
		for i, name := range tt.names {
			p := patch(t, s, name)
			assert.Empty(t, p.Absent)
			got := middle(t, f, p)
			pp, degrees := tt.wire.Phasor(got)
			assert.InDelta(t, tt.pp[i], float64(pp), 1e-6, name)
			assert.InDelta(t, tt.angle, degrees, 1e-6, name)
			assert.InDelta(t, tt.pedestal, float64(tt.wire.Luma(got)), 1e-6, name)
		}
		// The middle of each change of amplitude stands at the published place.
		cr := line[2]
		for i, at := range places {
			before, after := cr.at(at-1.2), cr.at(at+1.2)
			us := cr.passes(t, (before+after)/2, at-1, at+1)
			assert.InDelta(t, at, us, 2e-3, "change %d, us", i)
		}
	}
}

// TestChromaStepsEven: amplitudes as asked for, at the angle asked for, the
// first without color; what R'G'B' cannot hold is at its limit and says so.
func TestChromaStepsEven(t *testing.T) {
	m := colorimetry.CompositeM
	q := shot{spec: "chroma-steps levels=0,12.5,60 phase=123", raster: "480i", coding: colorimetry.YCbCr8, sampling: frame.S422, plan: colorimetry.Plan{Wire: m}}
	s, _, f := q.take(t)
	for name, want := range map[string]float64{"chroma 0 IRE": 0, "chroma 12.5 IRE": 12.5, "chroma 60 IRE": 60} {
		pp, degrees := m.Phasor(middle(t, f, patch(t, s, name)))
		assert.InDelta(t, want, float64(pp.IRE()), 1e-9)
		if want > 0 {
			assert.InDelta(t, 123, degrees, 1e-9)
		}
	}
	q.spec, q.coding, q.sampling = "chroma-steps", colorimetry.RGB8, frame.S444
	s, _, _ = q.take(t)
	for _, name := range []string{"chroma 20 IRE", "chroma 80 IRE"} {
		assert.Empty(t, patch(t, s, name).Absent)
	}
	last := patch(t, s, "chroma 100 IRE")
	assert.Contains(t, last.Absent, "so much color")
	pp, degrees := m.Phasor(last.Want)
	assert.InDelta(t, 90, degrees, 1e-9)
	r, _, _ := last.Want.RGB()
	assert.InDelta(t, 1, r, 1e-8, "red is at white, and not half a code beyond")
	assert.Greater(t, float64(pp.IRE()), 80.0)
	assert.NotEmpty(t, s.Notes)
}

// TestChromaStepsRefuses names what does not fit.
func TestChromaStepsRefuses(t *testing.T) {
	for spec, why := range map[string]string{
		"chroma-steps levels=0,101":                        `"101" in "0,101" is no amplitude within 0 to 100`,
		"chroma-steps levels=20":                           "has 1 levels; use 2 to 12",
		"chroma-steps levels=20,20":                        "stands twice",
		"chroma-steps phase=361":                           "is not an angle; use j63",
		"chroma-steps set=five":                            `"five" is none of even, j63`,
		"chroma-steps levels=0,1,2,3,4,5,6,7,8,9,10,11,12": "has 13 levels",
	} {
		_, err := Parse(spec)
		assert.ErrorContains(t, err, why)
	}
}
