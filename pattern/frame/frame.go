// Package frame holds sampled pictures as distinct rows plus, for each line
// of a plane, the index of the row that it shows. A test picture has few
// different lines: bars have four, a crosshatch three. Painting, packing and
// measuring work on the distinct rows alone.
//
// Samples are real numbers, not codes; rounding happens once, in packing.
package frame

import (
	"fmt"

	"backporch/timing"
)

// Sampling says where chroma lies.
type Sampling int

const (
	// S444 has chroma at every luma sample.
	S444 Sampling = iota
	// S422 has chroma at luma samples 0, 2, 4 ... of every row (ITU-R BT.601-5
	// table 2).
	S422
	// S420 is 4:2:0 of a progressive frame: co-sited across, midway between
	// rows 2k and 2k+1 down.
	S420
	// S420Field is 4:2:0 of an interlaced frame, each field on its own: at 1/4
	// of the line pair in the field of the top row, at 3/4 in the other (ITU-T
	// H.262, memory). Row 2k of the chroma planes belongs to the former.
	S420Field
	numSamplings
)

var samplingNames = [numSamplings]string{"4:4:4", "4:2:2", "4:2:0", "4:2:0 by field"}

func (m Sampling) String() string {
	if m < 0 || m >= numSamplings {
		return fmt.Sprintf("Sampling(%d)", int(m))
	}
	return samplingNames[m]
}

// Step returns luma samples and luma rows to one of chroma.
func (m Sampling) Step() (across, down int) {
	switch m {
	case S444:
		return 1, 1
	case S422:
		return 2, 1
	default:
		return 2, 2
	}
}

// Subsample420 returns the 4:2:0 that fits the raster's scan.
func Subsample420(r *timing.Raster) Sampling {
	if r.Scan.Interlaced() {
		return S420Field
	}
	return S420
}

// Check reports whether the raster can have this sampling, and what to use
// instead if not.
func (m Sampling) Check(r *timing.Raster) error {
	across, down := m.Step()
	if across > 1 && r.Free {
		return fmt.Errorf("raster %s: its clock runs on over lines, so %v has no place for chroma; use 4:4:4", r.Name, m)
	}
	if r.Width%across != 0 {
		return fmt.Errorf("raster %s: %d samples cannot be paired for %v; use 4:4:4", r.Name, r.Width, m)
	}
	if m == S420 && r.Scan.Interlaced() || m == S420Field && !r.Scan.Interlaced() {
		return fmt.Errorf("raster %s is %s: %v does not fit it", r.Name, r.Scan.Name, m)
	}
	rows := r.Height() / r.Scan.Fields
	if down > 1 && (rows%down != 0 || r.Height()%r.Scan.Fields != 0) {
		return fmt.Errorf("raster %s: %d lines a field cannot be paired for %v; use a 4:2:2 or 4:4:4 format, or raster 480i", r.Name, rows, m)
	}
	return nil
}

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
// interlaced.
func (f *Frame) Field(n int) *Frame {
	if !f.Raster.Scan.Interlaced() {
		panic("frame: Field of a frame that has none")
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
