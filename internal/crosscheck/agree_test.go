package crosscheck

import (
	"bytes"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/internal/goldentest"
	"backporch/pattern"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The tests of this file expect the same hash from two routes to one picture.

// hash returns that of a part of a file; from and to are shares of its bytes
// in sixths: planes of yuv422p10 are 3, 1.5 and 1.5, those of 4:4:4 2 each.
func hash(b []byte, from, to int) goldentest.Hash {
	return goldentest.HashOf(b[len(b)/6*from : len(b)/6*to])
}

// TestLumaOf422And444: luma does not depend on where chroma lies.
func TestLumaOf422And444(t *testing.T) {
	for _, r := range rasters() {
		for _, s := range specs() {
			q := shot{spec: s, raster: r, choice: format.Choice{Name: "yuv422p10"}}
			half := q.bytes(t)
			q.choice.Name = "yuv444p10"
			assert.Equal(t, hash(half, 0, 3), hash(q.bytes(t), 0, 2), q.String())
		}
	}
}

// TestChromaOfHardEdges: with hard edges, chroma of 4:2:2 is every other sample
// of 4:4:4. Shaped edges are twice as long in 4:2:2 and cannot agree.
func TestChromaOfHardEdges(t *testing.T) {
	r := timing.Lookup("480i")
	for _, s := range []string{"bars-full", "bars-eg1", "flat color=red", "crosshatch color=magenta"} {
		frames := map[string][]byte{}
		for _, name := range []string{"i422", "i444"} {
			j := shot{spec: s, raster: r, choice: format.Choice{Name: name}}.job(t)
			j.Edges = pattern.Hard
			hard, err := j.Request.Layout()
			require.NoError(t, err)
			frames[name] = file(t, hard)
		}
		size := r.Width * r.Height()
		var thinned []byte
		for i := 0; i < 2*size; i += 2 {
			thinned = append(thinned, frames["i444"][size+i])
		}
		assert.Equal(t, goldentest.HashOf(thinned), goldentest.HashOf(frames["i422"][size:]), s)
	}
}

// TestLowLineCounts: rasters that differ only in the time a line or a field
// takes hold the same picture.
func TestLowLineCounts(t *testing.T) {
	for first, others := range map[string][]string{"240p": {"240p-263", "240p-228", "240p-227.33"}, "288p": {"288p-313"}} {
		for _, s := range specs() {
			q := shot{spec: s, raster: timing.Lookup(first), choice: format.Choice{Name: "yuv422p10"}}
			want := goldentest.HashOf(q.bytes(t))
			for _, o := range others {
				q.raster = timing.Lookup(o)
				assert.Equal(t, want, goldentest.HashOf(q.bytes(t)), q.String())
			}
		}
	}
}

// TestCropsOfOneTube: what is laid out in the analog picture shows the same on
// an analog line, whatever the crop of the file.
func TestCropsOfOneTube(t *testing.T) {
	for whole, crops := range map[string][]string{"486i": {"480i", "480i-dv", "480i-cea"}, "576i": {"576i-dv"}} {
		for _, s := range []string{"crosshatch", "crosshatch-dots", "dots", "circles"} {
			lines := map[int][]byte{} // by analog line
			r := timing.Lookup(whole)
			stride := 2 * r.Width
			b := shot{spec: s, raster: r, choice: format.Choice{Name: "uyvy"}}.bytes(t)
			for k, l := range r.Lines {
				lines[l.Number] = b[k*stride : (k+1)*stride]
			}
			for _, name := range crops {
				r := timing.Lookup(name)
				b := shot{spec: s, raster: r, choice: format.Choice{Name: "uyvy"}}.bytes(t)
				shared := 0
				for k, l := range r.Lines {
					want, ok := lines[l.Number]
					if !ok {
						continue
					}
					shared++
					if !bytes.Equal(want, b[k*stride:(k+1)*stride]) {
						t.Errorf("%s: line %d of %s is not that of %s", s, l.Number, name, whole)
						break
					}
				}
				assert.Greater(t, shared, r.Height()-4, "%s on %s", s, name)
			}
		}
	}
}

// TestSameCodesInEveryFile: one picture in several layouts, each repacked here
// into planes.
func TestSameCodesInEveryFile(t *testing.T) {
	r := timing.Lookup("480i")
	for _, s := range specs() {
		get := func(c format.Choice) []byte { return shot{spec: s, raster: r, choice: c}.bytes(t) }
		planes := get(format.Choice{Name: "i422"})
		_, y4m, ok := bytes.Cut(get(format.Choice{Name: "y4m"}), []byte("\nFRAME\n"))
		require.True(t, ok)
		assert.Equal(t, goldentest.HashOf(planes), goldentest.HashOf(y4m), "%s as y4m", s)

		pick := func(b []byte, from, step int) (p []byte) {
			for i := from; i < len(b); i += step {
				p = append(p, b[i])
			}
			return p
		}
		uyvy, yuyv := get(format.Choice{Name: "uyvy"}), get(format.Choice{Name: "yuyv"})
		assert.Equal(t, goldentest.HashOf(planes), goldentest.HashOf(pick(uyvy, 1, 2), pick(uyvy, 0, 4), pick(uyvy, 2, 4)), "%s as uyvy", s)
		assert.Equal(t, goldentest.HashOf(planes), goldentest.HashOf(pick(yuyv, 0, 2), pick(yuyv, 1, 4), pick(yuyv, 3, 4)), "%s as yuyv", s)

		planes, nv12 := get(format.Choice{Name: "i420"}), get(format.Choice{Name: "nv12"})
		size := r.Width * r.Height()
		assert.Equal(t, goldentest.HashOf(planes), goldentest.HashOf(nv12[:size], pick(nv12[size:], 0, 2), pick(nv12[size:], 1, 2)), "%s as nv12", s)
	}
}

// TestPlainPlans: codes are plain BT.601 whenever the player already makes what
// is wanted. A wire that is not known counts as having setup where patches are
// stated in IRE, and so agrees with a wire that has it.
func TestPlainPlans(t *testing.T) {
	m := colorimetry.CompositeM
	for _, s := range specs() {
		q := shot{spec: s, raster: timing.Lookup("480i"), choice: format.Choice{Name: "yuv422p10"}}
		want := goldentest.HashOf(q.bytes(t))
		for _, p := range []colorimetry.Plan{{Wire: m, Player: m}, {Wire: m}, {Player: m}} {
			q.plan = p
			assert.Equal(t, want, goldentest.HashOf(q.bytes(t)), "%s with %+v", s, p)
		}
	}
}

// TestSpellings: two spellings of one picture.
func TestSpellings(t *testing.T) {
	for _, pair := range [][2]string{
		{"bars-full set=75/0/75/0", "bars-full set=75/7.5/75/7.5"},
		{"bars-full", "bars-full order=forward set=75/0/75/0"},
		{"flat color=white", "flat color=100,100,100"},
		{"flat color=gray-50", "window level=50 surround=50"},
		{"flat color=red", "flat color=#ff0000"},
		{"staircase risers=10", "staircase"},
	} {
		for _, name := range []string{"480i", "240p", "576i"} {
			q := shot{spec: pair[0], raster: timing.Lookup(name), choice: format.Choice{Name: "yuv422p10"}}
			one := goldentest.HashOf(q.bytes(t))
			q.spec = pair[1]
			assert.Equal(t, one, goldentest.HashOf(q.bytes(t)), "%s and %s on %s", pair[0], pair[1], name)
		}
	}
}
