package timing

import "fmt"

// A Line is an analog line that a stored row shows. Field 1 is the older.
type Line struct{ Number, Field int }

// Position returns where the line lies on the tube, in field lines: a line
// of field 2 falls halfway between two lines of field 1, so line 283 of
// 525/60 counts as 20.5.
func (l Line) Position(s *System) Ratio {
	p := Int(int64(l.Number))
	if l.Field == 2 {
		p = p.Sub(s.Offset)
	}
	return p
}

// A Raster is a lattice of samples on a [Scan]: the rows and samples of a
// file, of a device, of a waveform. Nothing else samples a picture.
type Raster struct {
	Name  string
	Note  string // what it is for, one line
	Scan  *Scan
	Clock Ratio  // Hz
	Start Ratio  // sample 0 after 0H, in samples
	Free  bool   // the clock runs on over lines (4 fsc); else it restarts at every 0H
	Width int    // samples in a row
	Lines []Line // top to bottom
}

// Height returns the number of rows.
func (r *Raster) Height() int { return len(r.Lines) }

// Order is the time order of the rows of a frame.
type Order int

// Progressive is the harmless case: all rows are of one time.
const (
	Progressive Order = iota
	TopFirst          // the field that holds the top row is the older
	BottomFirst       // the field that holds the top row is the newer
	numOrders
)

var orderNames = [numOrders]string{"progressive", "top field first", "bottom field first"}

func (o Order) String() string {
	if o < 0 || o >= numOrders {
		return fmt.Sprintf("Order(%d)", int(o))
	}
	return orderNames[o]
}

// Order returns the time order, which follows from the crop alone: field 1 is
// always the older, so it is which field the top row belongs to that counts.
func (r *Raster) Order() Order {
	switch {
	case !r.Scan.Interlaced():
		return Progressive
	case r.Lines[0].Field == 1:
		return TopFirst
	default:
		return BottomFirst
	}
}

// FieldRows returns how many rows belong to each field; the second is 0 when
// the scan is not interlaced.
func (r *Raster) FieldRows() (field1, field2 int) {
	for _, l := range r.Lines {
		if l.Field == 1 {
			field1++
		} else {
			field2++
		}
	}
	return
}

// PixelShape returns width over height of a sample on a 4:3 tube: 10/11 at
// 13.5 MHz and 525/60 interlaced, half of it where every row is a whole field
// line high. It follows from the clock, not from the size of the file.
func (r *Raster) PixelShape() Ratio {
	p := r.Scan.System.Square.Div(r.Clock)
	if !r.Scan.Interlaced() {
		p = p.Div(Int(2))
	}
	return p
}

// ShapeOn returns the pixel shape on a screen of that aspect, 4/3 or 16/9.
func (r *Raster) ShapeOn(aspect Ratio) Ratio {
	return r.PixelShape().Mul(aspect).Div(R(4, 3))
}

// Window returns the left and right edge of the analog picture in samples, 0
// being the middle of the first sample. Both may lie outside the row.
func (r *Raster) Window() (left, right Ratio) {
	s := r.Scan.System
	return r.SampleAt(s.Left), r.SampleAt(s.Right)
}

// SampleAt returns the place in a row, in samples, of a time in microseconds
// after 0H.
func (r *Raster) SampleAt(us Ratio) Ratio {
	return us.Mul(r.Clock).Div(Int(1_000_000)).Sub(r.Start)
}

// TimeOf returns the time, in microseconds after 0H, of a place in a row.
func (r *Raster) TimeOf(sample Ratio) Ratio {
	return sample.Add(r.Start).Mul(Int(1_000_000)).Div(r.Clock)
}

// SamplesPerLine returns how many samples a whole line lasts; it need not be
// a whole number.
func (r *Raster) SamplesPerLine() Ratio { return r.Clock.Div(r.Scan.LineRate()) }

// FrameRate returns frames per second of the raster's scan.
func (r *Raster) FrameRate() Ratio { return r.Scan.FrameRate() }
