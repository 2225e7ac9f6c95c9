// Package ingest turns a file of pictures into the real numbers of a frame, and
// puts that frame on the lattice of a signal: what a player would send out that
// shows the file one to one.
//
// Read takes the first picture of YUV4MPEG2, PNG, BMP, BT.656 and raw frames. The
// file must have the samples and rows of a raster, since nothing else says
// where on the line its samples lie.
//
// Open takes pictures of any size, one after another, and can average them; a
// capture is measured from that. OpenSignal has them out of a decoded signal, and
// OpenOther out of whatever an installed converter reads.
package ingest

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"backporch/internal/encode/y4m"
	"backporch/pattern/frame"
	"backporch/timing"
)

// Options say what a file does not say itself.
type Options struct {
	Raster *timing.Raster // nil: the first that has the size and the order of fields
	Studio bool           // R'G'B' is of studio range, else of full range
}

// A Picture is a picture out of a file, in the samples of the file.
type Picture struct {
	Raster *timing.Raster
	planes [3]frame.Plane // a row for each row of the raster
	step   [3]int         // luma samples to one of the plane
	first  [3]float64     // its sample 0, in luma samples
}

// Read reads the first picture of a file, whose name says the format. Errors do
// not name the file.
func Read(name string, r io.Reader, o Options) (*Picture, error) {
	s, err := Open(name, r, o)
	if err != nil {
		return nil, err
	}
	if s.Coding == nil {
		return nil, y4m.UnsupportedError("full-range Y'CbCr; convert it to limited range")
	}
	raster, err := o.fit(s.Width, s.Height, s.Order)
	if err != nil {
		return nil, err
	}
	c, err := s.codes()
	if errors.Is(err, io.EOF) {
		return nil, y4m.FormatError("there is no frame behind the header")
	}
	if err != nil {
		return nil, err
	}
	p := fromCodes(c, s.Coding, raster)
	p.first[1], p.first[2] = s.first, s.first
	return p, nil
}

// fit returns the raster of a picture of that size; order is 'p', 't', 'b' or
// '?' as in YUV4MPEG2.
func (o Options) fit(width, height int, order byte) (*timing.Raster, error) {
	if r := o.Raster; r != nil {
		if r.Width != width || r.Height() != height {
			return nil, fmt.Errorf("the picture is %d x %d samples, and raster %s has %d x %d; leave the raster out, or name another", width, height, r.Name, r.Width, r.Height())
		}
		return r, nil
	}
	var sizes []string
	var found *timing.Raster
	for _, r := range timing.Rasters() {
		if size := fmt.Sprintf("%d x %d", r.Width, r.Height()); !slices.Contains(sizes, size) {
			sizes = append(sizes, size)
		}
		if r.Width != width || r.Height() != height {
			continue
		}
		if y4m.InterlaceOf(r.Order()) == order {
			return r, nil
		}
		if found == nil {
			found = r
		}
	}
	if found == nil {
		return nil, fmt.Errorf("the picture is %d x %d samples, which no raster has; a picture for one has %s", width, height, strings.Join(sizes, ", "))
	}
	return found, nil
}
