package crosscheck

import (
	"math"
	"strings"
	"testing"

	"backporch/internal/composite"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bursts measures the burst of every line of a recording, by least squares in
// the middle five cycles of where it may be.
func bursts(r tape, s *timing.Scan, h float64, lines int) []tone {
	all := make([]tone, lines)
	for i := range all {
		from := float64(i)*h + 6.1
		all[i] = r.tone(from, from+5/fscOf(s), fscOf(s))
	}
	return all
}

// bruch returns which of the four sequences of burst blanking holds around a
// line of frame n (0 to 3): I goes before field 1 and 5, II before 2 and 6, III
// before 3 and 7, IV before 4 and 8 (ITU-R BT.1700 Annex 1 Part B figure 8).
func bruch(n, line int) string {
	if line > 400 {
		n++ // the end of a frame goes before the next field 1
	}
	if line > 160 && line <= 400 {
		return [2]string{"II", "IV"}[n%2]
	}
	return [2]string{"I", "III"}[n%2]
}

// subcarriers are the wires with a burst, and the channel that has it.
var subcarriers = []struct {
	wire    string
	scan    *timing.Scan
	channel int
}{
	{"composite-m", timing.Scan525i, 0}, {"composite-j", timing.Scan525i, 0}, {"pal", timing.Scan625i, 0},
	{"yc-m", timing.Scan525i, 1}, {"yc-pal", timing.Scan625i, 1},
}

// TestBurst holds the burst of every line of the sequence of four or eight
// fields to the line tables: on which lines it is, its amplitude and phase.
func TestBurst(t *testing.T) {
	for _, tt := range subcarriers {
		t.Run(tt.wire, func(t *testing.T) {
			t.Parallel()
			h := figuresOf(t, tt.scan).us(t, "line period")
			frames := 2
			if tt.scan.System == timing.System625 {
				frames = 4
			}
			r := record(t, tt.wire, tt.scan, composite.Standard, frames, black)[tt.channel]
			all := bursts(r, tt.scan, h, frames*tt.scan.Lines)
			seen := 0
			for n := range frames {
				for _, row := range linesOf(t, tt.scan) {
					line := row.Int(t, "line")
					b := all[n*tt.scan.Lines+line-1]
					amplitude, degrees, want := 20*ire, 180.0, false
					if tt.scan.System == timing.System525 {
						// 40 IRE peak to peak at 180 degrees: SMPTE 170M table 1 and clause 8.2.
						want = row.Text(t, "burst") == "yes"
					} else {
						// 300 mV at 135 degrees; in fields 1 and 2 of every four on odd lines
						// with +V, in 3 and 4 the other way: BT.470-6 items 2.15 and 2.16.
						blanked := strings.Split(row.Text(t, "burst_blanked_in_sequence"), ",")
						want = !contains(blanked, bruch(n, line))
						amplitude, degrees = 150, 135
						if (line%2 == 1) != (n%2 == 0) {
							degrees = 225
						}
					}
					if !want {
						require.InDelta(t, 0, b.amplitude, 0.01, "frame %d line %d has a burst", n, line)
						continue
					}
					seen++
					require.InDelta(t, amplitude, b.amplitude, 0.01, "frame %d line %d: burst, mV", n, line)
					require.InDelta(t, 0, apart(b.degrees, degrees), 0.01, "frame %d line %d: burst, degrees", n, line)
				}
			}
			// 525: all but lines 1-9 and 264-272. 625: all but nine lines a field.
			assert.Equal(t, frames*(tt.scan.Lines-18), seen)
		})
	}
}

func contains(all []string, s string) bool {
	for _, x := range all {
		if strings.TrimSpace(x) == s {
			return true
		}
	}
	return false
}

// TestBurstEnvelope measures when the burst begins, how long it lasts and how
// fast it grows, on the lines of a frame of Y/C, where nothing is near it.
func TestBurstEnvelope(t *testing.T) {
	for _, tt := range []struct {
		wire                   string
		scan                   *timing.Scan
		start, startTolerance  float64 // us
		length                 float64 // cycles
		rise, riseLess, riseUp float64 // us
	}{
		// SMPTE 170M table 2: 19 cycles, 9 +-1, 300 +200 -100 ns. Half a cycle is
		// how far apart the half-way point of the envelope and the start that 170M
		// counts, a zero crossing, may lie.
		{"yc-m", timing.Scan525i, 19 / (5 * 63.0 / 88), 0.5 / (5 * 63.0 / 88), 9, 0.300, 0.100, 0.200},
		// ITU-R BT.1700 Annex 1 Part B table 2: 5.6 +-0.1 us, 10 +-1 cycles. The
		// rise of 300 ns is memory.
		{"yc-pal", timing.Scan625i, 5.6, 0.1, 10, 0.300, 0.100, 0.100},
	} {
		t.Run(tt.wire, func(t *testing.T) {
			fsc := fscOf(tt.scan)
			h := figuresOf(t, tt.scan).us(t, "line period")
			r := record(t, tt.wire, tt.scan, composite.Standard, 1, black)[1]
			all := bursts(r, tt.scan, h, tt.scan.Lines)
			for i, b := range all {
				if b.amplitude < 1 {
					continue
				}
				zero := float64(i) * h
				us, v := r.envelope(zero+4.5, zero+6.5, fsc, b.degrees)
				start := pass(us, v, b.amplitude/2)
				rise := pass(us, v, 0.9*b.amplitude) - pass(us, v, 0.1*b.amplitude)
				us, v = r.envelope(zero+7, zero+9, fsc, b.degrees)
				end := pass(us, v, b.amplitude/2)
				fall := pass(us, v, 0.1*b.amplitude) - pass(us, v, 0.9*b.amplitude)
				require.InDelta(t, tt.start, start-zero, tt.startTolerance, "line %d: burst begins, us", i+1)
				require.InDelta(t, tt.length, (end-start)*fsc, 1, "line %d: burst, cycles", i+1)
				require.GreaterOrEqual(t, rise, tt.rise-tt.riseLess, "line %d: rise, us", i+1)
				require.LessOrEqual(t, rise, tt.rise+tt.riseUp, "line %d: rise, us", i+1)
				require.InDelta(t, rise, fall, 20*ns, "line %d: fall, us", i+1)
				if i+1 == 100 {
					t.Logf("line 100: %.4f us, %.3f cycles, rise %.0f ns", start-zero, (end-start)*fsc, rise*1000)
				}
			}
		})
	}
}

// TestSwingingBurst: with Bruch blanking each field's first and last burst have
// the same sign of V, +135 degrees, so that the phase detector of a set finds
// every vertical interval alike.
func TestSwingingBurst(t *testing.T) {
	r := record(t, "pal", timing.Scan625i, composite.Standard, 4, black)[0]
	all := bursts(r, timing.Scan625i, 64, 2500)
	gaps := 0
	for i, b := range all {
		next := all[(i+1)%len(all)]
		switch {
		case b.amplitude > 1 && next.amplitude < 1:
			gaps++
			assert.InDelta(t, 135, b.degrees, 0.01, "the last burst, line %d of the sequence", i+1)
			gone := 0
			for all[(i+1+gone)%len(all)].amplitude < 1 {
				gone++
			}
			assert.Equal(t, 9, gone, "lines without burst after line %d", i+1)
		case b.amplitude < 1 && next.amplitude > 1:
			assert.InDelta(t, 135, next.degrees, 0.01, "the first burst, line %d of the sequence", i+2)
		case b.amplitude > 1:
			assert.InDelta(t, 90, math.Abs(apart(b.degrees, next.degrees)), 0.01, "lines %d and next", i+1)
		}
	}
	assert.Equal(t, 8, gaps)
}

// TestSCH measures the phase between subcarrier and sync on the samples.
func TestSCH(t *testing.T) {
	t.Run("525", func(t *testing.T) {
		// SMPTE 170M clause 13.2: a sine in phase with the burst goes through zero
		// at the half-way point of the leading edge, in turn up and down (0.4 ns of the reader are 0.5 degrees); on line 10
		// of field I, where the burst starts, up.
		for _, wire := range []string{"composite-m", "composite-j"} {
			r := record(t, wire, timing.Scan525i, composite.Standard, 2, black)[0]
			checked := 0
			for _, p := range r.pulses(-40 * ire) {
				if p.kind() != "H" {
					continue
				}
				b := r.tone(p.at+6.1, p.at+7.5, fscOf(timing.Scan525i))
				if b.amplitude < 1 {
					continue
				}
				n := int(math.Round(p.at / (572.0 / 9))) // lines from line 1 of field I
				phase := 360*cycles(fscOf(timing.Scan525i)*p.at) + b.degrees
				up := n%2 == 9%2
				if up {
					require.InDelta(t, 0, apart(phase, 0), 1, "%s line %d: SC/H, degrees", wire, n+1)
				} else {
					require.InDelta(t, 0, apart(phase, 180), 1, "%s line %d: SC/H, degrees", wire, n+1)
				}
				// The burst itself: at 19 cycles and a quarter it is at its first crest.
				crest := r.at(r.index(p.at + 21.25/fscOf(timing.Scan525i)))
				require.Equal(t, up, crest > 0, "%s line %d", wire, n+1)
				checked++
			}
			assert.Equal(t, 2*507, checked)
		}
	})
	t.Run("625", func(t *testing.T) {
		// EBU Tech 3280-E clause 1.1.1: +U, carried on to 0H of line 1 of field 1,
		// is at 0. +U lies midway between the bursts of two lines.
		r := record(t, "pal", timing.Scan625i, composite.Standard, 4, black)[0]
		pulses := r.pulses(-300)
		require.Equal(t, "BROAD", pulses[0].kind())
		all := bursts(r, timing.Scan625i, 64, 2500)
		u := (all[8].degrees+all[9].degrees)/2 - 180
		assert.InDelta(t, 0, apart(360*cycles(fscOf(timing.Scan625i)*pulses[0].at)+u, 0), 1, "SC/H, degrees")
	})
}
