package faultcheck

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/ingest"
	"backporch/internal/measure"
	"backporch/pattern"
)

// TestFieldsLate: what an editor makes that begins with the wrong field: each
// frame holds the newer field of one and the older of the next.
func TestFieldsLate(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := converter(t)
	for _, raster := range []string{"480i", "576i"} {
		for _, spec := range []string{"field-order", "count"} {
			s := newSheet(t, spec, raster, 2)
			first, other := "bff", "top"
			if s.raster.Lines[0].Field == 1 {
				first, other = "tff", "bottom"
			}
			chain := "setfield=" + first + ",separatefields,trim=start_frame=1,setpts=N,weave=first_field=" + other
			for _, p := range s.captures(t, tool, []string{chain}) {
				k := strength{fault: measure.FieldsLate, step: 1, value: math.NaN(), chain: chain}
				t.Run(raster+" "+spec, func(t *testing.T) {
					skipKnown(t, spec, k.fault, k.step)
					k.judge(t, s.measure(t, p))
				})
			}
		}
	}
}

// TestChromaOfFieldsMixed: 4:2:0 made of interlaced rows as if they were one
// picture, and read that way, mixes the color of the fields. It shows where color
// changes from row to row. The chain halves chroma down the picture alone.
func TestChromaOfFieldsMixed(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := converter(t)
	for _, raster := range []string{"480i", "576i"} {
		for _, spec := range []string{"crosshatch color=red", "dots color=magenta", "circles color=magenta", "safe-area", "bars-eg1", "crosshatch"} {
			s := newSheet(t, spec, raster, 1)
			colored := strings.Contains(spec, "color=")
			for _, p := range s.captures(t, tool, []string{"format=yuv440p,format=yuv444p"}) {
				t.Run(raster+" "+spec, func(t *testing.T) {
					skipKnown(t, s.name, measure.ChromaFields, 1)
					r := s.measure(t, p)
					i := slices.IndexFunc(r.Findings, func(f measure.Finding) bool { return f.Fault == measure.ChromaFields })
					if colored && assert.GreaterOrEqual(t, i, 0, "not found: %s", told(r)) {
						assert.GreaterOrEqual(t, r.Findings[i].Confidence, 0.9, told(r))
					}
					for _, f := range r.Findings {
						assert.True(t, f.Fault == measure.ChromaFields || f.Confidence < 0.9, "%s: %s", f.Fault, told(r))
					}
				})
			}
		}
	}
}

// TestFaultsOfSets: our encoder and a set that is switched or adjusted wrongly.
// The bandwidth of a signal's color is no fault of the set.
func TestFaultsOfSets(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	type set struct {
		strength
		wire, levels string // of the signal, and those that the set is switched to
		phase, gain  float64
	}
	none := math.NaN()
	sets := []set{
		{strength{fault: measure.SetupAdded, step: 1, value: none}, "composite-m", "composite-j", 0, 1},
		{strength{fault: measure.SetupMissing, step: 1, value: none}, "composite-j", "composite-m", 0, 1},
	}
	for i, d := range []float64{3, -6, 15} {
		sets = append(sets, set{strength{fault: measure.ChromaPhase, step: i, value: d, within: 0.5}, "yc-m", "yc-m", d, 1})
	}
	for i, g := range []float64{5, -10, -25} {
		sets = append(sets, set{strength{fault: measure.ChromaGain, step: i, value: g, within: 1}, "yc-m", "yc-m", 0, 1 + g/100})
	}
	patterns := []string{"bars-eg1", "bars-full", "bars-rp219", "vectors", "chroma-steps", "bars-eia189", "staircase"}
	for _, spec := range patterns {
		waves := map[string]*composite.Wave{}
		jobs := map[string]*played{}
		for _, k := range sets {
			if measure.Observes(spec, k.fault) != measure.Observable {
				continue
			}
			if waves[k.wire] == nil {
				waves[k.wire], jobs[k.wire] = onWireOf(t, spec, "480i", k.wire)
			}
			levels := composite.Lookup(k.levels)
			require.NotNil(t, levels, k.levels)
			s, err := ingest.OpenSignal(waves[k.wire], &composite.Decoder{Family: levels.Family, Phase: k.phase, Gain: k.gain})
			require.NoError(t, err)
			k.besides = []measure.Fault{measure.ChromaBandwidth, measure.Bandwidth}
			if k.fault == measure.ChromaPhase {
				require.InDelta(t, k.value, turned(t, waves[k.wire], levels.Family, k.phase), 0.1, "the set does what is said of it")
			}
			t.Run(fmt.Sprintf("%s: %s %g", spec, k.fault, k.value), func(t *testing.T) {
				k.judge(t, jobs[k.wire].check(t, s))
			})
		}
	}
}

// onWireOf encodes two frames of a pattern, limited for the wire.
func onWireOf(t testing.TB, spec, raster, name string) (*composite.Wave, *played) {
	wire := composite.Lookup(name)
	require.NotNil(t, wire, name)
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	q := newSheet(t, spec, raster, 1).job.Request
	q.Pattern, q.Plan.Wire = p, wire.Family
	laid, err := q.Layout()
	require.NoError(t, err)
	e, err := composite.NewEncoder(wire, q.Raster.Scan, composite.Standard)
	require.NoError(t, err)
	w, err := e.Encode(0, 2, laid.Carried)
	require.NoError(t, err)
	return w, &played{spec, q.Raster, laid, nil}
}

// turned is by how many degrees a set with its hue at phase shows colors, on the
// whole, turned from +(B'-Y') toward +(R'-Y') against one at 0. U = 0.872021 CB,
// V = 1.229951 CR: SMPTE 170M-2004 clause A.3, ITU-R BT.601-5 clause 3.5.2.
func turned(t testing.TB, w *composite.Wave, f *colorimetry.Family, phase float64) float64 {
	var planes [2][3][]float32
	for i, p := range []float64{0, phase} {
		s, err := ingest.OpenSignal(w, &composite.Decoder{Family: f, Phase: p})
		require.NoError(t, err)
		m, err := s.Mean(context.Background(), 1, nil)
		require.NoError(t, err)
		planes[i] = m.Planes
	}
	uv := func(i, x int) (u, v float64) {
		return 0.872021 * float64(planes[i][1][x]), 1.229951 * float64(planes[i][2][x])
	}
	var along, across float64
	for x := range planes[0][1] {
		a, b := uv(0, x)
		c, d := uv(1, x)
		along, across = along+a*c+b*d, across+a*d-b*c
	}
	return math.Atan2(across, along) * 180 / math.Pi
}
