package crosscheck

import (
	"math"
	"testing"

	"backporch/internal/composite"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
)

// loss returns by how many dB a band limits a sine of f MHz in CB and in CR,
// measured as the power of the modulated color against that of the unlimited
// one.
func loss(t *testing.T, wire string, s *timing.Scan, band composite.Band, mhz []float64) (db [3][]float64) {
	t.Helper()
	h := figuresOf(t, s).us(t, "line period")
	for component := 1; component <= 2; component++ {
		power := func(b composite.Band) []float64 {
			o := composite.Standard
			o.Band = b
			r := record(t, wire, s, o, 1, tones(component, 0.2, mhz))[1]
			all := make([]float64, len(mhz))
			for line := 40; line < 40+len(mhz); line++ {
				zero := float64(line-1) * h
				for i := int(r.index(zero + toneFrom)); i < int(r.index(zero+toneTo)); i++ {
					all[line%len(mhz)] += r.sample(i) * r.sample(i)
				}
			}
			return all
		}
		limited, whole := power(band), power(composite.Unlimited)
		for i := range mhz {
			db[component] = append(db[component], 10*math.Log10(whole[i]/limited[i]))
		}
	}
	return db
}

// TestChromaBands holds the band limits of color to their masks, alike on both
// axes, and falling all the way.
func TestChromaBands(t *testing.T) {
	mhz := []float64{0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.3, 1.6, 2, 2.5, 3, 3.4, 3.6, 4, 4.4, 5, 5.5, 6, 6.5, 7}
	for _, tt := range []struct {
		wire string
		scan *timing.Scan
		far  float64 // MHz from which on more than 20 dB are lost
	}{
		// Wide: ITU-R BT.470-6 item 2.6 and SMPTE 170M clause 7: less than 2 dB at
		// 1.3 MHz; more than 20 dB at 3.6 MHz (525) and at 4 MHz (625).
		{"yc-m", timing.Scan525i, 3.6},
		{"yc-pal", timing.Scan625i, 4},
	} {
		wide := loss(t, tt.wire, tt.scan, composite.Wide, mhz)
		narrow := loss(t, tt.wire, tt.scan, composite.Narrow, mhz)
		for component := 1; component <= 2; component++ {
			for i, f := range mhz {
				if f > 2*fscOf(tt.scan) {
					continue // the clock cannot hold it
				}
				w, n := wide[component][i], narrow[component][i]
				name := "%s component %d at %g MHz: dB"
				assert.InDelta(t, wide[1][i], w, 0.2+0.02*math.Abs(w)+boundless(w), name, tt.wire, component, f)
				if f <= 1.3 {
					assert.Less(t, w, 2.0, name, tt.wire, component, f)
					assert.Greater(t, w, -0.1, name, tt.wire, component, f)
				}
				if f >= tt.far {
					assert.Greater(t, w, 20.0, name, tt.wire, component, f)
				}
				// Narrow: less than 2 dB at 0.4 MHz, less than 6 at 0.5, more than 6 at
				// 0.6: memory.
				switch {
				case f <= 0.4:
					assert.Less(t, n, 2.0, name, tt.wire, component, f)
					assert.Greater(t, n, -0.1, name, tt.wire, component, f)
				case f == 0.5:
					assert.Less(t, n, 6.0, name, tt.wire, component, f)
				case f >= 0.6:
					assert.Greater(t, n, 6.0, name, tt.wire, component, f)
				}
				if i > 0 && w < 20 {
					assert.Greater(t, w, wide[component][i-1]-0.05, name, tt.wire, component, f)
				}
			}
		}
		t.Logf("%s wide %.2f narrow %.2f", tt.wire, wide[1], narrow[1])
	}
}

// boundless lets two small rests far down differ.
func boundless(db float64) float64 {
	if db > 18 {
		return math.Inf(1)
	}
	return 0
}
