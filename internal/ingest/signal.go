package ingest

import (
	"fmt"
	"io"

	"backporch/internal/composite"
	"backporch/pattern/frame"
)

// OpenSignal opens the frames of a signal as a decoder makes them. The pictures
// are on the lattice of the signal, without a coding.
func OpenSignal(w *composite.Wave, d *composite.Decoder) (*Source, error) {
	if err := d.Check(w); err != nil {
		return nil, err
	}
	if w.Frames < 1 {
		return nil, fmt.Errorf("the signal holds no whole frame")
	}
	first, err := d.Decode(w, 0)
	if err != nil {
		return nil, err
	}
	r := first.Raster
	s := &Source{Info: Info{
		Width: r.Width, Height: r.Height(), Order: 'p', Rate: r.FrameRate(), Across: 1, Down: 1,
		Raster: r, Kind: w.Wire.Title + " signal",
	}}
	if r.Scan.Interlaced() {
		s.Order = 'b' // all lines: the top row belongs to the second field
		if r.Lines[0].Field == 1 {
			s.Order = 't'
		}
	}
	n := 0
	s.decoded = func() (*frame.Frame, error) {
		if n == w.Frames {
			return nil, io.EOF
		}
		n++
		if n == 1 {
			return first, nil
		}
		return d.Decode(w, n-1)
	}
	return s, nil
}
