package crosscheck

import (
	"strings"
	"testing"

	"backporch/internal/composite"
	"backporch/internal/testtable"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/require"
)

// A color is Y, CB, CR: 0 black, 1 white, color differences within 0.5.
type color [3]float64

// painted is a picture on a lattice, as a function of the line and of
// microseconds after its 0H. Places come from the figures of [geometryOf].
func painted(r *timing.Raster, at func(line int, us float64) color) *frame.Frame {
	f := &frame.Frame{Raster: r, Sampling: frame.S444}
	g := geometryOf(r)
	for j := range r.Height() {
		c := r.Comb(j)
		var rows [3][]float64
		for p := range rows {
			rows[p] = make([]float64, r.Width)
		}
		for i := range r.Width {
			v := at(r.Lines[j].Number, c.At(i)/g.heights()+(g.left+g.right)/2)
			for p := range rows {
				rows[p][i] = v[p]
			}
		}
		for p := range rows {
			f.Planes[p].Rows = append(f.Planes[p].Rows, rows[p])
			f.Planes[p].Lines = append(f.Planes[p].Lines, int32(j))
		}
	}
	return f
}

// flat is a picture of one color.
func flat(y, cb, cr float64) func(*timing.Raster) *frame.Frame {
	return func(r *timing.Raster) *frame.Frame {
		f := &frame.Frame{Raster: r, Sampling: frame.S444}
		for p, v := range []float64{y, cb, cr} {
			row := make([]float64, r.Width)
			for i := range row {
				row[i] = v
			}
			f.Planes[p] = frame.Plane{Rows: [][]float64{row}, Lines: make([]int32, r.Height())}
		}
		return f
	}
}

var (
	black = flat(0, 0, 0)
	white = flat(1, 0, 0)
)

// record encodes frames frames from the first of the sequence on, and returns a
// tape for each channel. The picture is made once for each lattice.
func record(t testing.TB, wire string, s *timing.Scan, o composite.Options, frames int, picture func(*timing.Raster) *frame.Frame) []tape {
	t.Helper()
	w := composite.Lookup(wire)
	require.NotNil(t, w, wire)
	e, err := composite.NewEncoder(w, s, o)
	require.NoError(t, err)
	made := map[*timing.Raster]*frame.Frame{}
	wave, err := e.Encode(0, frames, func(r *timing.Raster, _ int) (*frame.Frame, error) {
		if made[r] == nil {
			made[r] = picture(r)
		}
		return made[r], nil
	})
	require.NoError(t, err)
	var tapes []tape
	for _, v := range wave.Samples {
		tapes = append(tapes, tape{v, mhzOf(w, s), startOf(w, s)})
	}
	return tapes
}

// on is a pattern of the catalogue, laid out on a raster of files.
func on(t testing.TB, spec, raster string) func(*timing.Raster) *frame.Frame {
	return func(r *timing.Raster) *frame.Frame { return sampled(t, spec, timing.Lookup(raster), r) }
}

// interlaced are the wires that the checks of timing go through, the two that
// stand for all first, and the sync of each in mV.
var interlaced = []struct {
	wire   string
	scan   *timing.Scan
	frames int // whole color sequences
	sync   float64
}{
	{"composite-m", timing.Scan525i, 2, -40 * ire},
	{"pal", timing.Scan625i, 4, -300},
	{"yc-j", timing.Scan525i, 2, -40 * ire},
	{"yc-pal", timing.Scan625i, 4, -300},
	{"component-betacam", timing.Scan525i, 1, -40 * ire},
	{"component-n10", timing.Scan625i, 1, -300},
}

// brief takes the first n cases when tests are to be short.
func brief[T any](n int, cases []T) []T {
	if testing.Short() {
		return cases[:n]
	}
	return cases
}

// ire is one IRE in mV: 140 IRE are a volt (SMPTE 170M clause 15.4).
const ire = 1000.0 / 140

// linesOf returns the line table of an interlaced scan.
func linesOf(t testing.TB, s *timing.Scan) []testtable.Row {
	if s.System == timing.System525 {
		return testtable.Table(t, "lines_525.csv")
	}
	return testtable.Table(t, "lines_625.csv")
}

// A figures is horizontal timing of a system by the names of its items.
type figures []struct {
	item string
	us   float64
}

// figuresOf reads horiz_525.csv or horiz_625.csv.
func figuresOf(t testing.TB, s *timing.Scan) (all figures) {
	name := "horiz_525.csv"
	if s.System == timing.System625 {
		name = "horiz_625.csv"
	}
	for _, row := range testtable.Table(t, name) {
		us, _ := row.Rat(t, "us_exact").Float64()
		all = append(all, struct {
			item string
			us   float64
		}{row.Text(t, "item"), us})
	}
	return all
}

// us returns the first item whose name begins with these words.
func (f figures) us(t testing.TB, item string) float64 {
	t.Helper()
	for _, x := range f {
		if strings.HasPrefix(x.item, item) {
			return x.us
		}
	}
	require.Fail(t, "no such item", item)
	return 0
}
