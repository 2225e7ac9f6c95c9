package frame

import (
	"fmt"
	"slices"

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
	// S411 has chroma at luma samples 0, 4, 8 ... of every row, as DV of 525
	// lines (co-sited: yuv4mpeg(5) of mjpegtools 2.1.0; that DV has it so, SMPTE
	// 314M: memory).
	S411
	// S420DV is 4:2:0 of DV of 625 lines: in each field CR lies on the first
	// line of a pair and CB on the second, co-sited across (IEC 61834-2: memory;
	// y4mscaler of mjpegtools 2.1.0 takes 420paldv so, secondary). Rows of the chroma planes belong to the two fields in
	// turn, as those of S420Field.
	S420DV
	numSamplings
)

var samplingNames = [numSamplings]string{"4:4:4", "4:2:2", "4:2:0", "4:2:0 by field", "4:1:1", "4:2:0 of DV"}

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
	case S411:
		return 4, 1
	default:
		return 2, 2
	}
}

// Between returns the rows of the picture between which row k of a plane, 0 to
// 2, lies midway: one row twice if it lies on it.
func (m Sampling) Between(plane, k int) (a, b int) {
	_, down := m.Step()
	switch {
	case plane == 0 || down == 1:
		return k, k
	case m == S420DV:
		a = k/2*4 + k%2 // the first line of the pair, in the field of row k
		if plane == 1 {
			a += 2
		}
		return a, a
	default:
		// Both other kinds lie midway between rows 2k and 2k+1 of the frame, also
		// where they are at 1/4 and 3/4 of a pair of lines of one field.
		return 2 * k, 2*k + 1
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
	if m < 0 || m >= numSamplings {
		return fmt.Errorf("%v is no sampling; use one of %v", m, samplingNames)
	}
	if r.Width < 1 || r.Height() < 1 {
		return fmt.Errorf("raster %s: %d samples by %d rows is no picture; it needs at least one of each", r.Name, r.Width, r.Height())
	}
	across, down := m.Step()
	if across > 1 && r.Free {
		return fmt.Errorf("raster %s: its clock runs on over lines, so %v has no place for chroma; use 4:4:4", r.Name, m)
	}
	if r.Width%across != 0 && m == S411 {
		other := S422
		if r.Width%2 != 0 {
			other = S444
		}
		return fmt.Errorf("raster %s: %d samples cannot be taken by fours for %v; use %v", r.Name, r.Width, m, other)
	}
	if r.Width%across != 0 {
		return fmt.Errorf("raster %s: %d samples cannot be paired for %v; use 4:4:4", r.Name, r.Width, m)
	}
	switch {
	case m == S420DV:
		return m.checkDV(r)
	case down > 1:
		return m.checkRows(r)
	}
	return nil
}

// checkDV is the part of Check that asks for the picture of DV of 625 lines.
func (m Sampling) checkDV(r *timing.Raster) error {
	dv := timing.Lookup("576i-dv")
	if r.Scan == dv.Scan && r.Width == dv.Width && slices.Equal(r.Lines, dv.Lines) {
		return nil
	}
	other := Subsample420(r)
	if r.Scan.System == timing.System525 {
		other = S411 // which is what DV of 525 lines has
	}
	return fmt.Errorf("raster %s: %v has the samples and lines of raster %s alone; use that raster, or %v", r.Name, m, dv.Name, other)
}

// checkRows is the part of Check that asks for pairs of rows.
func (m Sampling) checkRows(r *timing.Raster) error {
	if fits := Subsample420(r); m != fits {
		return fmt.Errorf("raster %s is %s, and %v does not fit it; use %v", r.Name, r.Scan.Name, m, fits)
	}
	rows, fields := r.Height(), r.Scan.Fields
	if rows%(2*fields) == 0 {
		return nil
	}
	what := fmt.Sprintf("%d rows", rows)
	if fields > 1 && rows%fields == 0 {
		what = fmt.Sprintf("%d lines a field", rows/fields)
	}
	other := "480i"
	switch s := r.Scan; {
	case s.System == timing.System625 && s.Interlaced():
		other = "576i"
	case s.System == timing.System625:
		other = "288p"
	case !s.Interlaced():
		other = "240p"
	}
	return fmt.Errorf("raster %s: %s cannot be paired for %v; use a 4:2:2 or 4:4:4 format, or raster %s", r.Name, what, m, other)
}
