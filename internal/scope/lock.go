package scope

import (
	"math"
	"math/cmplx"

	"backporch/internal/composite"
	"backporch/timing"
)

// A lock is what the burst of a signal says of the phase of its subcarrier.
type lock struct {
	turn    complex128    // brings a phasor to the axes +U and +V
	peak    float64       // mean amplitude of the bursts, mV
	degrees []float64     // of the burst, after the turn: 180, or two of about 135 and 225
	found   bool          // false: without burst, phase as the samples lie
	axes    [4][2]float64 // sine and cosine of the carrier, by sample of the sequence
}

// A carrier has four samples a cycle; sample 0 of the sequence lies Start after
// its origin, where +U is a sine (see package composite).
func newLock(w *composite.Wave) *lock {
	l := &lock{turn: 1}
	for k := range l.axes {
		l.axes[k][0], l.axes[k][1] = math.Sincos((w.Start.Float64() + float64(k)) * math.Pi / 2)
	}
	return l
}

// place returns the place in the sequence of the first sample of a line.
func place(w *composite.Wave, n, line int) int64 {
	return w.First(int64(w.Frame+n)*int64(w.Scan.Lines) + int64(line) - 1)
}

// burst measures the middle of the burst of a line by correlation over whole
// cycles: mV peak along the axes.
func (l *lock) burst(w *composite.Wave, channel, n, line int) complex128 {
	samples, after := w.Line(channel, n, line)
	cycle := 4.0
	// SMPTE 170M table 2: from 19 cycles after 0H, 9 of them; ITU-R BT.1700 Annex
	// 1 Part B table 2: from 5.6 us, 10 cycles. Two are left out at each end.
	from, cycles := 19*cycle, 9.0
	if w.Scan.System == timing.System625 {
		from, cycles = 5.6*w.Rate.Float64()/1e6, 10
	}
	first := int(math.Ceil(from + 2*cycle - after))
	count := int(cycles-4) * 4
	if first < 0 || first+count > len(samples) {
		return 0
	}
	at := place(w, n, line) + int64(first)
	var u, v float64
	for i, x := range samples[first : first+count] {
		axes := &l.axes[(at+int64(i))&3]
		u += float64(float64(x) * axes[0])
		v += float64(float64(x) * axes[1])
	}
	return complex(u*2/float64(count), v*2/float64(count))
}

// leastBurst is the amplitude below which there is none, 2 % of the standard's.
func leastBurst(w *composite.Wave) float64 { return float64(w.Wire.Family.Burst) / 2 / 50 }

// newBurstLock measures the bursts of a frame. On 525 lines they lie at 180
// degrees. On 625 they lie at 135 with the sign of V, so that the mean of two
// successive lines lies at 180.
func newBurstLock(w *composite.Wave, channel, n int) *lock {
	l := newLock(w)
	var all []complex128
	var sum complex128
	least := leastBurst(w)
	alternates := w.Wire.Family.Lines == 625
	var before complex128
	total := 0.0
	for line := 1; line <= w.Scan.Lines; line++ {
		b := l.burst(w, channel, n, line)
		if cmplx.Abs(b) < least {
			before = 0
			continue
		}
		all = append(all, b)
		total += cmplx.Abs(b)
		switch {
		case !alternates:
			sum += b
		case before != 0:
			sum += before + b
		}
		before = b
	}
	if len(all) == 0 || sum == 0 {
		return l
	}
	l.found = true
	l.turn = -cmplx.Conj(sum) / complex(cmplx.Abs(sum), 0)
	l.peak = total / float64(len(all))
	var means [2]complex128 // of each sign of V
	for _, b := range all {
		k := 0
		if alternates && imag(b*l.turn) < 0 {
			k = 1
		}
		means[k] += b * l.turn
	}
	for _, m := range means {
		if m != 0 {
			l.degrees = append(l.degrees, degrees(m))
		}
	}
	return l
}

// degrees is the angle of a phasor, from 0 up to but not including 360, to a
// hundredth.
func degrees(v complex128) float64 {
	d := math.Round(cmplx.Phase(v)*180/math.Pi*100) / 100
	if d < 0 {
		d += 360
	}
	return d
}
