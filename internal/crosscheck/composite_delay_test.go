package crosscheck

import (
	"math"
	"testing"

	"backporch/internal/composite"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// step is a raised cosine from 0 to 1, half-way at 0, that wide.
func step(us, width float64) float64 {
	switch {
	case us <= -width/2:
		return 0
	case us >= width/2:
		return 1
	}
	return 0.5 + 0.5*math.Sin(math.Pi*us/width)
}

// TestEdgesCoincide: an edge drawn at one time in luma and in both color
// differences comes out at that time after 0H, within a nanosecond, in luma and
// in color, on lines all over the frame. A row laid one sample off, or a filter
// with a delay, would be 56 ns or more late.
func TestEdgesCoincide(t *testing.T) {
	const width = 0.5926 // us
	for _, tt := range []struct {
		wire string
		scan *timing.Scan
		band composite.Band
	}{
		{"yc-m", timing.Scan525i, composite.Wide}, {"yc-m", timing.Scan525i, composite.Narrow},
		{"yc-pal", timing.Scan625i, composite.Wide}, {"yc-pal", timing.Scan625i, composite.Unlimited},
		{"yc-j", timing.Scan262c227_33, composite.Wide}, {"yc-j", timing.Scan262c228, composite.Wide},
		{"yc-pal", timing.Scan313, composite.Wide},
	} {
		w := composite.Lookup(tt.wire)
		frames := w.Sequence(tt.scan)
		h, fsc := tt.scan.Cycles.Float64()/fscOf(tt.scan), fscOf(tt.scan)
		// Down each line the edge moves on by a little, so that it meets the
		// samples everywhere.
		at := func(line int) float64 { return 27 + 0.0123*float64(line%100) }
		o := composite.Standard
		o.Band = tt.band
		r := record(t, tt.wire, tt.scan, o, frames, func(l *timing.Raster) *frame.Frame {
			return painted(l, func(line int, us float64) color {
				s := step(us-at(line), width)
				return color{0.8 * s, 0.3 * s, -0.2 * s}
			})
		})
		checked := 0
		for n := range frames {
			for line := 25; line <= tt.scan.Lines; line += 7 {
				zero := float64(n*tt.scan.Lines+line-1) * h
				full := r[1].tone(zero+33, zero+36, fsc)
				if r[0].sample(int(r[0].index(zero+35))) < 100 || math.Abs(full.dc) > 0.01 {
					continue // the vertical interval
				}
				// Luma, over its setup.
				low := r[0].sample(int(r[0].index(zero + 20)))
				high := r[0].sample(int(r[0].index(zero + 35)))
				luma := r[0].passed(int(r[0].index(zero+29)), (low+high)/2)
				require.InDelta(t, at(line), r[0].us(luma)-zero, 1*ns, "%s on %s frame %d line %d: luma, us", tt.wire, tt.scan.Name, n, line)
				// Color: its envelope.
				us, v := r[1].fineEnvelope(zero+25, zero+31, fsc, full.degrees)
				color := pass(us, v, full.amplitude/2)
				require.InDelta(t, at(line), color-zero, 1*ns, "%s on %s frame %d line %d: color, us", tt.wire, tt.scan.Name, n, line)
				checked++
			}
		}
		assert.Greater(t, checked, frames*30)
	}
}

// fineEnvelope is envelope with a cubic through every four of its points: they
// are up to 113 ns apart, and a straight line would be nanoseconds off.
func (r tape) fineEnvelope(from, to, fsc, degrees float64) (us, v []float64) {
	us, v = r.envelope(from, to, fsc, degrees)
	var ts, es []float64
	for i := 1; i+2 < len(us); i++ {
		for k := range 16 {
			t := us[i] + (us[i+1]-us[i])*float64(k)/16
			sum := 0.0
			for a := i - 1; a <= i+2; a++ {
				w := v[a]
				for b := i - 1; b <= i+2; b++ {
					if b != a {
						w *= (t - us[b]) / (us[a] - us[b])
					}
				}
				sum += w
			}
			ts, es = append(ts, t), append(es, sum)
		}
	}
	return ts, es
}

// TestImpulse: one sample of color comes out symmetrical about itself through
// every filter, so that nothing of any frequency is late; and its sum is what it
// was, so that flat color keeps its level.
func TestImpulse(t *testing.T) {
	for _, tt := range []struct {
		wire string
		scan *timing.Scan
	}{{"yc-j", timing.Scan525i}, {"yc-pal", timing.Scan625i}} {
		for _, band := range []composite.Band{composite.Wide, composite.Narrow, composite.Unlimited} {
			for component := 1; component <= 2; component++ {
				h := impulse(t, tt.wire, tt.scan, band, component)
				mid := len(h) / 2
				sum := h[mid]
				for k := 1; k <= mid; k++ {
					assert.InDelta(t, h[mid-k], h[mid+k], 1e-5*h[mid], "%s band %d: %d samples to each side", tt.wire, band, k)
					sum += h[mid-k] + h[mid+k]
				}
				assert.InDelta(t, 1, sum, 1e-5, "%s band %d component %d", tt.wire, band, component)
				if band == composite.Unlimited {
					assert.InDelta(t, 1, h[mid], 1e-5)
				}
				assert.InDelta(t, 0, h[0], 1e-6, "the filter is shorter than what was looked at")
			}
		}
	}
}

// impulse returns what one sample of CB or CR becomes through a filter, from 90
// samples before it to 90 after, as shares of its level: it is read off the
// signal by dividing by the carrier.
func impulse(t testing.TB, wire string, s *timing.Scan, band composite.Band, component int) []float64 {
	t.Helper()
	const reach, at, line = 90, 400, 51
	o := composite.Standard
	o.Band = band
	var places []float64
	r := record(t, wire, s, o, 1, func(l *timing.Raster) *frame.Frame {
		g := geometryOf(l)
		for j, x := range l.Lines {
			if x.Number == line {
				c := l.Comb(j)
				for i := range l.Width {
					places = append(places, c.At(i)/g.heights()+(g.left+g.right)/2)
				}
			}
		}
		f := flat(0.5, 0, 0)(l)
		row := make([]float64, l.Width)
		row[at] = 0.5
		f.Planes[component].Rows[0] = row
		return f
	})[1]
	zero := float64(line-1) * s.Cycles.Float64() / fscOf(s)
	mid := int(math.Round(r.index(zero + places[at])))
	require.InDelta(t, places[at], r.us(float64(mid))-zero, 0.01*ns, "the sample lies on one of the signal")
	var h []float64
	for i := mid - reach; i <= mid+reach; i++ {
		degrees := 360 * cycles(fscOf(s)*r.us(float64(i)))
		carrier := twinCarrier(s, line, 0, degrees)
		h = append(h, r.sample(i)/(0.5*carrier[component]))
	}
	return h
}
