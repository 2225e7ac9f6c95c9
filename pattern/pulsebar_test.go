package pattern

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/testtable"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A published is a row of other_signals.csv.
type published struct {
	testtable.Row
	t testing.TB
}

// otherSignal returns the row of a signal and a quantity.
func otherSignal(t testing.TB, signal, quantity string) published {
	t.Helper()
	for _, row := range testtable.Table(t, "other_signals.csv") {
		if row["signal"] == signal && row["quantity"] == quantity {
			return published{row, t}
		}
	}
	require.Failf(t, "no such row", "%s, %s", signal, quantity)
	return published{}
}

// places returns the places on the line in microseconds after 0H: H/128 count
// from a reference at 24 H/128, H/32 from 0H (ITU-T J.63, 1990).
func (p published) places() (us []float64) {
	p.t.Helper()
	const period525 = 63.0 + 5.0/9
	for _, f := range regexp.MustCompile(`[\d.]+`).FindAllString(strings.ReplaceAll(p.Row["value"], "..", " "), -1) {
		k, err := strconv.ParseFloat(f, 64)
		require.NoError(p.t, err)
		switch p.Row["unit"] {
		case "H/128 from 0HR", "H/128":
			us = append(us, (24+k)*period525/128)
		case "H/32":
			us = append(us, k*64/32)
		default:
			require.Failf(p.t, "unit", "%q", p.Row["unit"])
		}
	}
	return us
}

// had returns the half-amplitude duration and its tolerance from the row's
// note, in microseconds.
func (p published) had() (us, tolerance float64) {
	p.t.Helper()
	m := regexp.MustCompile(`HAD ([\d.]+)\+-([\d.]+) (ns|us)`).FindStringSubmatch(p.Row["note"])
	require.NotNil(p.t, m, p.Row["note"])
	a, _ := strconv.ParseFloat(m[1], 64)
	b, _ := strconv.ParseFloat(m[2], 64)
	if m[3] == "ns" {
		return a / 1000, b / 1000
	}
	return a, b
}

// systemsOfPulses names the rows of ITU-T J.63 (1990) that a system has.
var systemsOfPulses = []struct{ raster, bar, pulse, modulated, name string }{
	{"480i", "525 line 17 f1", "525 line 17 f1", "525 line 17 f1", "F 12.5T peak"},
	{"240p", "525 line 17 f1", "525 line 17 f1", "525 line 17 f1", "F 12.5T peak"},
	{"576i", "625 line 17/330", "625 line 17/330", "625 line 17", "F 20T peak"},
	{"288p", "625 line 17/330", "625 line 17/330", "625 line 17", "F 20T peak"},
}

// TestPulseBarJ63 measures bar and pulses as an oscilloscope would, and holds
// places and durations to ITU-T J.63 (1990) Annexes I and II.
func TestPulseBarJ63(t *testing.T) {
	for _, tt := range systemsOfPulses {
		t.Run(tt.raster, func(t *testing.T) {
			_, line := fineTraces(t, "pulse-bar", tt.raster, colorimetry.Plan{})
			luma := line[0]

			bar := otherSignal(t, tt.bar, "B2 bar").places()
			require.Len(t, bar, 2)
			assert.InDelta(t, bar[0], luma.passes(t, 0.5, bar[0]-1, bar[0]+1), 1e-3, "half amplitude of the rise, us")
			assert.InDelta(t, bar[1], luma.passes(t, 0.5, bar[1]-1, bar[1]+1), 1e-3, "of the fall, us")
			assert.InDelta(t, 1, luma.at((bar[0]+bar[1])/2), 1e-12, "100 IRE, 700 mV")

			row := otherSignal(t, tt.pulse, "B1 2T pulse peak")
			at := row.places()[0]
			had, tolerance := row.had()
			us, top := luma.peak(at-1, at+1)
			assert.InDelta(t, at, us, 1e-3, "peak of the 2T pulse, us")
			assert.InDelta(t, 1, top, 1e-4)
			width := luma.passes(t, 0.5, at, at+1) - luma.passes(t, 0.5, at-1, at)
			assert.InDelta(t, had, width, tolerance/10, "half-amplitude duration of the 2T pulse, us")

			row = otherSignal(t, tt.modulated, tt.name)
			at = row.places()[0]
			had, tolerance = row.had()
			us, top = luma.peak(at-1, at+1)
			assert.InDelta(t, at, us, 1e-3, "peak of the modulated pulse, us")
			assert.InDelta(t, 0.5, top, 1e-4, "half of its height is luma")
			width = luma.passes(t, 0.25, at, at+2) - luma.passes(t, 0.25, at-2, at)
			assert.InDelta(t, had, width, tolerance, "half-amplitude duration, us")
			for c := 1; c < 3; c++ {
				half := line[c].at(at) / 2
				wide := line[c].passes(t, half, at, at+2) - line[c].passes(t, half, at-2, at)
				assert.InDelta(t, width, wide, 1e-3, "component %d: chroma as wide as luma, us", c)
			}
		})
	}
}

