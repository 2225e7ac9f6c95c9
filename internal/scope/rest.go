package scope

import (
	"math"
	"math/cmplx"

	"backporch/timing"
)

// reachNote says how far the trace of a channel reaches beside the burst. Where there is sync it
// gives the levels of sync and blanking, measured as means where they are flat:
// the edges between them overshoot.
func (s *setUp) reachNote(channel int, reach extent) string {
	if !s.w.Wire.HasSync(channel) {
		return "from " + s.level(float64(reach.low)) + " to " + s.level(float64(reach.high))
	}
	line := s.pictureLines()[2] // a whole line at the top
	blanking := timesOfBlanking(s.w.Scan.System)
	return "picture up to " + s.level(float64(reach.high)) + ", blanking " + s.level(s.mean(channel, line, blanking[0], blanking[1])) +
		", sync tip " + s.level(s.mean(channel, line, 1.5, 3.5))
}

// timesOfBlanking is between which times after 0H, in microseconds, the back
// porch is flat: after the burst (SMPTE 170M table 2, ITU-R BT.1700 Annex 1
// Part B table 2) and before the picture.
func timesOfBlanking(s *timing.System) [2]float64 {
	if s == timing.System625 {
		return [2]float64{8.3, 10.1}
	}
	return [2]float64{8.2, 8.9}
}

// A recess is a time of every line, in samples; that of length 0 is none.
type recess struct{ zero, period, from, to float64 }

// burstTime is when the burst is there, where at is 0H of a line: dark pictures
// lie below its tops, and their own reach is what is asked for.
func (s *setUp) burstTime(at float64) recess {
	if !s.w.Wire.Subcarrier() {
		return recess{}
	}
	rate := perMicrosecond(s.w)
	return recess{at, s.w.SamplesPerLine().Float64(), 4.9 * rate, timesOfBlanking(s.w.Scan.System)[0] * rate}
}

// holds reports whether a sample lies in the recess.
func (r recess) holds(sample float64) bool {
	if r.period == 0 {
		return false
	}
	at := math.Mod(sample-r.zero, r.period)
	if at < 0 {
		at += r.period
	}
	return r.from < at && at < r.to
}

// mean is the mean of a line of a channel between two times after 0H, mV.
func (s *setUp) mean(channel, line int, from, to float64) float64 {
	samples, after := s.w.Line(channel, s.Frame, line)
	rate := perMicrosecond(s.w)
	first, last := int(math.Ceil(from*rate-after)), int(math.Floor(to*rate-after))
	sum := 0.0
	for _, v := range samples[first : last+1] {
		sum += float64(v)
	}
	return sum / float64(last-first+1)
}

// burstNote says how large the burst is.
func (s *setUp) burstNote() string {
	if !s.w.Wire.Subcarrier() || s.View != Parade && s.channel != s.chroma() {
		return ""
	}
	l := newBurstLock(s.w, s.chroma(), s.Frame)
	if s.View == Line || s.Line != 0 {
		if l.peak = cmplx.Abs(l.burst(s.w, s.chroma(), s.Frame, s.oneLine())); l.peak < leastBurst(s.w) {
			return "no burst on this line"
		}
	} else if !l.found {
		return "no burst"
	}
	return "burst " + s.level(2*l.peak) + " peak to peak"
}

// chroma is the channel with the subcarrier.
func (s *setUp) chroma() int { return len(s.w.Samples) - 1 }
