// Package tone computes the sine that lines up sound: its exact length beside a
// number of frames, its samples, and the interruptions that tell the left
// channel from the right one.
//
// 0 dBFS is a sine whose peak is the greatest positive sample (AES17: memory).
// Line-up levels are EBU R 68, -18 dBFS (memory), for 625 lines, and SMPTE RP
// 155, -20 dBFS (memory), for 525. The package writes no files.
package tone

import (
	"fmt"
	"math"

	"backporch/timing"
)

// Line-up levels, dBFS, and frequency, Hz.
const (
	LevelR68   = -18.0
	LevelRP155 = -20.0
	Frequency  = 1000
)

// LineUp returns the level, dBFS, that is used with a scanning system.
func LineUp(s *timing.System) float64 {
	if s == timing.System625 {
		return LevelR68
	}
	return LevelRP155
}

// Interruptions of the left channel: the last 0.25 s of every 3 s (common
// practice), the first and the last 5 ms of it sides that do not click. What does not
// end on a whole cycle falls to silence over the same time.
const (
	IdentEvery = 3
	IdentGap   = 4   // parts of a second
	sideParts  = 200 // parts of a second
)

// A Tone is a sine of a stated length. Its first sample is at phase 0.
type Tone struct {
	Frequency timing.Ratio // Hz, above 0 and below half of Rate
	Level     float64      // dBFS, at most 0
	Rate      int          // samples a second
	Depth     int          // bits a sample, 16 or 24
	Samples   int64        // of a channel
	Ident     bool         // interrupt channel 0, the left one
}

// Check reports a tone that cannot be.
func (t *Tone) Check() error {
	switch {
	case t.Rate < 1 || t.Rate > 1<<31-1 || t.Depth != 16 && t.Depth != 24:
		return fmt.Errorf("a tone of %d samples a second of %d bits; use 48000 or 44100 and 16 or 24", t.Rate, t.Depth)
	case t.Frequency.Num <= 0 || t.Frequency.Cmp(timing.R(int64(t.Rate), 2)) >= 0:
		return fmt.Errorf("frequency: %s Hz is not above 0 and below half of %d samples a second; use one that is", t.Frequency, t.Rate)
	case !(t.Level <= 0 && t.Level >= -100):
		return fmt.Errorf("level: %v dBFS is not within -100 to 0; use one that is", t.Level)
	case t.Samples < 1:
		return fmt.Errorf("a tone of %d samples; use a longer one", t.Samples)
	case t.Ident && t.Samples < IdentEvery*int64(t.Rate):
		return fmt.Errorf("ident: the left channel is interrupted once in %d s, and the tone lasts %.3f s; use %d s or more", IdentEvery, float64(t.Samples)/float64(t.Rate), IdentEvery)
	}
	return nil
}

// FullScale is the greatest sample.
func (t *Tone) FullScale() int { return 1<<(t.Depth-1) - 1 }

// Amplitude is the peak of the sine, a real number of steps.
func (t *Tone) Amplitude() float64 { return float64(t.FullScale()) * math.Pow(10, t.Level/20) }

// Whole reports whether the tone is a whole number of cycles.
func (t *Tone) Whole() bool { return t.Samples%t.cycle().Num == 0 }

// cycle returns the fewest samples that are a whole number of cycles (Num), and
// of how many (Den).
func (t *Tone) cycle() timing.Ratio { return timing.Int(int64(t.Rate)).Div(t.Frequency) }

// Seamless reports whether the tone goes on without a jump, a fade or an
// interruption too soon or too late when it is played again and again.
func (t *Tone) Seamless() bool {
	return t.Whole() && (!t.Ident || t.Samples%(IdentEvery*int64(t.Rate)) == 0)
}

// Append appends samples from, until before to, of a channel to dst; all are
// within [Tone.FullScale]. It computes each from its own place, so that nothing
// adds up.
func (t *Tone) Append(dst []int32, channel int, from, to int64) []int32 {
	a, c := t.Amplitude(), t.cycle()
	for n := from; n < to; n++ {
		// n*Den mod Num over Num is the phase in cycles, exactly.
		phase := float64(n%c.Num*c.Den%c.Num) / float64(c.Num)
		k := t.end(n)
		if t.Ident && channel == 0 {
			k = min(k, t.interruption(n))
		}
		dst = append(dst, int32(math.Round(k*a*math.Sin(2*math.Pi*phase))))
	}
	return dst
}

// end is the gain at sample n that lets a tone that is no whole number of
// cycles end in silence.
func (t *Tone) end(n int64) float64 {
	if t.Whole() {
		return 1
	}
	return side(float64(t.Samples-n) * sideParts / float64(t.Rate))
}

// interruption is the gain at sample n of the channel that is interrupted.
func (t *Tone) interruption(n int64) float64 {
	at := float64(n%(IdentEvery*int64(t.Rate))) / float64(t.Rate)
	const begins, ends = IdentEvery - 1.0/IdentGap, float64(IdentEvery)
	return max(side(float64((begins-at)*sideParts)+1), side(float64((at-ends)*sideParts)+1))
}

// side is a raised cosine from 0 at u = 0 to 1 at u = 1.
func side(u float64) float64 {
	u = min(max(u, 0), 1)
	return 0.5 - float64(0.5*math.Cos(math.Pi*u))
}
