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

// slowTiles is the twin of tileBands for hard edges: the last tile that holds
// the point.
func slowTiles(ground colorimetry.Signal, tiles []tile, x, y float64) colorimetry.Signal {
	to := ground
	for _, t := range tiles {
		if x >= t.X0 && x < t.X1 && y > t.Y0 && y < t.Y1 {
			to = t.To
		}
	}
	return to
}

func TestTilesAgainstTwin(t *testing.T) {
	r := timing.Lookup("480i")
	v := NewView(r, colorimetry.YCbCr10, frame.S444, Hard)
	inf := math.Inf(1)
	gray := colorimetry.Gray
	cases := map[string][]tile{
		"none":       nil,
		"one":        {{-0.2, v.row(100), 0.1, v.row(300), gray(1)}},
		"everywhere": {{-inf, -inf, inf, inf, gray(0.7)}},
		"cross":      {{-inf, v.row(200), inf, v.row(202), gray(1)}, {-0.01, -inf, 0.01, inf, gray(0.8)}},
		"hidden":     {{-0.1, v.row(50), 0.1, v.row(60), gray(1)}, {-0.2, v.row(40), 0.2, v.row(70), gray(0.5)}},
		"nested":     {{-0.2, v.row(40), 0.2, v.row(70), gray(0.5)}, {-0.1, v.row(50), 0.1, v.row(51), gray(1)}, {-0.1, v.row(51), 0.1, v.row(53), gray(0.25)}},
		"touching":   {{-0.2, v.row(10), 0, v.row(20), gray(1)}, {0, v.row(10), 0.2, v.row(20), gray(1)}, {0.1, v.row(20), 0.3, v.row(30), gray(1)}},
		"beyond":     {{-5, v.row(-40), -0.5, v.row(7), gray(1)}, {0.5, v.row(470), 5, v.row(900), gray(1)}},
	}
	for name, tiles := range cases {
		s := still(v.tileBands(gray(0.1), tiles))
		checkBands(func(format string, args ...any) { t.Errorf(name+": "+format, args...) }, s)
		f, err := Sample(s, r, frame.S444, 0)
		require.NoError(t, err)
		comb := r.Comb(0)
		for j := range r.Height() {
			for i, got := range f.Planes[0].Row(j) {
				if want := slowTiles(gray(0.1), tiles, comb.At(i), r.Span(j).Y).Y; got != want {
					require.Equal(t, want, got, "%s: sample %d of row %d", name, i, j)
				}
			}
		}
	}
}

// TestNarrowEdge: edges are at most those of the view, at least half of them,
// and a sin-squared pulse in between.
func TestNarrowEdge(t *testing.T) {
	for _, c := range [][3]float64{{4, 1, 2}, {4, 2, 2}, {4, 3, 3}, {4, 4, 4}, {4, 9, 4}, {4, math.Inf(1), 4}, {0, 3, 0}} {
		assert.Equal(t, c[2], narrowEdge(c[0], c[1]), "edge %v, width %v", c[0], c[1])
	}
}

// TestColoredLineIn420: chroma rows of 4:2:0 are two rows high. The chroma of
// a line of two rows is in one of them, or half in each of two: its sum down
// the picture is that of two rows, at every place and in every scan.
func TestColoredLineIn420(t *testing.T) {
	for _, name := range []string{"480i", "576i", "240p", "288p"} {
		r := timing.Lookup(name)
		m := frame.Subsample420(r)
		v := NewView(r, colorimetry.YCbCr8, m, Shaped)
		color := colorimetry.FromRGB(1, 0, 0)
		for _, k := range []int{40, 41, 42, 43, 121} {
			for _, n := range []int{1, 2, 3} {
				s := still(v.tileBands(colorimetry.Gray(0), []tile{{math.Inf(-1), v.row(k), math.Inf(1), v.row(k + n), color}}))
				f, err := Sample(s, r, m, 0)
				require.NoError(t, err)
				sum := 0.0
				for j := range f.Planes[2].Lines {
					got := f.Planes[2].Row(j)[100]
					require.LessOrEqual(t, got, 0.5+1e-12)
					sum += got
				}
				assert.InDelta(t, 0.5*float64(n)/2, sum, 1e-9, "%s: chroma of rows %d to %d", name, k, k+n-1)
				assert.Len(t, f.Planes[0].Rows, 2, "%s: luma of rows is not mixed", name)
			}
		}
	}
}
