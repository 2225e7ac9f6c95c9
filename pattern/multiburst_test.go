package pattern

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/testtable"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// figures returns the numbers of a cell such as "560 then 140 mV".
func figures(s string) (list []float64) {
	for _, w := range strings.Fields(s) {
		if x, err := strconv.ParseFloat(w, 64); err == nil {
			list = append(list, x)
		}
	}
	return list
}

// crossing returns when luma crosses a level for the first time after from.
func (s shown) crossing(t *testing.T, row int, from, level float64) float64 {
	t.Helper()
	x, y := s.span(row, from, 64)
	for i := 1; i < len(x); i++ {
		if (y[i-1] < level) != (y[i] < level) {
			return x[i-1] + (level-y[i-1])/(y[i]-y[i-1])*(x[i]-x[i-1])
		}
	}
	require.Fail(t, "no crossing", "%v after %v us", level, from)
	return 0
}

// TestMultiburstJ63 holds the combination set to multiburst.csv: starts, levels
// and gaps published in ITU-T J.63 (1990) Annex II (525) and Annex I (625),
// cycles calculated from its rule. Levels are those on the wire, for wires
// with and without setup.
func TestMultiburstJ63(t *testing.T) {
	seen := map[string]int{}
	for _, tt := range []struct {
		signal, raster string
		wire           *colorimetry.Family
		scale          float64 // mV of the table's unit
	}{
		{"525 NTC-7", "480i", colorimetry.CompositeM, 1000.0 / 140},
		{"525 NTC-7", "480i", colorimetry.CompositeJ, 1000.0 / 140},
		{"525 NTC-7", "240p", colorimetry.CompositeM, 1000.0 / 140},
		{"625 CCIR 18", "576i", colorimetry.PAL, 1},
		{"625 CCIR 18", "288p", colorimetry.PAL, 1},
	} {
		s := onRaster(t, "multiburst", timing.Lookup(tt.raster), 8, 0, colorimetry.Plan{Wire: tt.wire, Player: tt.wire})
		mv := func(y float64) float64 { return float64(tt.wire.Luma(colorimetry.Gray(y))) }
		const row, halfGate = 100, 0.1482 // us; half of four periods of 13.5 MHz
		last := 0.0                       // end of the packet before
		for _, r := range testtable.Table(t, "multiburst.csv") {
			if !strings.HasPrefix(r.Text(t, "signal"), tt.signal) {
				continue
			}
			start, pedestal, pp := r.Float(t, "start_us"), figures(r.Text(t, "pedestal"))[0]*tt.scale, figures(r.Text(t, "pp"))
			seen[tt.raster+" "+tt.wire.Name]++
			if r.Text(t, "burst") == "flag" {
				first := patch(t, s.Scene, "flag")
				assert.InDelta(t, pp[0]*tt.scale, mv(first.Want.Y), 0.01, "%s flag, mV", tt.raster)
				assert.InDelta(t, start, s.crossing(t, row, 10, first.Want.Y/2), 0.005, "%s flag begins, us", tt.raster)
				if len(pp) > 1 {
					second := patch(t, s.Scene, "lower flag")
					assert.InDelta(t, pp[1]*tt.scale, mv(second.Want.Y), 0.01, "%s lower flag, mV", tt.raster)
					// 8H/32: the middle of the flag.
					assert.InDelta(t, start+4, s.crossing(t, row, start+1, (first.Want.Y+second.Want.Y)/2), 0.005, "%s, us", tt.raster)
				}
				last = start + r.Float(t, "duration_us")
				continue
			}
			f := r.Float(t, "freq_mhz")
			q := patch(t, s.Scene, mhzName(f))
			end := start + r.Float(t, "whole_cycles")/f
			assert.Greater(t, start-last, 0.4-0.001, "%s: gap before %v MHz, us (J.63: 0.4 to 2.0)", tt.raster, f)
			// Between the gates of neighbors there is the pedestal, and nothing else.
			x, y := s.span(row, last+halfGate, start-halfGate)
			require.NotEmpty(t, x)
			for i := range x {
				require.InDelta(t, pedestal, mv(y[i]), 0.01, "%s: %v us, before %v MHz", tt.raster, x[i], f)
			}
			last = end
			if f > 5.74 {
				assert.NotEmpty(t, q.Absent, "5.8 MHz at 13.5 MHz")
				continue
			}
			x, y = s.span(row, start+halfGate, end-halfGate)
			w := fit(t, x, y, f)
			assert.InEpsilon(t, f, w.Frequency, 0.001, "%s: MHz", tt.raster)
			high, low := mv(w.Level+w.Amplitude), mv(w.Level-w.Amplitude)
			assert.InEpsilon(t, pp[0]*tt.scale, high-low, 0.005, "%s %v MHz: mV peak to peak", tt.raster, f)
			assert.InDelta(t, pedestal, (high+low)/2, 0.5, "%s %v MHz: pedestal, mV", tt.raster, f)
			// It begins and ends with phase zero, rising.
			assert.InDelta(t, 0, apart(w.Phase+w.Frequency*start, 0), 0.01, "%s %v MHz: cycles at its start", tt.raster, f)
			assert.InDelta(t, 0, apart(w.Phase+w.Frequency*end, 0), 0.01, "%s %v MHz: cycles at its end", tt.raster, f)
			if f < 2 {
				continue // so few cycles do not show where the envelope is half
			}
			x, y = s.span(row, start-halfGate, end+halfGate)
			sum, whole := 0.0, 0.0
			for i := range x {
				c := math.Sin(2 * math.Pi * (w.Frequency*x[i] + w.Phase))
				sum += (y[i] - w.Level) * c
				whole += w.Amplitude * c * c
			}
			assert.InDelta(t, end-start, (end-start+2*halfGate)*sum/whole, 0.04*(end-start), "%s %v MHz: length at half height, us", tt.raster, f)
		}
	}
	assert.Equal(t, map[string]int{"480i composite-m": 7, "480i composite-j": 7, "240p composite-m": 7, "576i pal": 7, "288p pal": 7}, seen)
}

