package composite

import (
	"math/big"

	"backporch/timing"
)

// A Timebase says where the samples of a signal fall. All places are counted
// in whole numbers from the first sample, so they cannot drift.
type Timebase struct {
	Scan  *timing.Scan
	Rate  timing.Ratio // samples a second
	Start timing.Ratio // of sample 0 after 0H of line 1 of frame 0, in samples, from 0 up to but not including 1
}

// clockComponent is the rate of component signals: both systems have a whole
// number of its periods in a line, 1716 and 1728 (ITU-R BT.601-5 table 2).
var clockComponent = timing.Int(27_000_000)

// Sample 0 after 0H of line 1 of color field 1, at 4 fsc.
var (
	// 525: 0H is 33/90 sample after word 784, so word 785 is 57/90 after it
	// (SMPTE 244M clause 4.1 and figure 4); the axes are then I and Q.
	start4fsc525 = timing.R(57, 90)
	// 625: 0H of line 1 lies midway between two samples (EBU Tech 3280-E clause
	// 1.1); the axes are then at 45 degrees to U and V.
	start4fsc625 = timing.R(1, 2)
)

// sweep returns the scan that the wire has of a raster's. Only a subcarrier
// makes the line of 288p 5.6 ppm shorter than 64 us; without one it is 64 us
// exactly, and so a whole number of samples.
func (w *Wire) sweep(s *timing.Scan) *timing.Scan {
	if exact := s.Offset25Hz(); exact != nil && !w.Subcarrier() {
		return exact
	}
	return s
}

// Timebase returns the sampling of the wire: 4 fsc with a subcarrier, 27 MHz
// co-sited with 0H without. Its scan is that of the signal, which without a
// subcarrier has the exact line of 64 us on 288p.
func (w *Wire) Timebase(s *timing.Scan) Timebase {
	if s = w.sweep(s); !w.Subcarrier() {
		return Timebase{s, clockComponent, timing.Int(0)}
	}
	start := start4fsc525
	if s.System == timing.System625 {
		start = start4fsc625
	}
	return Timebase{s, s.System.Subcarrier.Mul(timing.Int(4)), start}
}

// SamplesPerLine returns the length of a line; it need not be whole.
func (t Timebase) SamplesPerLine() timing.Ratio { return t.Rate.Div(t.Scan.LineRate()) }

// First returns the index of the first sample at or after 0H of a line.
// Lines are counted on from 0, line 1 of frame 0, over all frames.
func (t Timebase) First(line int64) int64 {
	n, _ := t.first(line)
	return n
}

// After returns how far after 0H of a line its first sample lies, in samples,
// from 0 up to but not including 1.
func (t Timebase) After(line int64) timing.Ratio {
	n, from := t.first(line)
	return timing.Int(n).Sub(from)
}

// first also returns the place of 0H itself.
func (t Timebase) first(line int64) (index int64, from timing.Ratio) {
	from = timing.Int(line).Mul(t.SamplesPerLine()).Sub(t.Start)
	return from.Ceil(), from
}

// Samples returns the length of frame n: from the first sample at or after 0H
// of its line 1 up to that of the next frame.
func (t Timebase) Samples(n int) int {
	lines := int64(t.Scan.Lines)
	return int(t.First((int64(n)+1)*lines) - t.First(int64(n)*lines))
}

// Sequence returns after how many frames a still picture gives the same
// samples again: 2 for 525/60 and 4 for 625/50 interlaced with a subcarrier,
// the color frame.
func (w *Wire) Sequence(s *timing.Scan) int {
	s = w.sweep(s)
	lines := timing.Int(int64(s.Lines))
	n := w.Timebase(s).SamplesPerLine().Mul(lines).Den
	if w.Subcarrier() {
		n = lcm(n, s.Cycles.Mul(lines).Den)
		if w.alternates() && s.Lines%2 != 0 {
			n = lcm(n, 2) // the V switch
		}
	}
	return int(n)
}

// alternates reports whether the sign of V changes from line to line.
func (w *Wire) alternates() bool { return w.Subcarrier() && w.Family.Lines == 625 }

func lcm(a, b int64) int64 {
	g := new(big.Int).GCD(nil, nil, big.NewInt(a), big.NewInt(b)).Int64()
	return a / g * b
}
