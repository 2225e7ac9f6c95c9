package crosscheck

import (
	"math"
	"strings"
	"testing"

	"backporch/internal/composite"
	"backporch/internal/testtable"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/dsp/fourier"
)

// A spectrum is the amplitude of the frequencies in a stretch of signal under a
// Hann window, with zeros behind it so that a peak is found between the lines.
type spectrum struct {
	mhz float64 // from line to line
	v   []float64
}

// spectrumOf transforms the samples from from to to (us) with gonum's FFT, less
// their mean.
func spectrumOf(r tape, from, to float64) spectrum {
	const size = 1 << 14
	first, last := int(math.Ceil(r.index(from))), int(math.Floor(r.index(to)))
	n := last - first + 1
	mean, weight := 0.0, 0.0
	window := func(i int) float64 { return 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n)) }
	for i := range n {
		mean += window(i) * r.sample(first+i)
		weight += window(i)
	}
	mean /= weight
	x := make([]float64, size)
	for i := range n {
		x[i] = window(i) * (r.sample(first+i) - mean)
	}
	s := spectrum{mhz: r.mhz / size}
	for _, c := range fourier.NewFFT(size).Coefficients(nil, x) {
		s.v = append(s.v, 2*math.Hypot(real(c), imag(c))/weight)
	}
	return s
}

// peak returns the greatest amplitude between two frequencies, and where it is.
func (s spectrum) peak(from, to float64) (mhz, amplitude float64) {
	for i, v := range s.v {
		if f := float64(i) * s.mhz; f >= from && f <= to && v > amplitude {
			mhz, amplitude = f, v
		}
	}
	return mhz, amplitude
}

// tones is a picture of sines that begin at 12 us, each line with its own: the
// line modulo the length of mhz selects the frequency. They are on one of Y, CB
// and CR with that amplitude; Y stands on 0.5.
func tones(component int, amplitude float64, mhz []float64) func(*timing.Raster) *frame.Frame {
	return func(r *timing.Raster) *frame.Frame {
		return painted(r, func(line int, us float64) color {
			c := color{0.5}
			c[component] += amplitude * math.Sin(2*math.Pi*mhz[line%len(mhz)]*(us-12))
			return c
		})
	}
}

// toneFrom and toneTo lie within the picture of both systems, away from its
// edges.
const toneFrom, toneTo = 14.0, 58.0

// TestLumaSpectrum: sines of the frequencies of ITU-T J.63 come out at their
// frequency and amplitude on every wire, and nothing else does.
func TestLumaSpectrum(t *testing.T) {
	for _, tt := range []struct {
		wire, signal string
		scan         *timing.Scan
		white, black float64
	}{
		{"composite-m", "525 NTC-7", timing.Scan525i, 100 * ire, 7.5 * ire},
		{"yc-j", "525 NTC-7", timing.Scan525i, 100 * ire, 0},
		{"pal", "625 CCIR 18", timing.Scan625i, 700, 0},
		{"component-n10", "625 CCIR 18", timing.Scan625i, 700, 0},
	} {
		var mhz []float64
		for _, row := range testtable.Table(t, "multiburst.csv") {
			if f := row.Text(t, "freq_mhz"); f != "" && strings.HasPrefix(row.Text(t, "signal"), tt.signal) {
				mhz = append(mhz, row.Float(t, "freq_mhz"))
			}
		}
		require.Len(t, mhz, 6)
		h := figuresOf(t, tt.scan).us(t, "line period")
		r := record(t, tt.wire, tt.scan, composite.Standard, 1, tones(0, 0.25, mhz))[0]
		for _, base := range []int{30, 60, 402} {
			for line := base; line < base+len(mhz); line++ {
				f := mhz[line%len(mhz)]
				zero := float64(line-1) * h
				s := spectrumOf(r, zero+toneFrom, zero+toneTo)
				at, amplitude := s.peak(0.2, r.mhz/2)
				assert.InDelta(t, f, at, 0.002, "%s line %d: MHz", tt.wire, line)
				assert.InEpsilon(t, 0.25*(tt.white-tt.black), amplitude, 0.001, "%s line %d: amplitude of %g MHz", tt.wire, line, f)
				for _, side := range [][2]float64{{0.2, f - 0.25}, {f + 0.25, r.mhz / 2}} {
					_, rest := s.peak(side[0], side[1])
					assert.Less(t, rest, 0.001*amplitude, "%s line %d: besides %g MHz", tt.wire, line, f)
				}
			}
		}
	}
}

