package check

import (
	"fmt"
	"math"

	"backporch/internal/measure"
	"backporch/timing"
)

// Motion is which moment of a moving pattern each field of a capture shows.
type Motion struct {
	Times  []int // field times, in the order of rows: of the field of the top row first
	Sure   float64
	Fields int // in a frame
	Older  int // 0 or 1: which of the two rows of a frame must be the older

	Late, Repeated, Dropped, Frames int // frames of each sort
}

// NewMotion counts what is out of order in field times, which begin anew after
// period frames.
func NewMotion(times []int, sure float64, r *timing.Raster, period int) *Motion {
	m := &Motion{Times: times, Sure: sure, Fields: r.Scan.Fields}
	if m.Fields == 2 && r.Lines[0].Field == 2 {
		m.Older = 1
	}
	all := period * m.Fields
	// step is how much later b is than a, the shorter way around.
	step := func(a, b int) int {
		d := ((b-a)%all + all) % all
		if 2*d > all {
			d -= all
		}
		return d
	}
	last := 0
	for k := 0; k+m.Fields <= len(times); k += m.Fields {
		first := times[k]
		if m.Fields == 2 {
			a, b := times[k+m.Older], times[k+1-m.Older]
			if first = a; step(a, b) < 0 {
				m.Late++
				first = b
			}
		}
		if m.Frames > 0 {
			switch d := step(last, first); {
			case d <= 0:
				m.Repeated++
			case d > m.Fields:
				m.Dropped++
			}
		}
		m.Frames++
		last = first
	}
	return m
}

// findings are those that only a moving pattern shows.
func (m *Motion) findings() []measure.Finding {
	if m.Frames == 0 || m.Late*2 < m.Frames {
		return nil
	}
	return []measure.Finding{{
		Fault: measure.FieldsLate, Confidence: m.Sure, Value: math.NaN(), Sigma: math.NaN(),
		Words: fmt.Sprintf("In %d of %d frames the newer field is shown first: movement goes to and fro. The field order of the file or of the player is the opposite of what the pattern was made with.", m.Late, m.Frames),
	}}
}

// words is one line about time.
func (m *Motion) words() string {
	s := fmt.Sprintf("%d frames in order", m.Frames-m.Late)
	if m.Late > 0 {
		s += fmt.Sprintf(", %d with the newer field first", m.Late)
	}
	if m.Repeated > 0 {
		s += fmt.Sprintf(", %d repeated", m.Repeated)
	}
	if m.Dropped > 0 {
		s += fmt.Sprintf(", %d times frames are missing", m.Dropped)
	}
	return s
}
