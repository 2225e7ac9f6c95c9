package composite

import (
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
	Phase      float64 // degrees; > 0 turns the vector from +U to +V
	ACC        bool    // chroma gain follows the burst (automatic color control)
	DelayLine  bool    // 625 only: mean of the color of two successive lines
	TVLines    float64 // bandwidth of luma on a 4:3 screen; 0: not limited
}

// Decode returns frame n of the wave (0 is its first) as a 4:4:4 frame on the
// wave's own lattice, in units of the decoder's family. It locks to the burst
// that it finds in the signal. The error says which separation the scan does
// not allow.
func (d *Decoder) Decode(w *Wave, n int) (*frame.Frame, error) { panic("not yet") }
