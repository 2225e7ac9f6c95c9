package pattern

import (
	"fmt"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// edgesOf returns where a component goes through the middle between its
// neighboring levels, in picture heights.
func edgesOf(x timing.Comb, v []float64) (at []float64) {
	least, greatest := v[0], v[0]
	for _, y := range v {
		least, greatest = min(least, y), max(greatest, y)
	}
	middle := (least + greatest) / 2
	if greatest-least < 1e-9 {
		return nil
	}
	for i := range len(v) - 1 {
		if a, b := v[i]-middle, v[i+1]-middle; (a < 0) != (b < 0) {
			at = append(at, x.At(i)+x.DX*a/(a-b))
		}
	}
	return at
}

// TestChromaDelayEdges: at every edge luma and chroma go through their 50 %
// points together, or chroma by the delay later; the references have edges of
// one kind only. ITU-R BT.601-5 co-sites all three, so no other difference is
// wanted.
func TestChromaDelayEdges(t *testing.T) {
	rows := []string{"luma only", "green-magenta", "yellow-blue", "cyan-red", "chroma only"}
	for _, raster := range []string{"480i", "576i", "240p"} {
		for _, delay := range []float64{0, 100, -350, 500} {
			q := shot{spec: fmt.Sprintf("chroma-delay delay=%g", delay), raster: raster, coding: colorimetry.YCbCr8, sampling: frame.S422}
			s, v, _ := q.take(t)
			fine := finer(v.Shown, 8)
			f, err := Sample(s, fine, frame.S444, 0)
			require.NoError(t, err)
			perNS := v.Shown.Scan.System.HeightsPerMicrosecond().Float64() / 1000
			comb := fine.Comb(0)
			for k, name := range rows {
				j := fine.Height() * (2*k + 1) / (2 * len(rows))
				luma, cb, cr := edgesOf(comb, f.Planes[0].Row(j)), edgesOf(comb, f.Planes[1].Row(j)), edgesOf(comb, f.Planes[2].Row(j))
				switch name {
				case "luma only":
					assert.Len(t, luma, 7, name)
					assert.Empty(t, append(cb, cr...), name)
					continue
				case "chroma only":
					assert.Empty(t, luma, name)
					assert.Len(t, cb, 7, name)
					continue
				}
				require.Len(t, luma, 7, name)
				require.Len(t, cb, 7, name)
				require.Len(t, cr, 7, name)
				for i := range luma {
					assert.InDelta(t, delay, (cb[i]-luma[i])/perNS, 0.2, "%s %s edge %d: CB after luma, ns", raster, name, i)
					assert.InDelta(t, delay, (cr[i]-luma[i])/perNS, 0.2, "%s %s edge %d: CR after luma, ns", raster, name, i)
				}
			}
		}
	}
}

// TestChromaDelayColors: without delay the colors are those of 75 % bars (ITU-R
// BT.601-5 clause 3.5) in every coding; with one, R'G'B' needs others, which
// keep the change of luma and say that they are not the wanted ones.
func TestChromaDelayColors(t *testing.T) {
	take := func(spec string, k *colorimetry.Coding, m frame.Sampling) *Scene {
		s, _, _ := shot{spec: spec, raster: "480i", coding: k, sampling: m}.take(t)
		return s
	}
	for name, rgb := range map[string][3]float64{
		"green-magenta: green": {0, 1, 0}, "green-magenta: magenta": {1, 0, 1}, "yellow-blue: yellow": {1, 1, 0},
		"yellow-blue: blue": {0, 0, 1}, "cyan-red: cyan": {0, 1, 1}, "cyan-red: red": {1, 0, 0},
	} {
		want := colorimetry.FromRGB(0.75*rgb[0], 0.75*rgb[1], 0.75*rgb[2])
		assert.Equal(t, want, patch(t, take("chroma-delay", colorimetry.RGB8, frame.S444), name).Want)
		assert.Equal(t, want, patch(t, take("chroma-delay delay=500", colorimetry.YCbCr8, frame.S422), name).Want)
	}
	// Luma of full colors by the factors of ITU-R BT.601-5 clause 3.5.1: .299, .587, .114.
	s := take("chroma-delay delay=300", colorimetry.RGB8, frame.S444)
	for name, lumas := range map[string][2]float64{"green-magenta": {.587, .413}, "yellow-blue": {.886, .114}, "cyan-red": {.701, .299}} {
		var p [2]Patch
		for _, q := range s.Patches {
			if len(q.Name) > len(name) && q.Name[:len(name)] == name {
				p[0], p[1] = p[1], q
			}
		}
		for _, q := range p {
			assert.NotEmpty(t, q.Absent, q.Name)
		}
		assert.InDelta(t, 0.75*(lumas[0]-lumas[1]), max(p[0].Want.Y, p[1].Want.Y)-min(p[0].Want.Y, p[1].Want.Y), 1e-9, name)
	}
	assert.Len(t, s.Notes, 2)
}
