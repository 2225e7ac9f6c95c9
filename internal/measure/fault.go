package measure

// A Fault is something that a source, or the way from it, can do to a picture.
type Fault string

// The faults. Each has one number, in the unit that FaultUnit gives; a fault
// that is there or not has none.
const (
	// RangeSqueezed: codes of studio range were taken for full range and pressed
	// into studio range again: Y' 0 to 1 became 0.0627 to 0.9216.
	// RangeStretched is the opposite, with all beyond black and white lost.
	RangeSqueezed  Fault = "range-squeezed"
	RangeStretched Fault = "range-stretched"
	// Decoded709: Y'CbCr of BT.601 was turned into R'G'B' by the matrix of
	// BT.709. Encoded709 is the opposite: made by it, and read by BT.601.
	Decoded709 Fault = "matrix-709-decoded"
	Encoded709 Fault = "matrix-709-encoded"
	// SetupAdded: black lies at 7.5 % and all else is 0.925 of itself.
	// SetupMissing is the inverse: setup was taken off that was not there.
	SetupAdded   Fault = "setup-added"
	SetupMissing Fault = "setup-missing"

	LumaGain      Fault = "luma-gain"      // per cent above or below 100, about black
	BlackOffset   Fault = "black-offset"   // per cent of white that all luma lies too high
	ChromaGain    Fault = "chroma-gain"    // per cent above or below 100, besides the gain of luma
	ChromaPhase   Fault = "chroma-phase"   // degrees from +(B'-Y') toward +(R'-Y')
	ChromaSwapped Fault = "chroma-swapped" // CB and CR exchanged
	Gamma         Fault = "gamma"          // exponent on R', G' and B'

	RowsSwapped  Fault = "rows-swapped"  // rows 2k and 2k+1 exchanged
	FieldsLate   Fault = "fields-late"   // the newer field of a frame is shown first
	ChromaFields Fault = "chroma-fields" // chroma of the two fields mixed

	Sharpened       Fault = "sharpened"        // per cent: greatest rise of the response
	Bandwidth       Fault = "bandwidth"        // MHz: luma is 3 dB down
	ChromaBandwidth Fault = "chroma-bandwidth" // MHz: chroma is 3 dB down
	ChromaLate      Fault = "chroma-late"      // ns that chroma comes later than luma

	Shape    Fault = "shape"     // per cent that the picture is too wide for its height
	Shifted  Fault = "shifted"   // samples to the right
	ShiftedY Fault = "shifted-y" // rows down

	Quantized     Fault = "quantized" // bits a component
	BelowBlackCut Fault = "below-black-cut"
	AboveWhiteCut Fault = "above-white-cut"
)

// Seen is how well a pattern shows a fault.
type Seen int

// None: the pattern cannot show it. Weak: only where it is gross, or with less
// certainty. Observable: it is found and measured.
const (
	None Seen = iota
	Weak
	Observable
)

func (s Seen) String() string { return [...]string{"none", "weak", "observable"}[s] }

// A Finding is a fault that explains what was measured.
type Finding struct {
	Fault      Fault
	Confidence float64 // that the fault is there, 0 to 1
	Value      float64 // see Fault; NaN for faults without a number
	Sigma      float64 // standard deviation of Value
	Words      string  // one or two sentences: what is wrong, with the number, and what may cause it

	// Alike are faults that would look the same with this pattern. Part is the
	// spelling of the pattern that parts them.
	Alike []Fault
	Part  string
}

// A Response is what became of detail of one frequency.
type Response struct {
	MHz   float64
	Gain  float64 // 1 at low frequencies
	Delay float64 // ns against the whole picture
	Sigma float64 // standard deviation of Gain
}

// Unseen is a fault of which the pattern says nothing.
type Unseen struct {
	Fault Fault
	Seen  Seen   // None or Weak
	Play  string // spelling of a pattern that shows it
}