// TestMultiburstPackets lays the packets of J.63 out at their times and finds
// each in the signal: when it begins, its frequency and its amplitude.
func TestMultiburstPackets(t *testing.T) {
	for _, tt := range []struct {
		wire, signal string
		scan         *timing.Scan
		scale        float64 // mV of the unit of the table
	}{
		{"composite-j", "525 NTC-7", timing.Scan525i, ire},
		{"pal", "625 CCIR 18", timing.Scan625i, 1},
	} {
		white := tt.scale * 100
		if tt.scan.System == timing.System625 {
			white = 700
		}
		type packet struct{ mhz, start, long, pp float64 }
		var all []packet
		var pedestal float64
		number := func(s string) float64 {
			var row = testtable.Row{"x": strings.Fields(s)[0]}
			return row.Float(t, "x")
		}
		for _, row := range testtable.Table(t, "multiburst.csv") {
			if !strings.HasPrefix(row.Text(t, "signal"), tt.signal) || row.Text(t, "burst") == "flag" {
				continue
			}
			cycles := row.Float(t, "whole_cycles")
			f := row.Float(t, "freq_mhz")
			all = append(all, packet{f, row.Float(t, "start_us"), cycles / f, number(row.Text(t, "pp")) * tt.scale})
			pedestal = number(row.Text(t, "pedestal")) * tt.scale
		}
		require.Len(t, all, 6)
		h := figuresOf(t, tt.scan).us(t, "line period")
		r := record(t, tt.wire, tt.scan, composite.Standard, 1, func(l *timing.Raster) *frame.Frame {
			return painted(l, func(_ int, us float64) color {
				v := pedestal
				for _, p := range all {
					if us >= p.start && us < p.start+p.long {
						v += p.pp / 2 * math.Sin(2*math.Pi*p.mhz*(us-p.start))
					}
				}
				return color{v / white}
			})
		})[0]
		for _, line := range []int{50, 51, 400, 401} {
			zero := float64(line-1) * h
			for _, p := range all {
				s := spectrumOf(r, zero+p.start, zero+p.start+p.long)
				// Some cycles under a window are a broad peak, and that of its mirror image
				// leans on it.
				at, amplitude := s.peak(p.mhz/2, r.mhz/2)
				wide := 0.05 / p.long
				if p.long*p.mhz < 4 {
					wide = 0.6 / p.long
				}
				assert.InDelta(t, p.mhz, at, wide, "%s line %d: MHz", tt.wire, line)
				assert.InEpsilon(t, p.pp/2, amplitude, 0.06, "%s line %d: amplitude of %g MHz", tt.wire, line, p.mhz)
				// By least squares its first cycle begins where it should.
				one := r.tone(zero+p.start, zero+p.start+p.long, p.mhz)
				assert.InDelta(t, p.pp/2, one.amplitude, 0.03*p.pp/2, "%s line %d: amplitude of %g MHz", tt.wire, line, p.mhz)
				late := -apart(one.degrees, -360*cycles(p.mhz*(zero+p.start))) / 360 / p.mhz
				assert.InDelta(t, 0, late, 3*ns, "%s line %d: %g MHz begins, us", tt.wire, line, p.mhz)
			}
		}
	}
}

// TestChromaSidebands: a sine in a color difference comes out as two sidebands
// of the subcarrier, fsc-f and fsc+f, of equal height, with no carrier.
func TestChromaSidebands(t *testing.T) {
	mhz := []float64{0.3, 0.6, 1.3, 2}
	for _, tt := range []struct {
		wire string
		scan *timing.Scan
		gain [3]float64 // mV of subcarrier, peak, to a CB or CR of 1
	}{
		// KB and KR scale CB and CR: B-Y is 1.772 CB, R-Y 1.402 CR (ITU-R BT.601-5
		// clause 3.5.2); U and V factors SMPTE 170M clause A.3, ITU-R BT.470-6 item 2.5.
		{"composite-j", timing.Scan525i, [3]float64{0, 1.772 * 0.492111 * 100 * ire, 1.402 * 0.877283 * 100 * ire}},
		{"yc-m", timing.Scan525i, [3]float64{0, 1.772 * 0.492111 * 92.5 * ire, 1.402 * 0.877283 * 92.5 * ire}},
		{"pal", timing.Scan625i, [3]float64{0, 1.772 * 0.493 * 700, 1.402 * 0.877 * 700}},
	} {
		h := figuresOf(t, tt.scan).us(t, "line period")
		fsc := fscOf(tt.scan)
		for _, band := range []composite.Band{composite.Wide, composite.Unlimited} {
			for component := 1; component <= 2; component++ {
				o := composite.Standard
				o.Band = band
				tapes := record(t, tt.wire, tt.scan, o, 1, tones(component, 0.2, mhz))
				r := tapes[len(tapes)-1]
				for line := 101; line <= 108; line++ {
					f := mhz[line%len(mhz)]
					zero := float64(line-1) * h
					s := spectrumOf(r, zero+toneFrom, zero+toneTo)
					low, a := s.peak(fsc-f-0.1, fsc-f+0.1)
					high, b := s.peak(fsc+f-0.1, fsc+f+0.1)
					assert.InDelta(t, fsc-f, low, 0.002, "%s line %d: lower sideband, MHz", tt.wire, line)
					assert.InDelta(t, fsc+f, high, 0.002, "%s line %d: upper sideband, MHz", tt.wire, line)
					assert.InEpsilon(t, a, b, 0.002, "%s line %d: sidebands of %g MHz", tt.wire, line, f)
					_, carrier := s.peak(fsc-0.05, fsc+0.05)
					assert.Less(t, carrier, 0.002*0.1*tt.gain[component], "%s line %d: carrier", tt.wire, line)
					whole := 0.2 * tt.gain[component] / 2
					db := 20 * math.Log10(a/whole)
					switch {
					case band == composite.Unlimited:
						assert.InDelta(t, 0, db, 0.01, "%s line %d: %g MHz unlimited, dB", tt.wire, line, f)
					case f <= 1.3:
						// ITU-R BT.470-6 item 2.6: less than 2 dB at 1.3 MHz.
						assert.Greater(t, db, -2.0, "%s line %d: %g MHz, dB", tt.wire, line, f)
						assert.Less(t, db, 0.05, "%s line %d: %g MHz, dB", tt.wire, line, f)
					}
				}
			}
		}
	}
}
