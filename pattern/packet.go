package pattern

import (
	"fmt"
	"iter"
	"math"
	"strconv"

	"backporch/colorimetry"
	"backporch/timing"
)

// nyquistShare is how much of half the clock the frequency patterns use where
// edges are shaped: the filter behind a converter needs the rest (5.74 of 6.75
// MHz at 13.5 MHz, the end of its pass band; common practice). Hard-edged
// rasters have no such filter and are used up to half the clock.
const nyquistShare = 0.85

// A packet is a sine between X0 and X1, of which it has a whole number of
// cycles and which it enters with phase zero, rising. Its envelope is gated by
// a raised cosine Gate wide, centered on X0 and on X1: there it is at half its
// height, so start and length are those of the documents. The amplitude is
// full, exactly, from X0+Gate/2 to X1-Gate/2. Gate 0 cuts at X0 and X1.
type packet struct {
	X0, X1 float64 // places of a Comb
	Cycles float64 // in a picture height of a Comb
	Peak   float64 // half of its height, in parts of white
	Gate   float64
}

// turn returns the sine of a number of turns.
func turn(cycles float64) float64 {
	return math.Sin(2 * math.Pi * (cycles - math.Floor(cycles)))
}

// gate is the envelope at x.
func (p packet) gate(x float64) float64 {
	if p.Gate == 0 {
		if x < p.X0 || x > p.X1 {
			return 0
		}
		return 1
	}
	return float64(rise((x-p.X0)/p.Gate+0.5) * rise((p.X1-x)/p.Gate+0.5))
}

// places returns the samples of a row of n that the envelope covers, with their
// places.
func (p packet) places(x timing.Comb, n int) iter.Seq2[int, float64] {
	return func(yield func(int, float64) bool) {
		for i := firstAt(x, p.X0-p.Gate/2, n); i < n; i++ {
			if at := x.At(i); at > p.X1+p.Gate/2 || !yield(i, at) {
				return
			}
		}
	}
}

// add adds the packet to a row. The phase is that of each place by itself.
func (p packet) add(dst []float64, x timing.Comb) {
	for i, at := range p.places(x, len(dst)) {
		dst[i] += float64(float64(p.Peak*p.gate(at)) * turn(float64((at-p.X0)*p.Cycles)))
	}
}

// perMHz is how many cycles of 1 MHz are in a picture height of a Comb.
func (v View) perMHz() float64 {
	return 1 / v.Shown.Scan.System.HeightsPerMicrosecond().Float64()
}

// packet returns the packet of a frequency in MHz that begins at x0.
func (v View) packet(x0, mhz float64, cycles int, peak float64) packet {
	k := float64(mhz * v.perMHz())
	return packet{X0: x0, X1: x0 + float64(cycles)/k, Cycles: k, Peak: peak, Gate: v.Edge[0]}
}

// patch names the part of a packet that is at full amplitude. Level is what
// the sine stands on.
func (p packet) patch(name string, v View, top, bottom, level, mhz float64) Patch {
	q := area(name, p.X0+p.Gate/2, top, p.X1-p.Gate/2, bottom, colorimetry.Gray(level-p.Peak), "")
	q.Kind, q.Hz, q.To = Packet, mhz*1e6, colorimetry.Gray(level+p.Peak)
	return v.fine(q, level)
}

// fine returns the patch itself if the shown raster holds its frequency, else
// one that is absent, of that level.
func (v View) fine(p Patch, level float64) Patch {
	if why := v.tooFine(p.Hz / 1e6); why != "" {
		p.Absent, p.Way = why, "a raster with a faster clock holds it"
		p.Want, p.To = colorimetry.Gray(level), colorimetry.Gray(level)
	}
	return p
}

// limit returns the highest frequency, in MHz, that packets may have.
func (v View) limit() float64 {
	n := v.Shown.Nyquist().Float64()
	if v.Edge[0] > 0 {
		return nyquistShare * n
	}
	return n
}

// tooFine says why the shown raster does not hold a frequency, "" if it does.
// A hard-edged one does not hold half its clock itself: all its samples could
// fall on the zeros.
func (v View) tooFine(mhz float64) string {
	const rounding = 1e-9
	hard := v.Edge[0] == 0
	if mhz <= v.limit()*(1-rounding) || !hard && mhz <= v.limit()*(1+rounding) {
		return ""
	}
	switch off := mhz - v.limit(); {
	case math.Abs(off) <= rounding*mhz:
		return "not below " + v.limitText()
	case off < 0.01: // which two decimals would hide
		return fmt.Sprintf("above %.4f MHz, %s", v.limit(), v.limitSource())
	}
	return "above " + v.limitText()
}

// limitText says what the limit is and where it comes from.
func (v View) limitText() string {
	return fmt.Sprintf("%.2f MHz, %s", v.limit(), v.limitSource())
}

func (v View) limitSource() string {
	share := fmt.Sprintf("%v of ", nyquistShare)
	if v.Edge[0] == 0 {
		share = ""
	}
	return fmt.Sprintf("%shalf the clock of %.4g MHz", share, v.Shown.Clock.Float64()/1e6)
}

// mhzName is a frequency as names of patches have it.
func mhzName(mhz float64) string { return strconv.FormatFloat(mhz, 'f', -1, 64) + " MHz" }

// swing checks that a sine of height pp about a level stays between black and
// white, so that every coding holds it. Both are in parts of white.
func swing(option string, level, pp float64) error {
	if most := 2 * min(level, 1-level); pp > most+1e-9 {
		return fmt.Errorf("%s: %.4g %% about %.4g %% goes beyond black or white; use at most %.4g %% there", option, 100*pp, 100*level, math.Floor(most*1e4)/100)
	}
	return nil
}

// overlay adds to the luma of bands, from top to bottom. Both lie between
// rows; chroma is left alone. What is added depends only on the Comb.
func overlay(bands []Band, top, bottom float64, add func(dst []float64, x timing.Comb)) []Band {
	return overlayRows(bands, top, bottom, true, func(dst []float64, x timing.Comb, _ timing.Span, _ int) { add(dst, x) })
}

// overlayRows is overlay for what may depend on the row and on field time,
// unless it is uniform.
func overlayRows(bands []Band, top, bottom float64, uniform bool, add func(dst []float64, x timing.Comb, y timing.Span, t int)) []Band {
	return overBands(bands, top, bottom, func(b Band) Band {
		return Band{Bottom: b.Bottom, Uniform: b.Uniform && uniform, Paint: func(dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, t int) {
			b.Paint(dst, c, x, y, t)
			if c == colorimetry.Y {
				add(dst, x, y, t)
			}
		}}
	})
}
