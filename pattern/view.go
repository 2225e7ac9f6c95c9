package pattern

import (
	"fmt"
	"math"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"
)

// Edges is how fast levels change across a line.
type Edges int

const (
	// Shaped is a raised cosine four samples of the BT.601 rate wide: luma 296.3
	// ns from end to end (175 ns from 10 to 90 %), chroma twice that, in 4:1:1
	// four times.
	Shaped Edges = iota
	// Fast is three samples wide: luma 222.2 ns, chroma 444.4 ns.
	Fast
	// Hard is a step, for devices with visible pixels.
	Hard
	numEdges
)

var edgeNames = [numEdges]string{"shaped", "fast", "hard"}

func (e Edges) String() string {
	if e < 0 || e >= numEdges {
		return fmt.Sprintf("Edges(%d)", int(e))
	}
	return edgeNames[e]
}

// EdgeNames lists the spellings of [ParseEdges].
func EdgeNames() []string { return edgeNames[:] }

// ParseEdges reads shaped, fast or hard.
func ParseEdges(s string) (Edges, error) {
	for i, n := range edgeNames {
		if n == s {
			return Edges(i), nil
		}
	}
	return 0, fmt.Errorf("unknown edges %q; use shaped, fast or hard", s)
}

// Aspects of a screen.
const (
	Aspect4x3  = 4.0 / 3
	Aspect16x9 = 16.0 / 9
)

// A View is all that a scene depends on besides the options of its pattern.
// The lattice that later samples the scene is not part of it.
type View struct {
	Shown  *timing.Raster      // its rows set the cuts, its extent the whole-picture patterns
	Aspect float64             // of the screen
	Edge   [3]float64          // full width of each component's raised cosine, picture heights; 0 hard
	Coding *colorimetry.Coding // what it cannot hold gets the stated substitute
	Plan   colorimetry.Plan    // patches stated in IRE (-I, +Q, PLUGE) depend on its wire
	Single bool                // horizontal lines of one row
}

// NewView returns the view of a raster as a file in that coding and sampling
// shows it, on a 4:3 screen and with nothing known of the wire. Where the file
// holds R'G'B' or 4:4:4 all components use the luma edge, so that no
// transition leaves the gamut.
func NewView(r *timing.Raster, k *colorimetry.Coding, m frame.Sampling, e Edges) View {
	v := View{Shown: r, Aspect: Aspect4x3, Coding: k}
	samples := [numEdges]float64{4, 3, 0}[e]
	luma := r.Scan.System.HeightsPerMicrosecond().Float64() * samples / 13.5
	across, _ := m.Step()
	if k.Model == colorimetry.RGB {
		across = 1
	}
	chroma := float64(across) * luma
	v.Edge = [3]float64{luma, chroma, chroma}
	return v
}

// stretch is the width of the screen over that of a 4:3 one: a place x of a
// [timing.Comb] lies at x times this on the tube, in picture heights.
func (v View) stretch() float64 { return v.Aspect / Aspect4x3 }

// row returns the top edge of row k of the shown raster; k may be beyond it.
func (v View) row(k int) float64 {
	s := v.Shown.Span(0)
	return s.Y - s.DY/2 + float64(float64(k)*s.DY)
}

// nearestRow is the inverse of row.
func (v View) nearestRow(y float64) int {
	return int(math.Round((y - v.row(0)) / v.Shown.Span(0).DY))
}

// Cut returns the edge between rows nearest to y that keeps both fields and
// 4:2:0 clean: a whole number of line pairs in each field.
func (v View) Cut(y float64) float64 {
	g := 2 * v.Shown.Scan.Fields
	k := (y - v.row(0)) / v.Shown.Span(0).DY
	return v.row(int(math.Round(k/float64(g))) * g)
}

// LineAt returns top and bottom of the rows that a horizontal line at y
// covers: two adjacent rows, one of each field, when the raster is interlaced
// and Single is not set, else the nearest row.
func (v View) LineAt(y float64) (top, bottom float64) {
	n := v.Shown.Scan.Fields
	if v.Single {
		n = 1
	}
	k := v.nearestRow(y - float64(n)*v.Shown.Span(0).DY/2)
	return v.row(k), v.row(k + n)
}

// ns returns a duration as a width in picture heights.
func (v View) ns(d float64) float64 {
	return v.Shown.Scan.System.HeightsPerMicrosecond().Float64() * d / 1000
}
