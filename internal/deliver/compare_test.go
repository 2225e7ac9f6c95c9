package deliver

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/pattern"
)

// TestLevels: a patch fails by its mean, and by half of its samples when the
// errors cancel; a few samples that are far off fail a lossless target alone.
func TestLevels(t *testing.T) {
	for _, tt := range []struct {
		name, target string
		change       func(n int, v uint16) uint16 // of the n-th sample of luma of a row
		off, beyond  float64
		worst        float64
		ok           bool
	}{
		{"one code", "h264-mp4", func(_ int, v uint16) uint16 { return v + 1 }, 1, 0, 1, true},
		{"two codes", "h264-mp4", func(_ int, v uint16) uint16 { return v + 2 }, 2, 100, 2, false},
		{"two codes of DVD", "mpeg2-dvd", func(_ int, v uint16) uint16 { return v - 2 }, 2, 0, 2, true},
		{"three codes of DVD", "mpeg2-dvd", func(_ int, v uint16) uint16 { return v - 3 }, 3, 100, 3, false},
		{"up and down", "mpeg2-dvd", func(n int, v uint16) uint16 { return v + uint16(n%2)*6 - 3 }, 0, 100, 3, false},
		{"every tenth by 18", "mpeg2-dvd", func(n int, v uint16) uint16 {
			if n%10 == 0 {
				v += 18
			}
			return v
		}, 1.8, 10, 18, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			j := laidOut(t, tt.target, "480i", "flat", 1)
			c := newComparer(j)
			want, err := c.def.frame(0)
			require.NoError(t, err)
			got := *want
			got.Planes[0] = append([]uint16(nil), want.Planes[0]...)
			for i, v := range got.Planes[0] {
				got.Planes[0][i] = tt.change(i%720, v)
			}
			c.frames = 1
			c.add(want, &got)
			p := &Proof{}
			j.samples(p, c)
			require.Len(t, p.Patches, 1)
			q := p.Patches[0]
			// 704 samples or so lie inside: a tenth of them is a little more or less.
			assert.InDelta(t, tt.off, q.Off, 0.05)
			assert.InDelta(t, tt.beyond, q.Beyond, 0.2)
			assert.InDelta(t, tt.worst, q.Worst, 0)
			assert.Equal(t, tt.ok, q.OK)
		})
	}
}

// TestBeyondRange: levels that are cut at black and white are named.
func TestBeyondRange(t *testing.T) {
	for _, tt := range []struct {
		name      string
		low, high uint16
		want      []string
	}{
		{"whole", 0, 255, nil},
		{"cut at white", 0, 235, []string{"above white: above white", "patch above white"}},
		{"cut at black", 16, 255, []string{"below black: below black", "patch below black"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			j := laidOut(t, "h264-mp4", "480i", "one-to-one", 1)
			c := newComparer(j)
			want, err := c.def.frame(0)
			require.NoError(t, err)
			got := *want
			got.Planes[0] = append([]uint16(nil), want.Planes[0]...)
			for i, v := range got.Planes[0] {
				got.Planes[0][i] = min(max(v, tt.low), tt.high)
			}
			c.frames = 1
			c.add(want, &got)
			p := &Proof{}
			j.samples(p, c)
			assert.Equal(t, tt.want, p.Failed())
		})
	}
}

// TestAreas: what is measured of a patch of one level holds that level alone, in
// every sampling: no row or sample of what lies beside it; and of a patch that
// is large enough there is something to measure.
func TestAreas(t *testing.T) {
	for _, x := range Targets() {
		for _, raster := range []string{"480i", "576i"} {
			for _, spec := range []string{"bars-eg1", "bars-rp219", "vectors", "staircase risers=10 direction=both", "pluge"} {
				t.Run(x.Name+"/"+raster+"/"+spec, func(t *testing.T) {
					j := laidOut(t, x.Name, raster, spec, 1)
					c := newComparer(j)
					want, err := c.def.frame(0)
					require.NoError(t, err)
					for i, p := range c.patches {
						if p.Kind != pattern.Level {
							continue
						}
						for k, a := range c.areas[i] {
							assert.NotEmpty(t, a.rows, "%s, component %d", p.Name, k)
							seen := map[uint16]bool{}
							for n, row := range a.rows {
								for _, v := range want.Row(k, row)[a.x0[n] : a.x1[n]+1] {
									seen[v] = true
								}
							}
							assert.Len(t, seen, 1, "%s, component %d", p.Name, k)
						}
					}
				})
			}
		}
	}
}
