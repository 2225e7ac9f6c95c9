package measure

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"
)

// exchanged returns the picture with rows 2k and 2k+1 in each other's place.
func exchanged(p *Picture) *Picture {
	q := *p
	for c := range q.Planes {
		q.Planes[c] = nil
		for j := range p.Height {
			q.Planes[c] = append(q.Planes[c], p.Planes[c][(j^1)*p.Width:((j^1)+1)*p.Width]...)
		}
	}
	return &q
}

// TestSwappedRows: fields on each other's rows are found, and no others, with
// noise and faults of levels.
func TestSwappedRows(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	for _, name := range []string{"field-order", "circles", "line-twitter", "zone-plate"} {
		for _, raster := range []string{"480i", "576i"} {
			for i, fault := range []string{"", "squeezed", "gamma"} {
				for _, swap := range []bool{false, true} {
					sc, _, p := sampled(t, name, raster, 0)
					p.Raster = nil
					s := shot{fault: fault, noise: 0.01 * float64(i), seed: 3}
					if swap {
						p = exchanged(p)
					}
					s.spoil(p, rand.New(rand.NewPCG(3, 3)))
					at := Nominal(timing.Lookup(raster))
					def, err := Definition(p, at, sc, timing.Lookup(raster), 0)
					require.NoError(t, err)
					sure, ok := SwappedRows(p, def, at)
					require.True(t, ok, "%s %s", name, raster)
					if swap {
						assert.Greater(t, sure, 0.99, "%s %s %s", name, raster, fault)
					} else {
						assert.Less(t, sure, 0.01, "%s %s %s", name, raster, fault)
					}
				}
			}
		}
	}
	// Nothing is said of a pattern whose pairs of rows are equal, of one without
	// fields, and of rows that were interpolated.
	for _, tt := range []struct {
		spec, raster string
		down         float64
	}{{"bars-full", "480i", 1}, {"circles", "240p", 1}, {"circles", "480i", 1.1}} {
		sc, _, p := sampled(t, tt.spec, tt.raster, 0)
		r := timing.Lookup(tt.raster)
		at := Nominal(r)
		at.DY *= tt.down
		def, err := Definition(p, at, sc, r, 0)
		require.NoError(t, err)
		_, ok := SwappedRows(p, def, at)
		assert.False(t, ok, "%v", tt)
	}
}

// TestMixedChroma: the share of chroma that was averaged over both fields is
// measured to what its deviation says; 4:2:0 by field is none.
func TestMixedChroma(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	for _, name := range []string{"circles color=magenta", "circles color=yellow background=blue"} {
		sc, _, p := sampled(t, name, "480i", 0)
		r := timing.Lookup("480i")
		at := Nominal(r)
		def, err := Definition(p, at, sc, r, 0)
		require.NoError(t, err)
		for _, share := range []float64{0, 0.3, 0.6, 1} {
			for _, fault := range []string{"", "gain", "phase", "swapped"} {
				q := *p
				q.Raster = nil
				for c := range q.Planes {
					q.Planes[c] = append([]float32(nil), p.Planes[c]...)
					if c == 0 {
						continue
					}
					for j := range p.Height {
						own, other := p.Row(colorimetry.Component(c), j), p.Row(colorimetry.Component(c), j^1)
						for i := range own {
							q.Planes[c][j*p.Width+i] = own[i] + float32(share)*((own[i]+other[i])/2-own[i])
						}
					}
				}
				s := shot{fault: fault, noise: 0.01}
				s.spoil(&q, rand.New(rand.NewPCG(5, 5)))
				mixed, sigma, ok := MixedChroma(&q, def, at)
				if name != "circles color=magenta" && !ok {
					continue // too little for noise of this kind, and it says so
				}
				require.True(t, ok, "%s %s", name, fault)
				assert.InDelta(t, share, mixed, max(0.05, 3*sigma), "%s %s", name, fault)
				assert.Less(t, sigma, 0.3, name)
			}
		}
	}
	// 4:2:0 by field is not mixed; gray has nothing to mix.
	r := timing.Lookup("480i")
	for _, name := range []string{"bars-eg1", "circles"} {
		sc, _, p := sampled(t, name, "480i", frame.S420Field)
		def, err := Definition(p, Nominal(r), sc, r, 0)
		require.NoError(t, err)
		if mixed, sigma, ok := MixedChroma(p, def, Nominal(r)); ok {
			assert.Less(t, mixed, max(0.1, 3*sigma), name)
		}
	}
}
