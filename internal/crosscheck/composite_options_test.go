package crosscheck

import (
	"testing"

	"backporch/internal/composite"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
)

// TestBurstAndChroma: the amplitudes of burst and color are settable, each
// without the other, and neither moves a phase, sync or luma.
func TestBurstAndChroma(t *testing.T) {
	for _, tt := range []struct {
		wire    string
		scan    *timing.Scan
		burst   float64 // mV peak
		degrees float64 // of the burst on line 101
	}{
		{"composite-m", timing.Scan525i, 20 * ire, 180},
		{"yc-j", timing.Scan525i, 20 * ire, 180},
		{"composite-j", timing.Scan262c227_33, 20 * ire, 180},
		{"pal", timing.Scan625i, 150, 135},
		{"yc-pal", timing.Scan312, 150, 135},
	} {
		fsc := fscOf(tt.scan)
		h := tt.scan.Cycles.Float64() / fsc
		zero := 100 * h
		read := func(burst, gain float64) (y tape, b, c tone) {
			o := composite.Options{Band: composite.Wide, Burst: burst, ChromaGain: gain}
			tapes := record(t, tt.wire, tt.scan, o, 1, flat(0.4, 0.2, -0.15))
			r := tapes[len(tapes)-1]
			return tapes[0], r.tone(zero+6.1, zero+6.1+5/fsc, fsc), r.tone(zero+20, zero+40, fsc)
		}
		plain, _, nominal := read(1, 1)
		for _, o := range []struct{ burst, gain float64 }{{1, 1}, {0.5, 1}, {1.25, 1}, {0, 1}, {1, 0.5}, {1, 1.3}, {1, 0}, {0, 0}, {0.7, 1.2}} {
			y, b, c := read(o.burst, o.gain)
			name := "%s on %s with %+v"
			assert.InDelta(t, tt.burst*o.burst, b.amplitude, 0.01, name, tt.wire, tt.scan.Name, o)
			assert.InDelta(t, nominal.amplitude*o.gain, c.amplitude, 0.01, name, tt.wire, tt.scan.Name, o)
			assert.InDelta(t, nominal.dc, c.dc, 0.01, name, tt.wire, tt.scan.Name, o)
			if o.burst > 0 {
				assert.InDelta(t, 0, apart(tt.degrees, b.degrees), 0.01, name, tt.wire, tt.scan.Name, o)
			}
			if o.gain > 0 {
				assert.InDelta(t, 0, apart(nominal.degrees, c.degrees), 0.01, name, tt.wire, tt.scan.Name, o)
			}
			at := int(y.index(zero + 2.3))
			assert.Equal(t, plain.v[at], y.v[at], name, tt.wire, tt.scan.Name, o)
		}
	}
}
