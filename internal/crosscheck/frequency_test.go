package crosscheck

import (
	"fmt"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/testtable"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A wired pattern is laid out for a wire and encoded; a tape with frames of it.
type wired struct {
	scene *pattern.Scene
	view  pattern.View
	tape  tape
	scan  *timing.Scan
}

func onWire(t *testing.T, spec, raster, wire string, frames int) wired {
	t.Helper()
	r, w := timing.Lookup(raster), composite.Lookup(wire)
	p, err := pattern.Parse(spec)
	require.NoError(t, err)
	v := pattern.NewView(r, colorimetry.YCbCr10, frame.S422, pattern.Shaped)
	v.Plan = colorimetry.Plan{Wire: w.Family, Player: w.Family}
	s, err := p.Scene(v)
	require.NoError(t, err)
	e, err := composite.NewEncoder(w, r.Scan, composite.Standard)
	require.NoError(t, err)
	wave, err := e.Encode(0, frames, func(l *timing.Raster, n int) (*frame.Frame, error) {
		return pattern.Sample(s, l, frame.S444, n)
	})
	require.NoError(t, err)
	return wired{s, v, tape{wave.Samples[0], mhzOf(w, r.Scan), startOf(w, r.Scan)}, r.Scan}
}

// patch returns the one of that name, and its sides in microseconds after 0H.
func (w wired) patch(t *testing.T, name string) (q pattern.Patch, from, to float64) {
	t.Helper()
	for _, q := range w.scene.Patches {
		if q.Name == name {
			s, e := w.scan.System, w.view.Shown.Picture()
			at := func(x float64) float64 {
				return s.Left.Float64() + (x-e.X0)/(e.X1-e.X0)*s.Active().Float64()
			}
			return q, at(q.X0), at(q.X1)
		}
	}
	require.Fail(t, "no such patch", name)
	return
}

// TestCrossColorOnWire fits the subcarrier to the encoded gratings. Slanted
// ones keep its phase on every line of every frame, as chroma of one color
// does, so that no comb can tell them from it. Upright ones have turned against
// it by half a cycle on the next line, or by a quarter at 625 lines: 455/2
// cycles a line (SMPTE 170M clause 11), 1135/4 + 1/625 (ITU-R BT.1700 Annex 1
// Part B table 2).
func TestCrossColorOnWire(t *testing.T) {
	for _, tt := range []struct {
		wire, raster string
		frames       int
		turn         float64 // degrees of the subcarrier in a line
		white        float64
	}{
		{"composite-j", "480i", 2, 180, 100 * ire},
		{"pal", "576i", 4, 360 * (0.75 + 1.0/625), 700},
	} {
		t.Run(tt.wire, func(t *testing.T) {
			t.Parallel()
			w := onWire(t, "cross-color", tt.raster, tt.wire, tt.frames)
			h := figuresOf(t, w.scan).us(t, "line period")
			lines := w.scan.Lines
			for name, slanted := range map[string]bool{"slanted fsc": true, "upright fsc": false} {
				q, from, to := w.patch(t, name)
				first := -1.0
				for n := range tt.frames {
					for _, row := range w.view.Shown.Lines {
						j := w.view.Shown.Span(rowOf(w.view.Shown, row.Number)).Y
						if j < q.Y0 || j > q.Y1 || row.Number%7 > 1 { // pairs of neighbors
							continue
						}
						line := n*lines + row.Number - 1
						zero := float64(line) * h
						got := w.tape.tone(zero+from+0.2, zero+to-0.2, fscOf(w.scan))
						require.InEpsilon(t, 0.3*tt.white, got.amplitude, 0.01, "%s frame %d line %d: mV", name, n, row.Number)
						degrees := got.degrees
						if !slanted {
							degrees += float64(line) * tt.turn
						}
						if first < 0 {
							first = turn(degrees)
						}
						require.InDelta(t, 0, apart(degrees, first), 0.2, "%s frame %d line %d: degrees", name, n, row.Number)
					}
				}
				require.GreaterOrEqual(t, first, 0.0)
			}
		})
	}
}

// rowOf returns the row that shows a line.
func rowOf(r *timing.Raster, number int) int {
	for j, l := range r.Lines {
		if l.Number == number {
			return j
		}
	}
	return -1
}

// TestMultiburstOnWire measures the pattern's own packets behind the encoder:
// levels on wires with and without setup and phase at the start, ITU-T J.63
// (1990) Annexes I and II by multiburst.csv.
func TestMultiburstOnWire(t *testing.T) {
	for _, tt := range []struct {
		wire, raster, signal string
		unit                 float64 // mV
	}{
		{"composite-m", "480i", "525 NTC-7", ire},
		{"composite-j", "480i", "525 NTC-7", ire},
		{"pal", "576i", "625 CCIR 18", 1},
	} {
		t.Run(tt.wire, func(t *testing.T) {
			t.Parallel()
			w := onWire(t, "multiburst", tt.raster, tt.wire, 1)
			h := figuresOf(t, w.scan).us(t, "line period")
			number := func(s string) (x float64) {
				_, err := fmt.Sscan(s, &x)
				require.NoError(t, err)
				return x * tt.unit
			}
			packets := 0
			for _, row := range testtable.Table(t, "multiburst.csv") {
				if !strings.HasPrefix(row.Text(t, "signal"), tt.signal) || row.Text(t, "burst") == "flag" {
					continue
				}
				f, start := row.Float(t, "freq_mhz"), row.Float(t, "start_us")
				if f > 5.74 {
					continue // absent at 13.5 MHz
				}
				packets++
				long := row.Float(t, "whole_cycles") / f
				for _, line := range []int{60, 200, 400} {
					zero := float64(line-1) * h
					got := w.tape.tone(zero+start+0.15, zero+start+long-0.15, f)
					assert.InDelta(t, number(row.Text(t, "pp")), 2*got.amplitude, 0.5*ire, "line %d, %v MHz: mV peak to peak (J.63: 0.5 IRE)", line, f)
					assert.InDelta(t, number(row.Text(t, "pedestal")), got.dc, 0.5*ire, "line %d, %v MHz: pedestal, mV", line, f)
					late := -apart(got.degrees, -360*cycles(f*(zero+start))) / 360 / f
					assert.InDelta(t, 0, late, 3*ns, "line %d, %v MHz begins with phase zero, us", line, f)
				}
			}
			assert.GreaterOrEqual(t, packets, 5)
		})
	}
}
