// Package frame holds sampled pictures as distinct rows plus, for each line
// of a plane, the index of the row that it shows. A test picture has few
// different lines: bars have four, a crosshatch three. Painting, packing and
// measuring work on the distinct rows alone.
//
// Samples are real numbers, not codes; rounding happens once, in packing.
package frame

import "backporch/timing"

// A Plane is one component: distinct rows, which must not be changed, and
// which of them each line shows.
type Plane struct {
	Rows  [][]float64
	Lines []int32
}

// Row returns what line j shows.
func (p *Plane) Row(j int) []float64 { return p.Rows[p.Lines[j]] }

// A Frame is a sampled picture: planes Y, CB and CR.
type Frame struct {
	Raster   *timing.Raster
	Sampling Sampling
	Planes   [3]Plane
}

// Field returns the lines of one field, sharing the samples of f. n is 0 for
// the field that holds the top row and 1 for the other. It panics if f is not
// interlaced, or n is another number.
func (f *Frame) Field(n int) *Frame {
	if !f.Raster.Scan.Interlaced() {
		panic("frame: Field of a frame that has none")
	}
	if n != 0 && n != 1 {
		panic("frame: Field is 0 or 1")
	}
	r := *f.Raster
	r.Lines = everyOther(r.Lines, n)
	v := &Frame{Raster: &r, Sampling: f.Sampling}
	for i, p := range f.Planes {
		v.Planes[i] = Plane{Rows: p.Rows, Lines: everyOther(p.Lines, n)}
	}
	return v
}

func everyOther[T any](s []T, from int) []T {
	out := make([]T, 0, (len(s)+1)/2)
	for i := from; i < len(s); i += 2 {
		out = append(out, s[i])
	}
	return out
}

// Distinct returns the distinct triples of rows, and which each line shows,
// for packers that interleave. It panics on 4:2:0, whose planes differ in
// height.
func (f *Frame) Distinct() (rows [][3]int32, lines []int32) {
	if _, down := f.Sampling.Step(); down != 1 {
		panic("frame: Distinct of 4:2:0")
	}
	seen := make(map[[3]int32]int32)
	lines = make([]int32, len(f.Planes[0].Lines))
	for j := range lines {
		t := [3]int32{f.Planes[0].Lines[j], f.Planes[1].Lines[j], f.Planes[2].Lines[j]}
		if j > 0 && rows[lines[j-1]] == t { // lines in a row are often alike
			lines[j] = lines[j-1]
			continue
		}
		k, ok := seen[t]
		if !ok {
			k = int32(len(rows))
			seen[t] = k
			rows = append(rows, t)
		}
		lines[j] = k
	}
	return rows, lines
}

// Triple returns the three rows of one of Distinct's triples.
func (f *Frame) Triple(t [3]int32) (y, cb, cr []float64) {
	return f.Planes[0].Rows[t[0]], f.Planes[1].Rows[t[1]], f.Planes[2].Rows[t[2]]
}
