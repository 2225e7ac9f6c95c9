package compare_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/compare"
	"backporch/internal/composite"
	"backporch/internal/testtable"
)

// knobs runs a setting of gain (1 is nominal) with several of phase (degrees) on
// 75 % bars, through the encoded signal, with the blue gun lit.
func knobs(t *testing.T, wire string, gain float64, phases ...float64) []compare.Outcome {
	t.Helper()
	q := request(t, "bars-full set=75/0/75/0", "480i", compare.Phase)
	q.Wire = composite.Lookup(wire)
	q.Gun, q.Values = compare.BlueOnly, phases
	q.Set.Input.Gain = gain
	res, err := compare.Run(q)
	require.NoError(t, err)
	require.Empty(t, res.NoGuns)
	return res.Outcomes
}

// TestBlueOnly holds the four blue bars to a table computed from the factors of
// SMPTE 170M Annex A.3 (calc), which has two decimals of a per cent.
func TestBlueOnly(t *testing.T) {
	rows := map[float64][]testtable.Row{}
	for _, r := range testtable.Table(t, "bars_blue_only.csv") {
		gain := r.Float(t, "gain")
		rows[gain] = append(rows[gain], r)
	}
	require.Len(t, rows, 7)
	for gain, list := range rows {
		t.Run(fmt.Sprint("gain ", gain), func(t *testing.T) {
			var phases []float64
			for _, r := range list {
				phases = append(phases, r.Float(t, "phi_deg"))
			}
			// Y/C: no separation that would leave something of the luma in the color.
			for i, o := range knobs(t, "yc-m", gain, phases...) {
				r, g := list[i], o.Guns
				for k, name := range []string{"grey", "blue", "cyan", "magenta"} {
					assert.InDelta(t, r.Float(t, name), 100*g.Drive[k], 0.015, "%v: %s", phases[i], name)
				}
				// Pairs of the table are in per cent of white, ours of the 75 % level.
				assert.InDelta(t, -r.Float(t, "grey_minus_blue")/0.75, g.Outer(), 0.03)
				assert.InDelta(t, r.Float(t, "cyan_minus_magenta")/0.75, g.Inner(), 0.03)
			}
		})
	}
}

// TestGunsOfBars holds every gun of every bar, and its light, to a second table
// of the same equations, of more digits; composite here, with the notch.
func TestGunsOfBars(t *testing.T) {
	rows := testtable.Table(t, "blue_only_75bars.csv")
	outcomes := map[[2]float64]*compare.Outcome{}
	checked := 0
	for _, r := range rows {
		key := [2]float64{r.Float(t, "chroma_gain"), r.Float(t, "phase_deg")}
		if outcomes[key] == nil {
			outcomes[key] = &knobs(t, "composite-m", key[0], key[1])[0]
		}
		for _, b := range outcomes[key].Bars {
			if b.Name != r.Text(t, "bar") {
				continue
			}
			checked++
			for g, name := range []string{"R", "G", "B"} {
				assert.InDelta(t, r.Float(t, name+"_prime"), b.Got.Drive[g], 2e-4, "%v %s %s'", key, b.Name, name)
				assert.InDelta(t, r.Float(t, name+"_light_2.4"), b.Got.Light[g]/100, 5e-4, "%v %s light of %s", key, b.Name, name)
			}
		}
	}
	assert.Equal(t, len(rows)*6/8, checked, "all but gray and black")
}

// TestSensitivity holds what the four bars of each gun do per cent of gain and
// per degree to the derivatives of the decoder's equations (SMPTE 170M Annex
// A.3: B'-Y' and R'-Y' over kU and kV): for blue +0.886 %/% and 4.007 %/degree.
func TestSensitivity(t *testing.T) {
	tests := []struct {
		gun                 compare.Gun
		outerGain, outerDeg float64
		innerGain, innerDeg float64
		cyanGain, cyanDeg   float64 // of the third bar
		magGain, magDeg     float64 // of the fourth
	}{
		{compare.BlueOnly, 0.886, 0.355, -0.288, 4.007, 0.299, 2.181, 0.587, -1.826},
		// Red: R'-Y' times gain; (B'-Y') 0.560949 pi/180 / 0.75 a degree. Bars
		// yellow (B'-Y' -0.6645, R'-Y' 0.0855) and magenta (0.44025 both), own
		// (-0.22425, 0.52575).
		{compare.RedOnly, 0.701, -0.2927, -0.473, -1.4421, 0.114, -0.8674, 0.587, 0.5747},
	}
	for _, tt := range tests {
		t.Run(tt.gun.String(), func(t *testing.T) {
			q := request(t, "bars-full", "480i", compare.Gain)
			q.Gun = tt.gun
			res, err := compare.Run(q)
			require.NoError(t, err)
			s := res.Sensitivity
			require.NotNil(t, s)
			assert.InDelta(t, tt.outerGain, s.OuterGain, 6e-4)
			assert.InDelta(t, tt.outerDeg, s.OuterPhase, 6e-4)
			assert.InDelta(t, tt.innerGain, s.InnerGain, 6e-4)
			assert.InDelta(t, tt.innerDeg, s.InnerPhase, 6e-4)
			assert.InDelta(t, tt.cyanGain, s.Gain[2], 6e-4)
			assert.InDelta(t, tt.cyanDeg, s.Phase[2], 6e-4)
			assert.InDelta(t, tt.magGain, s.Gain[3], 6e-4)
			assert.InDelta(t, tt.magDeg, s.Phase[3], 6e-4)
			assert.InDelta(t, 0, s.Gain[0], 1e-4, "gray has no color to amplify")
		})
	}
}

// TestGunsMissing: a pattern without the bars says so, and what has them.
func TestGunsMissing(t *testing.T) {
	tests := []struct{ spec, why string }{
		{"pluge", "it has no blue bar"},
		{"bars-full set=100/0/75/0", "it has no gray of 75 %, the level of its blue bar"},
	}
	for _, tt := range tests {
		t.Run(tt.spec, func(t *testing.T) {
			q := request(t, tt.spec, "480i", compare.Phase)
			q.Gun = compare.BlueOnly
			res, err := compare.Run(q)
			require.NoError(t, err)
			assert.Equal(t, tt.why, res.NoGuns)
			assert.Nil(t, res.Sensitivity)
			assert.Contains(t, res.Notes(), "No pairs of bars to read: "+tt.why+"; bars-full, bars-eg1 and bars-eia189 have them.")
		})
	}
}
