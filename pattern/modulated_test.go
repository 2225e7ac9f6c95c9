package pattern

import (
	"fmt"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// modulations are the subcarriers of signal D2 in ITU-T J.63 (1990), as
// other_signals.csv prints them: Annex II, 40 IRE peak to peak at the phase
// of the burst (180 degrees from +(B'-Y'), SMPTE 170M clause 8.2); Annex I
// line 330, 280 mV at 60 degrees. Risers: 18 IRE, 140 mV.
var modulations = []struct {
	raster         string
	wire           *colorimetry.Family
	pp, degrees    float64 // mV
	riser          float64 // mV, of 5
	signal, values string
}{
	{"480i", colorimetry.CompositeM, 40 * 1000 / 140.0, 180, 18 * 1000 / 140.0, "525 line 17 f1", "60..98"},
	{"240p", colorimetry.CompositeJ, 40 * 1000 / 140.0, 180, 18 * 1000 / 140.0, "525 line 17 f1", "60..98"},
	{"576i", colorimetry.PAL, 280, 60, 140, "625 line 330", "15..30"},
}

// TestModulatedStaircase holds luma and subcarrier of every step, on the wire,
// to signal D2 of ITU-T J.63.
func TestModulatedStaircase(t *testing.T) {
	for _, tt := range modulations {
		t.Run(tt.wire.Name, func(t *testing.T) {
			row := otherSignal(t, tt.signal, "D2 subcarrier")
			require.Equal(t, tt.values, row.Row["value"], "the row that the figures are from")
			q := shot{raster: tt.raster, coding: colorimetry.YCbCr8, sampling: frame.S422, plan: colorimetry.Plan{Wire: tt.wire}}
			for _, risers := range []int{5, 10} {
				q.spec = fmt.Sprintf("staircase modulated risers=%d", risers)
				s, _, f := q.take(t)
				require.Len(t, s.Patches, risers+1)
				for n := range risers + 1 {
					p := patch(t, s, fmt.Sprintf("step %d", n))
					assert.Empty(t, p.Absent)
					got := middle(t, f, p)
					pp, degrees := tt.wire.Phasor(got)
					assert.InDelta(t, tt.pp, float64(pp), 1e-6, "step %d: subcarrier, mV", n)
					assert.InDelta(t, tt.degrees, degrees, 1e-6, "step %d: angle", n)
					want := float64(tt.wire.Black) + float64(n)*tt.riser*5/float64(risers)
					assert.InDelta(t, want, float64(tt.wire.Luma(got)), 1e-6, "step %d of %d: luma, mV", n, risers)
				}
			}
		})
	}
}

// TestModulatedRamp: the same subcarrier along the whole ramp, on luma that
// rises evenly; a range in per cent stays as asked for.
func TestModulatedRamp(t *testing.T) {
	for _, tt := range modulations {
		q := shot{raster: tt.raster, coding: colorimetry.YCbCr10, sampling: frame.S422, plan: colorimetry.Plan{Wire: tt.wire}}
		for _, direction := range []string{"horizontal", "vertical"} {
			q.spec = "ramp modulated direction=" + direction
			s, _, f := q.take(t)
			for _, row := range []int{0, f.Raster.Height() / 2, f.Raster.Height() - 1} {
				for i := range f.Planes[1].Row(row) {
					pp, degrees := tt.wire.Phasor(colorimetry.Signal{CB: f.Planes[1].Row(row)[i], CR: f.Planes[2].Row(row)[i]})
					require.InDelta(t, tt.pp, float64(pp), 1e-6)
					require.InDelta(t, tt.degrees, degrees, 1e-6)
				}
			}
			p := patch(t, s, "ramp")
			assert.InDelta(t, float64(tt.wire.Black), float64(tt.wire.Luma(p.Want)), 1e-9)
			assert.InDelta(t, float64(tt.wire.Black)+5*tt.riser, float64(tt.wire.Luma(p.To)), 1e-6)
		}
		q.spec = "ramp modulated range=20..100"
		s, _, _ := q.take(t)
		assert.InDelta(t, 0.2, patch(t, s, "ramp").Want.Y, 1e-12)
		assert.InDelta(t, 1, patch(t, s, "ramp").To.Y, 1e-12)
	}
}

// TestModulatedSubstitute: R'G'B' holds the subcarrier neither on black nor on
// white. All steps are then between the levels at which it does, with the
// subcarrier and equal risers, and each says so; where there are no such levels
// the ramp is gray.
func TestModulatedSubstitute(t *testing.T) {
	for _, tt := range modulations {
		q := shot{spec: "staircase modulated risers=5", raster: tt.raster, coding: colorimetry.RGB8, sampling: frame.S444, plan: colorimetry.Plan{Wire: tt.wire}}
		s, _, _ := q.take(t)
		var last, riser float64
		for n := range 6 {
			p := patch(t, s, fmt.Sprintf("step %d", n))
			assert.Contains(t, p.Absent, "no code for the subcarrier")
			pp, degrees := tt.wire.Phasor(p.Want)
			assert.InDelta(t, tt.pp, float64(pp), 1e-6)
			assert.InDelta(t, tt.degrees, degrees, 1e-6)
			r, g, b := p.Want.RGB()
			assert.GreaterOrEqual(t, min(r, g, b), -1e-12)
			assert.LessOrEqual(t, max(r, g, b), 1+1e-12)
			switch n {
			case 0:
				assert.InDelta(t, 0, min(r, g, b), 1e-12, "no more luma than needed")
			case 1:
				riser = p.Want.Y - last
				assert.Greater(t, riser, 0.05)
			default:
				assert.InDelta(t, riser, p.Want.Y-last, 1e-12)
			}
			last = p.Want.Y
		}

		q.spec = "ramp modulated range=near-black"
		s, _, _ = q.take(t)
		p := patch(t, s, "ramp")
		if tt.wire != colorimetry.PAL {
			assert.Equal(t, colorimetry.Gray(0.2), p.To, "no luma below 20 % has room")
		}
		assert.NotEmpty(t, p.Absent)
		assert.NotEmpty(t, s.Notes)
	}
}

// TestPlainStaircase: without the option nothing has changed: black to white,
// and no color.
func TestPlainStaircase(t *testing.T) {
	for _, spec := range []string{"staircase", "ramp"} {
		s, _, f := shot{spec: spec, raster: "480i", coding: colorimetry.YCbCr8, sampling: frame.S422}.take(t)
		assert.Equal(t, white, s.Patches[len(s.Patches)-1].To)
		assert.Empty(t, s.Notes)
		for c := 1; c < 3; c++ {
			for _, row := range f.Planes[c].Rows {
				for _, x := range row {
					require.Zero(t, x)
				}
			}
		}
	}
}
