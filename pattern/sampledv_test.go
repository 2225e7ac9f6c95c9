package pattern

import (
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// slope is chroma that rises along the line and down the picture, so that a
// value says where it was taken; CB and CR rise unlike.
func slope() *Scene {
	return still([]Band{{Bottom: endless, Paint: func(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, _ int) {
		down := []float64{0, 0.3, -0.2}[c]
		for i := range dst {
			dst[i] = x.At(i)/8 + float64(down*y.Y)
		}
	}}})
}

// TestSitesOfDV finds the chroma of DV again in the same slope sampled at every
// luma sample. 4:1:1: luma samples 0, 4, 8 ... of every row (SMPTE 314M: memory).
// 4:2:0: luma samples 0, 2, 4 ...; of the lines of each field CR has the first,
// third, fifth ... and CB those between (IEC 61834-2: memory). Of rows of the
// frame, which begins with a line of the one field and goes on with one of the
// other, CR has 0 1 4 5 8 9 ... and CB 2 3 6 7 10 11.
func TestSitesOfDV(t *testing.T) {
	every := func(n int) (rows []int) {
		for j := range n {
			rows = append(rows, j)
		}
		return rows
	}
	var first, second []int
	for j := range 576 {
		if line := j / 2; line%2 == 0 { // of its field
			first = append(first, j)
		} else {
			second = append(second, j)
		}
	}
	for _, tt := range []struct {
		raster string
		m      frame.Sampling
		across int
		rows   [3][]int // of the picture, by component
	}{
		{"480i-dv", frame.S411, 4, [3][]int{every(480), every(480), every(480)}},
		{"480i", frame.S411, 4, [3][]int{every(480), every(480), every(480)}},
		{"576i-dv", frame.S420DV, 2, [3][]int{every(576), second, first}},
	} {
		r := timing.Lookup(tt.raster)
		all, err := Sample(slope(), r, frame.S444, 0)
		require.NoError(t, err)
		f, err := Sample(slope(), r, tt.m, 0)
		require.NoError(t, err)
		for c, p := range f.Planes {
			across := tt.across
			if c == 0 {
				across = 1
			}
			require.Len(t, p.Lines, len(tt.rows[c]), "%s, component %d", tt.raster, c)
			for k, j := range tt.rows[c] {
				row := p.Row(k)
				require.Len(t, row, 720/across)
				for i, v := range row {
					require.InDelta(t, all.Planes[c].Row(j)[i*across], v, 1e-15, "%s %v, component %d, row %d, sample %d", tt.raster, tt.m, c, k, i)
				}
			}
		}
	}
}

// TestEdgesOfDV: edges are four samples of each component's own rate, so that
// chroma of 4:1:1 rises as slowly as its samples can follow, 16 luma samples.
func TestEdgesOfDV(t *testing.T) {
	r := timing.Lookup("480i-dv")
	luma := 4 * r.Comb(0).DX
	for _, tt := range []struct {
		m    frame.Sampling
		k    *colorimetry.Coding
		want float64
	}{
		{frame.S411, colorimetry.YCbCr8, 4}, {frame.S422, colorimetry.YCbCr8, 2}, {frame.S444, colorimetry.YCbCr8, 1},
		{frame.S444, colorimetry.RGB8, 1},
	} {
		v := NewView(r, tt.k, tt.m, Shaped)
		assert.InDelta(t, luma, v.Edge[0], 1e-12, "%v", tt.m)
		assert.InDelta(t, tt.want*luma, v.Edge[1], 1e-12, "%v", tt.m)
		assert.InDelta(t, tt.want*luma, v.Edge[2], 1e-12, "%v", tt.m)
	}
	v := NewView(timing.Lookup("576i-dv"), colorimetry.YCbCr8, frame.S420DV, Fast)
	assert.InDelta(t, 2*v.Edge[0], v.Edge[1], 1e-12)
	assert.Equal(t, [3]float64{}, NewView(r, colorimetry.YCbCr8, frame.S411, Hard).Edge)
}

// TestBandsOfDV: cuts between the bands of bars lie on whole pairs of lines of
// each field, so that the rows of CR and of CB come from one band each time. If
// a cut fell within a pair, one of the two would be that of the band below.
func TestBandsOfDV(t *testing.T) {
	for _, spec := range []string{"bars-eg1", "bars-eia189", "bars-rp219", "bars-split-red"} {
		s, _, f := shot{spec: spec, raster: "576i-dv", coding: colorimetry.YCbCr8, sampling: frame.S420DV}.take(t)
		require.Greater(t, len(s.Bands), 1, spec)
		for k := range f.Planes[1].Lines {
			var bands [3]int
			for c := range bands {
				y := f.Raster.Span(k/2*4 + k%2).Y // the first line of the pair, of Y
				if c > 0 {
					y = chromaY(f.Raster, f.Sampling, colorimetry.Component(c), k)
				}
				bands[c] = bandAt(s.Bands, y)
			}
			assert.Equal(t, [3]int{bands[0], bands[0], bands[0]}, bands, "%s, chroma row %d", spec, k)
		}
	}
}
