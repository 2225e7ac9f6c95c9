package wavefile

import (
	"fmt"

	"backporch/internal/composite"
	"backporch/internal/encode/samples"
	"backporch/internal/encode/wav"
	"backporch/pattern/frame"
	"backporch/timing"
)

// A Request is a signal to be written as samples.
type Request struct {
	Format  string // WAV, S16 or U16
	Wire    *composite.Wire
	Scan    *timing.Scan
	Options composite.Options
	AtLeast int // frames; 0: as few as make a loop
	Period  int // frames until the picture repeats, at least 1
	// Picture returns picture n on a lattice, as [composite.Encoder.Append]
	// takes it.
	Picture func(r *timing.Raster, n int) (*frame.Frame, error)

	// Told in the description, as they are.
	Program, Pattern, Raster, Aspect, Setup, Player string
	Notes                                           []string

	// Progress, if not nil, is called after each frame.
	Progress func(done, total int)
}

// A Job is a Request that has been found possible.
type Job struct {
	Request
	Loop   int // the fewest frames after which signal and picture both repeat
	Frames int // a whole number of loops

	base     composite.Timebase
	sequence int // frames after which the signal of a still repeats
	scales   []samples.Scale
	encoder  *composite.Encoder
}

// Layout checks the request and counts its frames: whole color sequences and
// whole periods of the picture, so that the end of the file goes on with its
// beginning. The errors name the way out; one is a *[TooLongError].
func (q *Request) Layout() (*Job, error) {
	if err := usable(q.Format); err != nil {
		return nil, err
	}
	j := &Job{Request: *q, base: q.Wire.Timebase(q.Scan), scales: scales(q.Format, q.Wire, q.Scan.System.Lines())}
	var err error
	if j.encoder, err = composite.NewEncoder(q.Wire, q.Scan, q.Options); err != nil {
		return nil, err
	}
	j.sequence = q.Wire.Sequence(q.Scan)
	j.Loop = lcm(j.sequence, max(q.Period, 1))
	j.Frames = max(1, (q.AtLeast+j.Loop-1)/j.Loop) * j.Loop
	if j.Frames > maxFrames {
		return nil, fmt.Errorf("%d frames are more than %d; ask for less", j.Frames, maxFrames)
	}
	if q.Format == WAV {
		return j, j.fits()
	}
	return j, nil
}

// lcm is for two small positive numbers.
func lcm(a, b int) int {
	g, r := a, b
	for r != 0 {
		g, r = r, g%r
	}
	return a / g * b
}

// fits reports a signal that is too long for a WAV.
func (j *Job) fits() error {
	if j.samples() <= j.header().MaxSamples() {
		return nil
	}
	loop := length(j.base, 0, j.Loop)
	return &TooLongError{Frames: j.Frames, Fit: int(j.header().MaxSamples()/loop) * j.Loop, Rate: j.base.Scan.FrameRate()}
}

// A TooLongError reports a signal that does not fit in a WAV.
type TooLongError struct {
	Frames int // in whole loops
	Fit    int // that fit, likewise; 0 when one loop is too long already
	Rate   timing.Ratio
}

// Error names what fits, in seconds rounded down.
func (e *TooLongError) Error() string {
	seconds := func(frames int) float64 { return float64(int64(frames)*100*e.Rate.Den/e.Rate.Num) / 100 }
	if e.Fit == 0 {
		return fmt.Sprintf("a WAV ends at 4 GiB, and the %d frames of one loop are longer; use s16 or u16, which have no limit", e.Frames)
	}
	return fmt.Sprintf("a WAV ends at 4 GiB, and %.2f s of this signal (%d frames) are longer\nask for --seconds %.2f at most, or use s16 or u16, which have no limit",
		seconds(e.Frames), e.Frames, seconds(e.Fit))
}

// samples is the number of samples of each channel.
func (j *Job) samples() int64 { return length(j.base, 0, j.Frames) }

// header is that of a WAV. Its rate is the nearest whole number: 4 fsc of 525
// lines is 315/22 MHz, and 14 318 182 is 0.013 ppm above it.
func (j *Job) header() wav.Header {
	return wav.Header{Rate: wholeRate(j.base), Channels: len(j.scales), Samples: j.samples(), Depth: 16}
}

func wholeRate(t composite.Timebase) uint32 {
	return uint32((2*t.Rate.Num + t.Rate.Den) / (2 * t.Rate.Den))
}

// Size returns the length of the file in bytes.
func (j *Job) Size() int64 {
	if j.Format == WAV {
		return j.header().Size()
	}
	return j.samples() * int64(2*len(j.scales))
}

// Seconds returns how long the signal lasts.
func (j *Job) Seconds() float64 {
	return timing.Int(int64(j.Frames)).Div(j.base.Scan.FrameRate()).Float64()
}
