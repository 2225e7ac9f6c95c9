package composite

import (
	"fmt"

	"backporch/colorimetry"
	"backporch/pattern/frame"
)

// Separation is how luma and chroma of a composite signal are told apart.
type Separation int

// The separations. Combs need lines whose subcarrier is opposite: neighbors
// of a field on 525 lines, every other one on 625.
const (
	Notch Separation = iota
	Comb2            // this line and the one before it
	Comb3            // the lines before and after it as well
)

// A Decoder is the input stage of a set. The zero value of each field is the
// plain one, except Family.
type Decoder struct {
	Family     *colorimetry.Family // levels that the set expects: its setup or component switch
	Separation Separation
	Gain       float64 // of chroma against nominal; 0 means 1
	Phase      float64 // degrees; > 0 turns the subcarrier from +U to +V
	ACC        bool    // chroma gain follows the burst (automatic color control)
	DelayLine  bool    // 625 only: mean of the color of two successive lines
	TVLines    float64 // bandwidth of luma on a 4:3 screen, half down; 0: not limited
}

// Check reports a decoder that cannot read a wave, and names the way out.
func (d *Decoder) Check(w *Wave) error {
	if d.Family.Interface != w.Wire.Family.Interface {
		return fmt.Errorf("a set switched to %s (%s) has no input for %s", d.Family.Title, d.Family.Interface, w.Wire.Name)
	}
	if d.Family.Lines != 0 && d.Family.Lines != w.Scan.System.Lines() {
		return fmt.Errorf("a set switched to %s expects %d lines, and the signal is %s", d.Family.Title, d.Family.Lines, w.Scan.System.Name)
	}
	if d.Separation != Notch && w.Wire.Kind == Composite {
		if n, _ := combDelay(w); n == 0 {
			return fmt.Errorf("a comb needs lines with opposite subcarrier, and %s has %v cycles a line; use the notch", w.Scan.Name, w.Scan.Cycles)
		}
	}
	return nil
}

// Decode returns frame n of the wave (0 is its first) as a 4:4:4 frame on the
// wave's own lattice, in units of the decoder's family: blanking, below black
// where there is setup, at both ends of each row. It locks to the burst that it
// finds in the signal; without a burst there is no color. Errors are those of
// Check. It panics when n is out of range.
func (d *Decoder) Decode(w *Wave, n int) (*frame.Frame, error) {
	if err := d.Check(w); err != nil {
		return nil, err
	}
	g := newGrid(w.Wire, w.Scan)
	lattice := g.Lattice(w.Frame + n)
	r := newReceiver(d, w, n, &g, lattice.Width)
	rows := make([][3][]float64, len(lattice.Lines))
	for j, l := range lattice.Lines {
		rows[j] = r.line(l.Number)
	}
	if d.DelayLine && w.Wire.alternates() {
		delayLine(rows, lattice.Lines)
	}
	f := &frame.Frame{Raster: lattice, Sampling: frame.S444}
	for c := range f.Planes {
		var in frame.Interner
		f.Planes[c].Lines = make([]int32, len(rows))
		for j := range rows {
			f.Planes[c].Lines[j] = in.Add(rows[j][c])
		}
		f.Planes[c].Rows = in.Rows()
	}
	return f, nil
}

// combDelay returns how many lines, and how many samples, lie between a sample
// and the one whose subcarrier is opposite: 1 line on 525, 2 on 625. It
// returns 0 where there is none.
func combDelay(w *Wave) (lines, samples int) {
	lines = 1
	if w.Wire.alternates() {
		lines = 2 // V changes its sign from each line to the next
	}
	r := w.SamplesPerLine()
	samples = int((r.Num*int64(lines) + r.Den/2) / r.Den)
	if samples%4 != 2 {
		return 0, 0
	}
	return lines, samples
}
