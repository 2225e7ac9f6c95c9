package pattern

import (
	"math"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestOneToOneStripes: inside each field the samples alternate exactly, so
// that a shift of the lattice by any part of a sample would show.
func TestOneToOneStripes(t *testing.T) {
	for _, raster := range []string{"480i", "576i-dv", "240p", "486i"} {
		q := shot{spec: "one-to-one", raster: raster, coding: colorimetry.YCbCr8, sampling: frame.S422}
		s, v, f := q.take(t)
		c, r := f.Raster.Comb(0), f.Raster
		for name, wide := range map[string]int{"1-sample pairs": 1, "2-sample pairs": 2, "1-line pairs": -1, "2-line pairs": -2} {
			p := patch(t, s, name)
			i0, i1 := int(math.Ceil((p.X0-c.X0)/c.DX)), int(math.Floor((p.X1-c.X0)/c.DX))
			j0, j1 := v.nearestRow(p.Y0), v.nearestRow(p.Y1)
			require.Greater(t, i1-i0, 30, name)
			require.Greater(t, j1-j0, 60, name)
			white := 0
			for j := j0; j < j1; j++ {
				for i := i0; i <= i1; i++ {
					want := 1 - float64((i-i0)/max(wide, 1)%2)
					if wide < 0 {
						want = 1 - float64((j-j0)/-wide%2)
					}
					if got := f.Planes[0].Row(j)[i]; got != want {
						t.Fatalf("%s %s: sample %d of row %d is %v, want %v", raster, name, i, j, got, want)
					}
					white += int(want)
				}
			}
			assert.InDelta(t, 0.5, float64(white)/float64((i1-i0+1)*(j1-j0)), 0.01, "%s %s: as much white as black", raster, name)
			if wide > 0 {
				assert.Equal(t, Packet, p.Kind)
				assert.InDelta(t, r.Clock.Float64()/float64(2*wide), p.Hz, 1e-6)
			}
		}
		for c := 1; c < 3; c++ {
			require.Len(t, f.Planes[c].Rows, 1, "no color")
		}
	}
}

// TestOneToOneEdges reads the marks as the note tells the user to: it cuts
// samples and rows off each side and counts the steps that still begin inside.
// It would catch marks that belong to the analog picture and not to the file.
func TestOneToOneEdges(t *testing.T) {
	for _, r := range someRasters() {
		v := NewView(r, colorimetry.YCbCr8, frame.S444, Shaped)
		s, err := (&OneToOne{}).Scene(v)
		require.NoError(t, err)
		f, err := Sample(s, r, frame.S444, 0)
		require.NoError(t, err)
		w, h := r.Width, r.Height()
		at := func(i, j int) float64 { return f.Planes[0].Row(j)[i] }

		// The outline, outside the middle halves: white, then black.
		for _, n := range []int{20, 100, w - 100, w - 20} {
			assert.Equal(t, []float64{1, 0, 0, 1}, []float64{at(n, 0), at(n, 1), at(n, h-2), at(n, h-1)}, "%s column %d", r.Name, n)
		}
		for _, n := range []int{20, 50, h - 50, h - 20} {
			assert.Equal(t, []float64{1, 0, 0, 1}, []float64{at(0, n), at(1, n), at(w-2, n), at(w-1, n)}, "%s row %d", r.Name, n)
		}
		// steps counts the different depths at which a side's steps begin.
		steps := func(depth func(place, k int) float64, length, cut int) int {
			seen := map[int]bool{}
			for place := length / 4; place < length-length/4; place++ {
				k := 0
				for depth(place, k) == 0 {
					k++
				}
				if k >= cut {
					seen[k] = true
				}
			}
			return len(seen)
		}
		for cut := range 4 {
			for side, got := range map[string]int{
				"left":   steps(func(p, k int) float64 { return at(k, p) }, h, cut),
				"right":  steps(func(p, k int) float64 { return at(w-1-k, p) }, h, cut),
				"top":    steps(func(p, k int) float64 { return at(p, k) }, w, cut),
				"bottom": steps(func(p, k int) float64 { return at(p, h-1-k) }, w, cut),
			} {
				assert.Equal(t, 8-cut, got, "%s: %s with %d cut off", r.Name, side, cut)
			}
		}
		// Named lines are where they say.
		for name, want := range map[string]float64{"first sample": r.Comb(0).X0, "last sample": r.Comb(0).At(w - 1)} {
			p := patch(t, s, name)
			assert.InDelta(t, want, (p.X0+p.X1)/2, 1e-12, "%s %s", r.Name, name)
			assert.InDelta(t, r.Comb(0).DX, p.X1-p.X0, 1e-12, "%s %s", r.Name, name)
		}
		for name, j := range map[string]int{"first row": 0, "last row": h - 1} {
			p := patch(t, s, name)
			assert.InDelta(t, r.Span(j).Y, (p.Y0+p.Y1)/2, 1e-12, "%s %s", r.Name, name)
			assert.InDelta(t, r.Span(j).DY, p.Y1-p.Y0, 1e-12, "%s %s", r.Name, name)
		}
	}
}

// TestOneToOneElsewhere: on a raster that shows more than the one it was laid
// out for, what lies outside is black; on one with a running clock the stripes
// are a wave without harmonics.
func TestOneToOneElsewhere(t *testing.T) {
	r := timing.Lookup("480i")
	s, err := (&OneToOne{}).Scene(NewView(r, colorimetry.YCbCr8, frame.S422, Shaped))
	require.NoError(t, err)
	full := r.FullFrame()
	f, err := Sample(s, full, frame.S422, 0)
	require.NoError(t, err)
	for j, l := range full.Lines {
		inside := l.Number >= 23 && l.Number <= 262 || l.Number >= 286
		if !inside {
			for i, y := range f.Planes[0].Row(j) {
				require.Zero(t, y, "line %d sample %d", l.Number, i)
			}
		}
	}
	// Between samples: 1/2 + 1/2 cos, which is level halfway between; and for
	// pairs of two, a cosine through both.
	assert.InDelta(t, 0.5, alternate(0.5, 1), 1e-12)
	assert.InDelta(t, 0.5, alternate(1.5, 2), 1e-12)
	assert.InDelta(t, 0.5+math.Sqrt2/2, alternate(0.5, 2), 1e-12)
	assert.Equal(t, []float64{1, 0, 1, 1, 0, 0, 1, 1, 0, 0},
		[]float64{alternate(0, 1), alternate(-1, 1), alternate(0, 2), alternate(1, 2), alternate(2, 2), alternate(3, 2), alternate(4, 2), alternate(-3, 2), alternate(-1, 2), alternate(-2, 2)})
}

// TestOneToOneTooSmall: a raster without room for the marks is refused.
func TestOneToOneTooSmall(t *testing.T) {
	r := *timing.Lookup("240p")
	r.Name, r.Width = "tiny", 100
	_, err := (&OneToOne{}).Scene(NewView(&r, colorimetry.YCbCr8, frame.S444, Shaped))
	assert.EqualError(t, err, "one-to-one: raster tiny has 100 by 240 samples; it needs 128 by 96 for the marks to be told apart")
	r.Width = 128
	r.Lines = r.Lines[:96]
	s, err := (&OneToOne{}).Scene(NewView(&r, colorimetry.YCbCr8, frame.S444, Shaped))
	require.NoError(t, err)
	assert.NotEmpty(t, s.Notes)
}

// TestBeyondBlackAndWhite: -4 and +104 % are codes 7.24 and 243.76, rounded
// half up (ITU-R BT.601-5 clause 3.5.3); full-range R'G'B' has neither.
func TestBeyondBlackAndWhite(t *testing.T) {
	q := shot{spec: "one-to-one", raster: "480i", coding: colorimetry.YCbCr8, sampling: frame.S422}
	for name, y := range map[string]uint16{"below black": 7, "black": 16, "white": 235, "above white": 244} {
		assert.Equal(t, [3]uint16{y, 128, 128}, q.codesOf(t, name), name)
	}
	q.coding, q.sampling = colorimetry.RGB8, frame.S444
	s, _, _ := q.take(t)
	assert.Equal(t, "8-bit full-range RGB has no code for a level below black", patch(t, s, "below black").Absent)
	assert.Equal(t, "8-bit full-range RGB has no code for a level above white", patch(t, s, "above white").Absent)
	assert.Equal(t, [3]uint16{255, 255, 255}, q.codesOf(t, "above white"))
}
