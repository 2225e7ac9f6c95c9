package pattern

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"backporch/colorimetry"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// about fits a sine of changing frequency, a cycle to either side of a time.
func (s shown) about(t *testing.T, row int, us, mhz float64) wave {
	t.Helper()
	x, y := s.span(row, us-1/mhz, us+1/mhz)
	return fitAbout(t, x, y, mhz, us, 5)
}

// TestSweepMarks finds the marks of the scale in the picture and fits a sine
// to the sweep around each: its frequency there is that of the mark, its
// amplitude that of all others.
func TestSweepMarks(t *testing.T) {
	for _, spec := range []string{"sweep", "sweep from=1 to=2.5 amplitude=40", "sweep scale=log"} {
		for _, r := range fitRasters {
			s := onRaster(t, spec, r, 16, 0, colorimetry.Plan{})
			marks := 0
			for _, q := range s.Patches {
				if q.Kind != Packet || !strings.HasPrefix(q.Name, "upper ") {
					continue
				}
				mhz, err := strconv.ParseFloat(strings.Fields(q.Name)[1], 64)
				require.NoError(t, err)
				assert.InDelta(t, mhz*1e6, q.Hz, 1e-3)
				row := rowNear(r, (q.Y0+q.Y1)/2)
				if from, to := s.times(q); to-from < 1.9/mhz {
					continue // cut by an end of the sweep
				}
				at := s.mark(t, rowNear(r, q.Y1)+4, q)
				marks++
				tolerance := 0.001
				if r.Name == "small" { // marks lie on whole samples there
					tolerance = 0.02
				}
				w := s.about(t, row, at, mhz)
				if mhz > 0.5 { // a cycle of which is long against the sweep by ratios
					assert.InEpsilon(t, mhz, w.Frequency, tolerance, "%s on %s: %s at %.2f us", spec, r.Name, q.Name, at)
					assert.InEpsilon(t, (q.To.Y-q.Want.Y)/2, w.Amplitude, 0.005, "%s on %s: %s", spec, r.Name, q.Name)
				}
			}
			assert.GreaterOrEqual(t, marks, 1, "%s on %s", spec, r.Name)
		}
	}
}

// mark returns the middle of the white mark of the scale nearest to a patch.
func (s shown) mark(t *testing.T, row int, q Patch) float64 {
	t.Helper()
	from, to := s.times(q)
	middle := (from + to) / 2
	x, y := s.span(row, middle-0.35, middle+0.35)
	sum, weight := 0.0, 0.0
	for i := range x {
		sum, weight = sum+x[i]*y[i], weight+y[i]
	}
	require.Greater(t, weight, 0.5, "%s on %s: a mark", q.Name, s.Shown.Name)
	return sum / weight
}

// TestSweepPhase: the phase of the sweep is the integral of its frequency, by
// the trapezoidal rule.
func TestSweepPhase(t *testing.T) {
	for _, log := range []bool{false, true} {
		c := chirp{packet: packet{X0: -0.6, X1: 0.6}, F0: 20, F1: 220, Log: log}
		const n = 100_000
		sum, h := 0.0, 1.2/n
		f := func(x float64) float64 {
			u := (x + 0.6) / 1.2
			if log {
				return 20 * math.Pow(11, u)
			}
			return 20 + 200*u
		}
		for i := range n {
			x := -0.6 + float64(i)*h
			if i%10_000 == 0 {
				assert.InDelta(t, sum, c.turns(x), 1e-6, "log %v at %v", log, x)
				assert.InDelta(t, x, c.place(f(x)), 1e-9, "log %v at %v", log, x)
			}
			sum += (f(x) + f(x+h)) / 2 * h
		}
	}
}

func TestSweepErrors(t *testing.T) {
	for spec, want := range map[string]string{
		"sweep to=6":        "to: 6 MHz is above 5.74 MHz, 0.85 of half the clock of 13.5 MHz; use at most 5.73 on raster 480i, or 0 for as far as it goes",
		"sweep from=5.9":    "from: a sweep from 5.9 to 5.737 MHz does not rise; use a lower start",
		"sweep level=20":    "amplitude: 70 % about 20 % goes beyond black or white; use at most 40 % there",
		"sweep from=3 to=2": "from: a sweep from 3 to 2 MHz does not rise; use a lower start",
	} {
		p, err := Parse(spec)
		require.NoError(t, err, spec)
		_, err = p.Scene(anyView(t))
		assert.EqualError(t, err, want, spec)
	}
	p, err := Parse("sweep to=2.7")
	require.NoError(t, err)
	v := anyView(t)
	v.Shown, v.Edge = small(), [3]float64{}
	_, err = p.Scene(v)
	assert.ErrorContains(t, err, "to: 2.7 MHz is not below 2.70 MHz, half the clock of 5.4 MHz; use at most 2.69")
}