// TestMultiburstFCC: frequencies and levels from memory.
func TestMultiburstFCC(t *testing.T) {
	m := colorimetry.CompositeM
	s := onRaster(t, "multiburst set=fcc", timing.Lookup("480i"), 1, 0, colorimetry.Plan{Wire: m, Player: m})
	n := 0
	for _, r := range testtable.Table(t, "multiburst.csv") {
		if !strings.HasPrefix(r.Text(t, "signal"), "525 FCC") {
			continue
		}
		n++
		q := patch(t, s.Scene, mhzName(r.Float(t, "freq_mhz")))
		low, high := float64(m.Luma(q.Want).IRE()), float64(m.Luma(q.To).IRE())
		assert.InDelta(t, figures(r.Text(t, "pp"))[0], high-low, 1e-6, q.Name)
		assert.InDelta(t, figures(r.Text(t, "pedestal"))[0], (high+low)/2, 1e-6, q.Name)
	}
	assert.Equal(t, 6, n)
	assert.InDelta(t, 100, float64(m.Luma(patch(t, s.Scene, "flag").Want).IRE()), 1e-9)
}

// TestMultiburstOIRT: 1.5 and 2.8 MHz stand in for the second and third packet
// (ITU-T J.63 Annex I).
func TestMultiburstOIRT(t *testing.T) {
	one := onRaster(t, "multiburst", timing.Lookup("576i"), 1, 0, colorimetry.Plan{})
	other := onRaster(t, "multiburst set=oirt", timing.Lookup("576i"), 1, 0, colorimetry.Plan{})
	for plain, instead := range map[string]string{"1 MHz": "1.5 MHz", "2 MHz": "2.8 MHz", "4 MHz": "4 MHz"} {
		assert.InDelta(t, patch(t, one.Scene, plain).X0, patch(t, other.Scene, instead).X0, 1e-12, instead)
	}
}

func TestMultiburstErrors(t *testing.T) {
	for spec, want := range map[string]string{
		"multiburst set=oirt":                  "set: oirt is a signal of 625 lines; use combination, fcc or a list of MHz on raster 480i",
		"multiburst pedestal=30 amplitude=70":  "amplitude: 70 % about 30 % goes beyond black or white; use at most 60 % there",
		"multiburst pedestal=20":               "pedestal: 54.05 % about 20 % goes beyond black or white; use at most 40 % there",
		"multiburst set=0.1,1,2,3,4,5,6,7,8,9": "set: a packet has room for 4.12 us, less than a cycle of 0.1 MHz; use 0.25 MHz or more, or fewer frequencies",
	} {
		p, err := Parse(spec)
		require.NoError(t, err, spec)
		_, err = p.Scene(anyView(t))
		assert.EqualError(t, err, want, spec)
	}
	for spec, want := range map[string]string{
		"multiburst set=1,1":      "1 MHz stands twice in \"1,1\"; name each frequency once",
		"multiburst set=":         "is not combination, fcc, oirt",
		"multiburst set=40":       "is not combination, fcc, oirt",
		"multiburst flag=101":     `flag: "101" is not set (as the chosen set has it), or 0 to 100 per cent of white`,
		"multiburst amplitude=no": `amplitude: "no" is not set`,
	} {
		_, err := Parse(spec)
		assert.ErrorContains(t, err, want, spec)
	}
}
