package composite

import "fmt"

// A Wave is a stretch of signal: whole frames, beginning with the first sample
// at or after 0H of line 1.
type Wave struct {
	Wire *Wire
	Timebase
	Frame   int         // number of the first frame in the color sequence, from 0
	Frames  int         // how many follow each other
	Samples [][]float32 // one slice a channel, mV above blanking at a 75 ohm termination
}

// Line returns the samples of one line of frame n of the wave (0 is its
// first), from the first at or after its 0H up to the next line, and how far
// after 0H the first lies, in samples. Lines count from 1. The result shares
// the wave's memory. It panics when n or line is out of range.
func (w *Wave) Line(channel, n, line int) (samples []float32, after float64) {
	if n < 0 || n >= w.Frames || line < 1 || line > w.Scan.Lines {
		panic(fmt.Sprintf("composite: Line %d of frame %d of %d", line, n, w.Frames))
	}
	lines := int64(w.Scan.Lines)
	first := w.First(int64(w.Frame) * lines)
	at := int64(w.Frame+n)*lines + int64(line) - 1
	return w.Samples[channel][w.First(at)-first : w.First(at+1)-first], w.After(at).Float64()
}
