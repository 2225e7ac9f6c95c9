package tone

import (
	"math"

	"backporch/timing"
)

// A Length is how many samples lie beside a number of frames.
type Length struct {
	Frames  int64
	Samples int64        // the nearest whole number
	Exact   timing.Ratio // samples, to the last part
	Unit    int64        // every multiple of so many frames is a whole number of samples
}

// Beside returns the length of that many frames: exact whenever it is a whole
// number of samples, such as 8008 samples of 48 kHz for 5 frames of 525 lines,
// else the nearest.
func Beside(frames int64, rate int, s *timing.Scan) Length {
	per := timing.Int(int64(rate)).Div(s.FrameRate())
	exact := per.Mul(timing.Int(frames))
	up := exact.Add(timing.R(1, 2))
	return Length{Frames: frames, Samples: up.Num / up.Den, Exact: exact, Unit: per.Den}
}

// Difference returns how much longer than its frames the tone is, in samples;
// 0 if it is exact.
func (l Length) Difference() timing.Ratio { return timing.Int(l.Samples).Sub(l.Exact) }

// Next returns the fewest frames, not fewer than these, that are a whole number
// of samples.
func (l Length) Next() int64 { return (l.Frames + l.Unit - 1) / l.Unit * l.Unit }

// Loop returns the fewest frames, not fewer than these, whose length is a whole
// number of samples and of cycles of the tone and, with an interrupted channel,
// of the time between interruptions; 0 if there is none within most.
func (l Length) Loop(t Tone, most int64) int64 {
	per := l.Exact.Div(timing.Int(l.Frames))
	for n := l.Next(); n <= most; n += l.Unit {
		t.Samples = per.Mul(timing.Int(n)).Num
		if t.Seamless() {
			return n
		}
	}
	return 0
}

// Length of a tone that is not told, seconds.
const (
	usualLeast = 10
	usualMost  = 60
)

// Usual returns how many frames of a scan a tone lasts that is not told how
// long: the fewest from 10 s on that loop, if none within a minute does those
// that loop but for the time between two interruptions, and else 10 s.
func Usual(t Tone, s *timing.Scan) int64 {
	rate := s.FrameRate().Float64()
	l := Beside(int64(math.Ceil(usualLeast*rate)), t.Rate, s)
	most := int64(usualMost * rate)
	if n := l.Loop(t, most); n > 0 {
		return n
	}
	t.Ident = false
	if n := l.Loop(t, most); n > 0 {
		return n
	}
	return l.Frames
}
