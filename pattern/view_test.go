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

// TestEdges measures the edge of a white bar in a lattice of 540 MHz: four
// samples of 13.5 MHz from end to end, and 0.5903 of that from 10 to 90 % (a
// raised cosine: (2/pi) asin 0.8, computed), twice as long for chroma.
func TestEdges(t *testing.T) {
	fine := *timing.Lookup("480i")
	fine.Clock, fine.Start, fine.Width = timing.Int(540_000_000), fine.Start.Mul(timing.Int(40)), 720*40
	for edges, samples := range map[Edges]float64{Shaped: 4, Fast: 3, Hard: 0} {
		v := NewView(timing.Lookup("480i"), colorimetry.YCbCr8, frame.S422, edges)
		s, err := (&BarsFull{Set: "100/0/100/0", Order: "forward"}).Scene(v)
		require.NoError(t, err)
		f, err := Sample(s, &fine, frame.S444, 0)
		require.NoError(t, err)
		for _, c := range []colorimetry.Component{colorimetry.Y, colorimetry.CB} {
			// From yellow to cyan luma falls, CB rises from -1/2; find all that
			// is neither yellow nor cyan between the middles of both.
			row := f.Planes[c].Row(0)
			a, b := row[720*40*3/16], row[720*40*5/16]
			var full, inner int
			for _, x := range row[720*40*3/16 : 720*40*5/16] {
				if k := (x - a) / (b - a); k > 1e-12 && k < 1-1e-12 {
					full++
					if k > 0.1 && k < 0.9 {
						inner++
					}
				}
			}
			wide := samples
			if c != colorimetry.Y {
				wide *= 2
			}
			assert.InDelta(t, wide*40, float64(full), 1.01, "%v %v", edges, c)
			assert.InDelta(t, wide*40*2/math.Pi*math.Asin(0.8), float64(inner), 1.01, "%v %v", edges, c)
		}
	}
	// 296.3 ns and 175 ns, as the documentation says.
	v := anyView(t)
	assert.InDelta(t, v.ns(296.3), v.Edge[0], v.ns(0.01))
	assert.InDelta(t, 174.9, 296.296*2/math.Pi*math.Asin(0.8), 0.05)
	for _, same := range []View{
		NewView(timing.Lookup("480i"), colorimetry.RGB8, frame.S444, Shaped),
		NewView(timing.Lookup("480i"), colorimetry.YCbCr8, frame.S444, Fast),
	} {
		assert.Equal(t, same.Edge[0], same.Edge[1], "no transition leaves the gamut")
		assert.Equal(t, same.Edge[0], same.Edge[2])
	}
}

func TestParseEdges(t *testing.T) {
	for _, e := range []Edges{Shaped, Fast, Hard} {
		got, err := ParseEdges(e.String())
		require.NoError(t, err)
		assert.Equal(t, e, got)
	}
	_, err := ParseEdges("soft")
	assert.EqualError(t, err, `unknown edges "soft"; use shaped, fast or hard`)
	assert.Equal(t, []string{"shaped", "fast", "hard"}, EdgeNames())
	assert.Equal(t, "Edges(9)", Edges(9).String())
}

// TestCut: a cut is a whole number of line pairs of each field from the top,
// and the nearest such place.
func TestCut(t *testing.T) {
	for _, r := range timing.Rasters() {
		v := NewView(r, colorimetry.YCbCr8, frame.S422, Shaped)
		g := 2 * r.Scan.Fields
		dy := r.Span(0).DY
		for y := -0.49; y < 0.49; y += 0.0137 {
			cut := v.Cut(y)
			k := v.nearestRow(cut)
			assert.Zero(t, k%g, "%s: row %d", r.Name, k)
			assert.InDelta(t, v.row(k), cut, 1e-12)
			assert.LessOrEqual(t, math.Abs(cut-y), float64(g)/2*dy+1e-12, "%s at %v", r.Name, y)
		}
	}
}

// TestLineAt: a horizontal line covers one row of each field, or one row.
func TestLineAt(t *testing.T) {
	for _, r := range timing.Rasters() {
		v := NewView(r, colorimetry.YCbCr8, frame.S422, Shaped)
		for _, v.Single = range []bool{false, true} {
			rows := r.Scan.Fields
			if v.Single {
				rows = 1
			}
			for y := -0.45; y < 0.45; y += 0.0613 {
				top, bottom := v.LineAt(y)
				assert.InDelta(t, float64(rows), (bottom-top)/r.Span(0).DY, 1e-9, r.Name)
				assert.InDelta(t, y, (top+bottom)/2, r.Span(0).DY/2+1e-12, r.Name)
				k := v.nearestRow(top)
				assert.InDelta(t, v.row(k), top, 1e-12, "%s: between two rows", r.Name)
			}
		}
	}
}

// TestHold: only what a coding cannot hold is replaced.
func TestHold(t *testing.T) {
	v := anyView(t)
	sub := colorimetry.Gray(0.5)
	for _, tt := range []struct {
		coding *colorimetry.Coding
		want   colorimetry.Signal
		why    string
	}{
		{colorimetry.YCbCr8, colorimetry.Gray(-0.04), ""},
		{colorimetry.YCbCr10, colorimetry.MinusI(nil), ""},
		{colorimetry.RGB8, colorimetry.Gray(0), ""},
		{colorimetry.RGB8, colorimetry.Gray(-0.04), "8-bit full-range RGB has no code for a level below black"},
		{colorimetry.RGB565, colorimetry.Gray(1.04), "RGB 5:6:5 has no code for a level above white"},
		{colorimetry.RGB8, colorimetry.PlusQ(nil), "8-bit full-range RGB has no code for a color outside the R'G'B' cube"},
		{nil, colorimetry.Gray(-3), ""},
	} {
		v.Coding = tt.coding
		got, why := v.hold(tt.want, sub)
		assert.Equal(t, tt.why, why)
		if tt.why == "" {
			assert.Equal(t, tt.want, got)
		} else {
			assert.Equal(t, sub, got)
		}
	}
}
