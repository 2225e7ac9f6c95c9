package crosscheck

import (
	"fmt"
	"math"
	"testing"

	"backporch/internal/composite"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A testLine is where ITU-T J.63 (1990) has the signals of its composite test
// line, in microseconds after 0H, and how long they are: Annex II, in H/128
// after a reference at 24 H/128, and Annex I, in H/32.
type testLine struct {
	wire, apart                         string
	scan                                *timing.Scan
	raster                              string
	barFrom, barTo, pulse, modulated    float64
	had, hadTolerance, wide, wideWithin float64 // half-amplitude durations
	edge, edgeTolerance                 float64 // of the bar, 10 to 90 %
	white                               float64 // mV above blanking
}

func testLines() []testLine {
	k := func(n float64) float64 { return (24 + n) * 572 / 9 / 128 }
	// Edges at 625 lines: 0.9644 T of 100 ns (calc; T: C. Poynton, Digital Video
	// and HDTV, 2003).
	return []testLine{
		{"composite-j", "yc-j", timing.Scan525i, "480i", k(0), k(36), k(44), k(51), 0.250, 0.010, 1.57, 0.05, 0.125, 0.005, 100 * ire},
		{"pal", "yc-pal", timing.Scan625i, "576i", 12, 22, 26, 32, 0.200, 0.010, 2.00, 0.06, 0.0964, 0.003, 700},
	}
}

// TestPulseBarOnWire measures the encoded line as an oscilloscope would: places,
// durations, the pulse as high as the bar, no ringing beside it, and the
// modulated pulse on a flat base line up to white. Lobes of 1 % of the bar are a
// quarter of what a K-rating of 1 % allows 2T away from the pulse (memory); those
// that there are, 0.6 %, are of the samples' own Nyquist frequency.
func TestPulseBarOnWire(t *testing.T) {
	for _, tt := range testLines() {
		t.Run(tt.wire, func(t *testing.T) {
			t.Parallel()
			r := record(t, tt.wire, tt.scan, composite.Standard, 1, on(t, "pulse-bar", tt.raster))[0]
			const line = 100
			h := figuresOf(t, tt.scan).us(t, "line period")
			at := func(us float64) float64 { return (line-1)*h + us }
			sample := func(us float64) int { return int(r.index(at(us))) }
			half, within := tt.white/2, 0.005*tt.white

			rise := r.us(r.passes(sample(tt.barFrom-0.5), half))
			assert.InDelta(t, at(tt.barFrom), rise, 0.002, "rise of the bar, us")
			fall := r.us(r.passes(sample(tt.barTo-0.5), half))
			assert.InDelta(t, at(tt.barTo), fall, 0.002, "fall of the bar, us")
			edge := (r.passes(sample(tt.barFrom-0.5), 0.9*tt.white) - r.passes(sample(tt.barFrom-0.5), 0.1*tt.white)) / r.mhz
			assert.InDelta(t, tt.edge, edge, tt.edgeTolerance, "its rise, 10 to 90 %, us")
			least, greatest := r.extremes(at(tt.barFrom+0.5), at(tt.barTo-0.5))
			assert.InDelta(t, tt.white, least, within, "top of the bar, mV")
			assert.InDelta(t, tt.white, greatest, within)

			from, to := r.passes(sample(tt.pulse-1), half), r.passes(sample(tt.pulse), half)
			assert.InDelta(t, tt.had, (to-from)/r.mhz, tt.hadTolerance, "2T pulse, us")
			assert.InDelta(t, at(tt.pulse), r.us((from+to)/2), 0.002, "its middle, us")
			_, top := r.extremes(at(tt.pulse-0.1), at(tt.pulse+0.1))
			assert.InDelta(t, tt.white, top, within, "2T pulse against bar, mV")
			for _, side := range []float64{-1, 1} {
				a, b := tt.pulse+side*(tt.had+0.05), tt.pulse+side*(tt.had+0.8)
				low, high := r.extremes(at(min(a, b)), at(max(a, b)))
				assert.InDelta(t, 0, low, 2*within, "beside the 2T pulse, mV")
				assert.InDelta(t, 0, high, 2*within, "beside the 2T pulse, mV")
			}

			low, high := r.extremes(at(tt.modulated-tt.wide), at(tt.modulated+tt.wide))
			assert.InDelta(t, 0, low, 2*within, "base line under the modulated pulse, mV")
			assert.InDelta(t, tt.white, high, 5*within, "its top, mV: the crest of a cycle may miss it")
			fsc := fscOf(tt.scan)
			middle := r.tone(at(tt.modulated-0.15), at(tt.modulated+0.15), fsc)
			assert.InDelta(t, tt.white/2, middle.amplitude, 0.01*tt.white, "subcarrier at its middle, mV")

			// The duration of the subcarrier shows best where it is alone.
			c := record(t, tt.apart, tt.scan, composite.Standard, 1, on(t, "pulse-bar", tt.raster))[1]
			us, v := c.envelope(at(tt.modulated-tt.wide), at(tt.modulated+tt.wide), fsc, middle.degrees)
			begin := pass(us, v, middle.amplitude/2)
			us, v = c.envelope(at(tt.modulated), at(tt.modulated+tt.wide), fsc, middle.degrees)
			end := pass(us, v, middle.amplitude/2)
			assert.InDelta(t, tt.wide, end-begin, tt.wideWithin, "modulated pulse, us")
			assert.InDelta(t, at(tt.modulated), (begin+end)/2, 0.01, "its middle, us")
		})
	}
}

// TestDifferentialOnWire measures gain and phase of the subcarrier on every step
// of the modulated staircase: the same on all, and as ITU-T J.63 (1990) has it
// for signal D2 (Annex II: 40 ±0.4 IRE at burst phase ±1 degree, risers of 18
// IRE; Annex I line 330: 280 mV ±2 % at 60 ±5 degrees, risers of 140 mV).
func TestDifferentialOnWire(t *testing.T) {
	for _, tt := range []struct {
		wire               string
		scan               *timing.Scan
		raster             string
		pp, within, angle  float64
		angleWithin, riser float64
		black              float64
	}{
		{"composite-m", timing.Scan525i, "480i", 40 * ire, 0.4 * ire, 180, 1, 18 * ire, 7.5 * ire},
		{"pal", timing.Scan625i, "576i", 280, 5.6, 60, 5, 140, 0},
	} {
		t.Run(tt.wire, func(t *testing.T) {
			t.Parallel()
			r := record(t, tt.wire, tt.scan, composite.Standard, 1, on(t, "staircase modulated risers=5", tt.raster))[0]
			h := figuresOf(t, tt.scan).us(t, "line period")
			fsc := fscOf(tt.scan)
			left, right := 9.2+0.05, h-1.5-0.05 // the picture of a file, nearly
			if tt.scan == timing.Scan625i {
				left = 10.5
			}
			for _, line := range []int{60, 61, 200, 201} {
				start := float64(line-1) * h
				burst := r.tone(start+5.9, start+7.4, fsc)
				// U has phase 0 at the start of the sequence; on 625 lines the angle is
				// that of +V where the burst is at 135 degrees, else its mirror image.
				sign := 1.0
				if tt.scan == timing.Scan625i && apart(burst.degrees, 0) < 0 {
					sign = -1
				}
				var first tone
				for n := range 6 {
					middle := start + left + (right-left)*(float64(n)+0.5)/6
					c := r.tone(middle-2, middle+2, fsc)
					if n == 0 {
						first = c
					}
					where := fmt.Sprintf("line %d step %d", line, n)
					require.InDelta(t, tt.pp, 2*c.amplitude, tt.within, "%s: subcarrier, mV", where)
					require.InDelta(t, 0, apart(sign*c.degrees, tt.angle), tt.angleWithin, "%s: angle", where)
					assert.InDelta(t, tt.black+float64(n)*tt.riser, c.dc, 0.001*math.Abs(tt.pp)+0.2, "%s: luma, mV", where)
					assert.InDelta(t, 1, c.amplitude/first.amplitude, 0.001, "%s: differential gain", where)
					assert.InDelta(t, 0, apart(c.degrees, first.degrees), 0.05, "%s: differential phase, degrees", where)
				}
				if tt.scan == timing.Scan525i {
					assert.InDelta(t, 0, apart(first.degrees, burst.degrees), 0.1, "line %d: against the burst", line)
				}
			}
		})
	}
}
