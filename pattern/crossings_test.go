package pattern

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"
)

// TestCrossings finds the lines in the sampled picture, by the middle of their
// light, and holds them against the places that are told. It fails when a ruler
// would be held to places where no line is drawn.
func TestCrossings(t *testing.T) {
	for _, raster := range []string{"480i", "576i", "240p", "288p"} {
		for _, spec := range []string{"crosshatch marks=false", "crosshatch across=16 down=10 marks=false"} {
			for _, aspect := range []float64{Aspect4x3, Aspect16x9} {
				t.Run(fmt.Sprintf("%s %s %.2f", raster, spec, aspect), func(t *testing.T) {
					r := timing.Lookup(raster)
					v := NewView(r, colorimetry.YCbCr10, frame.S422, Shaped)
					v.Aspect = aspect
					p, err := Parse(spec)
					require.NoError(t, err)
					c, err := v.Crossings(p)
					require.NoError(t, err)
					s, err := p.Scene(v)
					require.NoError(t, err)
					f, err := Sample(s, r, frame.S422, 0)
					require.NoError(t, err)

					// Halfway between two level lines a row has the upright lines alone.
					_, y0 := c.At(0, 0)
					_, y1 := c.At(0, 1)
					row := nearest(r, (y0+y1)/2)
					luma := f.Planes[0].Rows[f.Planes[0].Lines[row]]
					comb := r.Comb(row)
					for k := -c.Columns + 1; k < c.Columns; k++ { // the outermost may be cut
						want, _ := c.At(k, 0)
						step, _ := c.At(k+1, 0)
						want, step = want/(aspect/Aspect4x3), (step-want)/(aspect/Aspect4x3)
						var sum, moment float64
						for i, y := range luma {
							if x := comb.At(i); x > want-step/2 && x < want+step/2 {
								sum, moment = sum+y, moment+y*x
							}
						}
						assert.InDelta(t, want, moment/sum, comb.DX/50, "column %d", k)
					}
				})
			}
		}
	}
}

func nearest(r *timing.Raster, y float64) (row int) {
	for j := range r.Height() {
		if d := r.Span(j).Y - y; d*d < (r.Span(row).Y-y)*(r.Span(row).Y-y) {
			row = j
		}
	}
	return row
}

// TestCrossingsRows: the level lines of 525 lines lie 19 field lines of 243
// apart with 12 cells: floor(243 x 0.96 / 12), arithmetic on what the crosshatch
// documents.
func TestCrossingsRows(t *testing.T) {
	v := NewView(timing.Lookup("480i"), colorimetry.YCbCr10, frame.S422, Shaped)
	p, err := Parse("crosshatch")
	require.NoError(t, err)
	c, err := v.Crossings(p)
	require.NoError(t, err)
	assert.Equal(t, 6, c.Rows)
	_, top := c.At(0, -6)
	_, bottom := c.At(0, 6)
	assert.InDelta(t, 12*19.0/243, bottom-top, 1e-9)
	// The analog picture is 52.8556 us wide, 648.8 square samples of 12.2727 MHz
	// (SMPTE 170M-2004), and 486 lines high.
	assert.InDelta(t, 52.8555556*12.2727273/486, v.Width(), 1e-4)
}

func TestCrossingsRefuses(t *testing.T) {
	v := NewView(timing.Lookup("480i"), colorimetry.YCbCr10, frame.S422, Shaped)
	p, err := Parse("bars-full")
	require.NoError(t, err)
	_, err = v.Crossings(p)
	assert.EqualError(t, err, "its lines do not cross in a lattice; use crosshatch or crosshatch-dots")
}
