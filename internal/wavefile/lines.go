package wavefile

import (
	"fmt"
	"io"

	"backporch/internal/composite"
	"backporch/internal/encode/samples"
	"backporch/timing"
)

// A Lines names the lines of a frame that a text file holds.
type Lines struct {
	First, Last int // lines of the frame, from 1
	Field       int // of the color sequence, from 1; 0: that of the first line in the first frame
}

// Fields returns how many fields a color sequence has.
func Fields(w *composite.Wire, s *timing.Scan) int { return s.Fields * w.Sequence(s) }

// Check reports lines that the signal of a wire does not have; the error names
// those that it has.
func (l Lines) Check(w *composite.Wire, s *timing.Scan) error {
	all := Fields(w, s)
	switch {
	case l.First > l.Last:
		return fmt.Errorf("lines %s: the first comes after the last; write %d-%d", l, l.Last, l.First)
	case l.First < 1 || l.Last > s.Lines:
		return fmt.Errorf("lines %s: a frame has lines 1 to %d", l, s.Lines)
	case l.Field < 0 || l.Field > all:
		return fmt.Errorf("field %d: the sequence of %s has fields 1 to %d", l.Field, w.Name, all)
	case l.Field == 0 || (l.Field-1)%s.Fields+1 == s.FieldOf(l.First):
		return nil
	case s.FieldOf(l.First) == 2:
		return fmt.Errorf("line %d is not in field %d: lines from %d on are in the even fields", l.First, l.Field, (s.Lines+1)/2+1)
	default:
		return fmt.Errorf("line %d is not in field %d: lines up to %d are in the odd fields", l.First, l.Field, (s.Lines+1)/2)
	}
}

// String returns "20" or "20-30".
func (l Lines) String() string {
	if l.First == l.Last {
		return fmt.Sprint(l.First)
	}
	return fmt.Sprintf("%d-%d", l.First, l.Last)
}

// words returns "line 20" or "lines 20-30".
func (l Lines) words() string {
	if l.First == l.Last {
		return "line " + l.String()
	}
	return "lines " + l.String()
}

// WriteLines writes lines of the signal as a text file, see
// [samples.AppendLine]. The format of the request does not matter.
func (q *Request) WriteLines(w io.Writer, l Lines) error {
	if err := l.Check(q.Wire, q.Scan); err != nil {
		return err
	}
	e, err := composite.NewEncoder(q.Wire, q.Scan, q.Options)
	if err != nil {
		return err
	}
	n := 0
	if l.Field > 0 {
		n = (l.Field - 1) / q.Scan.Fields
	} else {
		l.Field = q.Scan.FieldOf(l.First)
	}
	wave, err := e.Encode(n, 1, q.Picture)
	if err != nil {
		return err
	}
	text := samples.AppendHead(nil, q.notes(l), q.Wire.Channels())
	step := 1e6 / wave.Rate.Float64()
	channels := make([][]float32, len(wave.Samples))
	for line := l.First; line <= l.Last; line++ {
		var after float64
		for c := range channels {
			channels[c], after = wave.Line(c, 0, line)
		}
		text = samples.AppendLine(text, line, after*step, step, channels)
	}
	_, err = w.Write(text)
	return err
}

// notes says what the numbers of a text file are.
func (q *Request) notes(l Lines) []string {
	base := q.Wire.Timebase(q.Scan)
	list := []string{
		q.Program + ": " + q.Pattern,
		fmt.Sprintf("wire %s, raster %s, %s, levels %s", q.Wire.Name, q.Raster, q.Scan.System.Name, q.Setup),
		fmt.Sprintf("%s in field %d of %d of the color sequence; lines count from 1 over the whole frame", l.words(), l.Field, Fields(q.Wire, q.Scan)),
		fmt.Sprintf("rate %s Hz, %.6f us from sample to sample", base.Rate, 1e6/base.Rate.Float64()),
		"us: after 0H of the line, the 50 % point of the leading edge of sync; a line begins with its first sample at or after 0H",
		"mV: above blanking, at a 75 ohm termination",
	}
	return append(list, q.Notes...)
}
