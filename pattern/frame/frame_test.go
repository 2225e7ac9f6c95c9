package frame

import (
	"math"
	"math/rand/v2"
	"testing"

	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// random fills a frame with planes of few distinct rows in any order.
func random(r *timing.Raster, m Sampling, rnd *rand.Rand) *Frame {
	f := &Frame{Raster: r, Sampling: m}
	for c := range f.Planes {
		across, down := m.Step()
		if c == 0 {
			across, down = 1, 1
		}
		p := &f.Planes[c]
		for i := range 1 + rnd.IntN(9) {
			row := make([]float64, r.Width/across)
			row[0] = float64(i)
			p.Rows = append(p.Rows, row)
		}
		for range r.Height() / down {
			p.Lines = append(p.Lines, int32(rnd.IntN(len(p.Rows))))
		}
	}
	return f
}

// TestDistinct: every line shows what its planes show, each triple is there
// once, and none is there that no line shows.
func TestDistinct(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for _, name := range []string{"480i", "486i", "240p", "576i-dv"} {
		for _, m := range []Sampling{S444, S422, S411} {
			f := random(raster(t, name), m, rnd)
			rows, lines := f.Distinct()
			require.Len(t, lines, f.Raster.Height())
			seen, used := map[[3]int32]bool{}, map[int32]bool{}
			for _, r := range rows {
				assert.False(t, seen[r], "%v twice", r)
				seen[r] = true
			}
			for j, i := range lines {
				used[i] = true
				y, cb, cr := f.Triple(rows[i])
				// The very row, not one like it.
				assert.Same(t, &f.Planes[0].Row(j)[0], &y[0])
				assert.Same(t, &f.Planes[1].Row(j)[0], &cb[0])
				assert.Same(t, &f.Planes[2].Row(j)[0], &cr[0])
			}
			assert.Len(t, used, len(rows))
		}
	}
	for _, m := range []Sampling{S420, S420Field, S420DV} {
		f := random(raster(t, "240p"), m, rnd)
		assert.PanicsWithValue(t, "frame: Distinct of 4:2:0", func() { f.Distinct() })
	}
	rows, lines := (&Frame{}).Distinct()
	assert.Empty(t, rows)
	assert.Empty(t, lines)
}

// TestDistinctOfBars: a picture of four bands has four triples, in order.
func TestDistinctOfBars(t *testing.T) {
	f := &Frame{Raster: raster(t, "480i"), Sampling: S422}
	for c := range f.Planes {
		f.Planes[c].Rows = distinctRows(4, 8)
		for j := range 480 {
			f.Planes[c].Lines = append(f.Planes[c].Lines, int32(j/120))
		}
	}
	rows, lines := f.Distinct()
	assert.Equal(t, [][3]int32{{0, 0, 0}, {1, 1, 1}, {2, 2, 2}, {3, 3, 3}}, rows)
	assert.Equal(t, f.Planes[0].Lines, lines)
}

// TestField: the two fields are every other line of the frame, of luma and of
// chroma, without a sample copied.
func TestField(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for _, r := range timing.Rasters() {
		for _, m := range []Sampling{S444, S422, Subsample420(r), S411, S420DV} {
			if m.Check(r) != nil {
				continue
			}
			f := random(r, m, rnd)
			if !r.Scan.Interlaced() {
				assert.PanicsWithValue(t, "frame: Field of a frame that has none", func() { f.Field(0) })
				continue
			}
			for n := range 2 {
				v := f.Field(n)
				assert.Equal(t, r.Height()/2, v.Raster.Height())
				assert.Equal(t, m, v.Sampling)
				for j, l := range v.Raster.Lines {
					assert.Equal(t, r.Lines[2*j+n], l)
					assert.Equal(t, v.Raster.Lines[0].Field, l.Field, "all of one field")
				}
				for c, p := range v.Planes {
					require.Len(t, p.Lines, len(f.Planes[c].Lines)/2)
					for j := range p.Lines {
						assert.Same(t, &f.Planes[c].Row(2*j + n)[0], &p.Row(j)[0])
					}
				}
			}
			assert.Len(t, r.Lines, f.Raster.Height(), "the frame is as it was")
			for _, n := range []int{-1, 2} {
				assert.PanicsWithValue(t, "frame: Field is 0 or 1", func() { f.Field(n) })
			}
		}
	}
	// Field 0 holds the top row: the older field of 480i, the newer of its DV crop.
	top := func(name string) int {
		return random(raster(t, name), S422, rnd).Field(0).Raster.Lines[0].Field
	}
	assert.Equal(t, 1, top("480i"))
	assert.Equal(t, 2, top("480i-dv"))
}

// TestInterner: equal rows have one index, different ones never.
func TestInterner(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	var n Interner
	var kept [][]float64
	for range 3000 {
		v := make([]float64, rnd.IntN(7)) // short, so that equals are frequent
		for i := range v {
			v[i] = float64(rnd.IntN(3)) / 2
		}
		i := n.Add(v)
		want := -1
		for k, row := range kept {
			same := len(row) == len(v)
			for x := 0; same && x < len(v); x++ {
				same = row[x] == v[x]
			}
			if same {
				want = k
			}
		}
		if want < 0 {
			want = len(kept)
			kept = append(kept, v)
		}
		require.EqualValues(t, want, i)
		require.Equal(t, kept[i], n.Rows()[i])
	}
	assert.Len(t, n.Rows(), len(kept))
	assert.Less(t, len(kept), 1500)
}

// TestInternerKeeps the row itself, and knows that both zeros are equal.
func TestInternerKeeps(t *testing.T) {
	var n Interner
	assert.Empty(t, n.Rows())
	a := []float64{0, 1, 0, 0, 0.5}
	b := []float64{math.Copysign(0, -1), 1, 0, math.Copysign(0, -1), 0.5}
	assert.EqualValues(t, 0, n.Add(a))
	assert.EqualValues(t, 0, n.Add(b))
	assert.Same(t, &a[0], &n.Rows()[0][0])
	assert.EqualValues(t, 1, n.Add(nil))
	assert.EqualValues(t, 1, n.Add([]float64{}))
}

// TestHash: a change of any one sample, of its least bit or of its sign, is
// seen, and so is an exchange of two; else the rows of a ramp would be compared
// with each other, all with all.
func TestHash(t *testing.T) {
	const w = 103
	seen := map[uint64]string{}
	add := func(what string, v []float64) {
		h := hash(v)
		assert.Empty(t, seen[h], "%s collides", what)
		seen[h] = what
	}
	v := distinctRows(1, w)[0]
	for i := range v {
		v[i] = 0.25 + float64(i)/1024
	}
	add("itself", v)
	for i := range v {
		old := v[i]
		v[i] = math.Nextafter(old, 2)
		add("least bit", v)
		v[i] = -old
		add("sign", v)
		v[i] = old
		if i+1 < w {
			v[i], v[i+1] = v[i+1], v[i]
			add("exchanged", v)
			v[i], v[i+1] = v[i+1], v[i]
		}
	}
	for n := range w {
		add("shorter", v[:n])
	}
	// Flat rows, as ramps have them.
	for i := range 1000 {
		for j := range v {
			v[j] = float64(i) / 1000
		}
		add("flat", v)
	}
}
