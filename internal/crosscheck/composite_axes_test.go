package crosscheck

import (
	"math"
	"testing"

	"backporch/internal/composite"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestAxes525: samples are taken on the I and Q axes, and word 0 of line 10 of
// color frame A on +I (SMPTE 244M clause 4.1 and figures 3 and 4). The first
// sample of a recording is word 785. Even lines of frame A are like line 10.
func TestAxes525(t *testing.T) {
	word := func(line, n int) int { return (line-1)*910 + n + 910 - 785 }
	for axis, degrees := range []float64{123, 33} { // +I, +Q: SMPTE 244M clause 4.1.2
		// 20 IRE along the axis; U and V as in SMPTE 170M clause A.3, CB and CR as in
		// ITU-R BT.601-5 clause 3.5.2.
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		cb, cr := 0.2*cos/0.492111/1.772, 0.2*sin/0.877283/1.402
		r := record(t, "composite-j", timing.Scan525i, composite.Standard, 2, flat(0.5, cb, cr))[0]
		for _, line := range []int{30, 31, 250, 525 + 30, 525 + 401} {
			sign := 1.0
			if line%2 != 0 { // 227.5 cycles a line: the next is opposite
				sign = -1
			}
			// From word 0 on: +I, +Q, -I, -Q.
			for k, want := range [2][4]float64{{1, 0, -1, 0}, {0, 1, 0, -1}}[axis] {
				got := r.sample(word(line, 400+k))/ire - 50
				require.InDelta(t, sign*20*want, got, 0.01, "axis %d line %d word %d", axis, line, 400+k)
			}
		}
	}
}

// TestAxes625: samples lie at 45, 135, 225 and 315 degrees from +U, so that the
// burst of ±135 degrees is sampled on its peaks and its zero crossings: codes 256
// and 256 ±126 (EBU Tech 3280-E chapter 1; 0.84 codes a mV of table 1).
func TestAxes625(t *testing.T) {
	r := record(t, "pal", timing.Scan625i, composite.Standard, 4, black)[0]
	seen := map[int]int{}
	for line := range 2500 {
		from := int(math.Ceil(r.index(float64(line)*64 + 6.1)))
		if b := r.tone(float64(line)*64+6.1, float64(line)*64+7.2, fscOf(timing.Scan625i)); b.amplitude < 1 {
			continue
		}
		for i := from; i < from+4; i++ {
			seen[int(math.Floor(256+0.84*r.sample(i)+0.5))]++
		}
	}
	bursts := 4 * (625 - 18)
	assert.Equal(t, map[int]int{256: 2 * bursts, 256 + 126: bursts, 256 - 126: bursts}, seen)
}

// TestFirstSamples625: 0H of line 1 of field 1 lies midway between two samples,
// and the lattice slips 4/625 of a sample a line (EBU Tech 3280-E clause 1.1):
// half-way points of leading edges say so.
func TestFirstSamples625(t *testing.T) {
	r := record(t, "pal", timing.Scan625i, composite.Standard, 4, black)[0]
	for _, p := range r.pulses(-300) {
		line := math.Round(p.at / 64)
		if p.kind() != "H" || math.Abs(p.at-line*64) > 1 {
			continue
		}
		want := cycles(-0.5 + line*(1135+4.0/625))
		got := cycles(r.index(p.at))
		require.InDelta(t, 0, math.Mod(got-want+1.5, 1)-0.5, 0.01, "line %g of the sequence: samples after a sample", line+1)
	}
}