// TestBarEdges: a step that is the integral of a sin-squared pulse of T rises
// in 0.96438 T (calc), which at 525 lines is within the 125 ±5 ns of ITU-T
// J.63 Annex II. T: C. Poynton, Digital Video and HDTV (2003).
func TestBarEdges(t *testing.T) {
	factor := otherSignal(t, "T step", "10-90").Float(t, "value")
	for raster, bar := range map[string]string{"480i": "525 line 17 f1", "576i": "625 line 17/330"} {
		system := "525"
		if raster == "576i" {
			system = "625"
		}
		length := otherSignal(t, "T", system).Float(t, "value")
		_, line := fineTraces(t, "pulse-bar", raster, colorimetry.Plan{})
		at := otherSignal(t, bar, "B2 bar").places()[0]
		rise := 1000 * (line[0].passes(t, 0.9, at-1, at+1) - line[0].passes(t, 0.1, at-1, at+1))
		assert.InDelta(t, factor*length, rise, 0.3, "%s: 10 to 90 %%, ns", raster)
		if raster == "480i" {
			assert.InDelta(t, 125, rise, 5, "ns")
		}
	}
}

// TestPulseSamples: samples at 13.5 MHz of a 2T pulse with one of them at its
// top, computed from its equation by other means.
func TestPulseSamples(t *testing.T) {
	for raster, want := range map[string][]float64{"480i": {1, .7986, .3566, .0302, 0}, "576i": {1, .6980, .1569, 0}} {
		signal := "525 line 17 f1"
		if raster == "576i" {
			signal = "625 line 17/330"
		}
		s, v, _ := shot{spec: "pulse-bar", raster: raster, coding: colorimetry.YCbCr10, sampling: frame.S422}.take(t)
		shifted := *v.Shown
		// Sample 300 at the top of the pulse.
		at := otherSignal(t, signal, "B1 2T pulse peak").places()[0] * 13.5
		shifted.Start = timing.R(int64(math.Round((at-300)*1e6)), 1e6)
		shifted.Width = 600
		f, err := Sample(s, &shifted, frame.S444, 0)
		require.NoError(t, err)
		for k, w := range want {
			assert.InDelta(t, w, f.Planes[0].Rows[0][300+k], 6e-5, "%s sample %d", raster, k)
			assert.InDelta(t, w, f.Planes[0].Rows[0][300-k], 6e-5, "%s sample %d", raster, -k)
		}
	}
}

// TestModulatedPulse: at its top the subcarrier has the amplitude of the luma,
// so that the base line is flat and the top is white: A/2 p(t) (1 + cos wt)
// (C. Poynton, Digital Video and HDTV, 2003, in words; ITU-R BT.1439 figures 11
// and 12). Its angle is within the 60 ±5 degrees of ITU-T J.63 Annex I.
func TestModulatedPulse(t *testing.T) {
	wires := map[string][]*colorimetry.Family{"480i": {colorimetry.CompositeM, colorimetry.CompositeJ}, "576i": {colorimetry.PAL}}
	for raster, list := range wires {
		for _, f := range list {
			for _, amplitude := range []float64{100, 40} {
				spec := fmt.Sprint("pulse-bar amplitude=", amplitude)
				for _, coding := range []*colorimetry.Coding{colorimetry.YCbCr8, colorimetry.RGB8} {
					m := frame.S422
					if coding == colorimetry.RGB8 {
						m = frame.S444
					}
					s, _, _ := shot{spec: spec, raster: raster, coding: coding, sampling: m, plan: colorimetry.Plan{Wire: f}}.take(t)
					p := patch(t, s, "modulated pulse")
					assert.Empty(t, p.Absent, coding.Name)
					assert.Equal(t, black, p.Want)
					pp, degrees := f.Phasor(p.To)
					assert.InDelta(t, float64(f.Black), float64(f.Luma(p.To)-pp/2), 1e-9, "%s: base line, mV", f.Name)
					assert.InDelta(t, float64(f.Luma(colorimetry.Gray(amplitude/100))), float64(f.Luma(p.To)+pp/2), 1e-9, "%s: top, mV", f.Name)
					assert.InDelta(t, 60, degrees, 5)
				}
			}
		}
	}
}

// TestPulseMultiples: T and 4T are half and twice as long as 2T; a file of 13.5
// MHz cannot hold the spectrum of T, which ends at 1/T (calc), and says so. T: C.
// Poynton, Digital Video and HDTV (2003).
func TestPulseMultiples(t *testing.T) {
	for name, ns := range map[string]float64{"T": 125, "2T": 250, "4T": 500} {
		s, line := fineTraces(t, "pulse-bar pulse="+name, "480i", colorimetry.Plan{})
		at := otherSignal(t, "525 line 17 f1", "B1 2T pulse peak").places()[0]
		width := line[0].passes(t, 0.5, at, at+1) - line[0].passes(t, 0.5, at-1, at)
		assert.InDelta(t, ns, 1000*width, 0.5, name)
		patch(t, s, name+" pulse")
		if name == "T" {
			assert.Contains(t, strings.Join(s.Notes, " "), "ends at 8 MHz, that of the raster's samples at 6.75 MHz")
		} else {
			assert.Empty(t, s.Notes)
		}
	}
}
