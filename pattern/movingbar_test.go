package pattern

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// barsAt returns the middles of the parts of a row above half of white,
// samples, without those that the ends cut.
func barsAt(row []float64) (list []float64) {
	for i := 0; i < len(row); {
		if row[i] < 0.5 {
			i++
			continue
		}
		from := i
		for i < len(row) && row[i] >= 0.5 {
			i++
		}
		if from > 0 && i < len(row) {
			list = append(list, float64(from+i-1)/2)
		}
	}
	return list
}

// TestMovingBar: a bar that stood in the middle goes on by step samples in each
// field, and its neighbors are where it began after a period. The row of field
// time t is one of field 1 or 2 of frame t/2, whatever its place in the file.
func TestMovingBar(t *testing.T) {
	for _, tt := range []struct {
		spec, raster        string
		step, pitch, period int
	}{
		{"moving-bar", "480i", 6, 120, 10}, {"moving-bar", "480i-dv", 6, 120, 10}, {"moving-bar", "576i", 6, 120, 10},
		{"moving-bar", "240p", 6, 120, 20}, {"moving-bar direction=left step=7 fields=16", "480i", -7, 112, 8},
	} {
		t.Run(tt.spec+" "+tt.raster, func(t *testing.T) {
			s, v, at := laid(t, tt.spec, tt.raster)
			require.Equal(t, tt.period, s.Period)
			fields, h := v.Shown.Scan.Fields, v.Shown.Height()
			for time := range 2 * fields * tt.period {
				f := at(time / fields)
				seen := 0
				for j := h / 2; j < h; j++ {
					if v.Shown.Lines[j].Field != time%fields+1 {
						continue
					}
					seen++
					bars := barsAt(f.Planes[0].Row(j))
					require.NotEmpty(t, bars)
					// 24 samples from 348 on: the middle is 359.5.
					want := float64(359) + 0.5 + float64(tt.step*time)
					for _, b := range bars {
						off := int(b-want) % tt.pitch
						require.Zero(t, off, "field time %d row %d: a bar at %v", time, j, b)
						require.Equal(t, b, float64(int(b))+0.5)
					}
				}
				require.Equal(t, h/2/fields, seen)
				assert.Equal(t, barsAt(at(0).Planes[0].Row(0)), barsAt(f.Planes[0].Row(0)), "the upper bars stand")
			}
		})
	}
}

// TestMovingBarLoop: the step from the last frame to the first is that between
// all others.
func TestMovingBarLoop(t *testing.T) {
	s, _, at := laid(t, "moving-bar", "480i")
	one, again := at(1), at(s.Period+1)
	assert.Equal(t, one.Planes, again.Planes)
	assert.NotEqual(t, at(0).Planes, one.Planes)
}
