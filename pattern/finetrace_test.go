package pattern

import (
	"math"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"

	"github.com/stretchr/testify/require"
)

// A trace is one component of the middle row at 16 times the file's rate, as an
// oscilloscope would show it; times are in microseconds after 0H, reckoned from
// the raster's clock alone.
type trace struct {
	start, rate float64 // us of sample 0; samples in a microsecond
	v           []float64
}

// fineTraces lays a pattern out for 4:2:2 files of a raster and samples it at
// 16 times the clock.
func fineTraces(t testing.TB, spec, raster string, plan colorimetry.Plan) (*Scene, [3]trace) {
	t.Helper()
	const times = 16
	s, v, _ := shot{spec: spec, raster: raster, coding: colorimetry.YCbCr10, sampling: frame.S422, plan: plan}.take(t)
	fine := finer(v.Shown, times)
	f, err := Sample(s, fine, frame.S444, 0)
	require.NoError(t, err)
	var all [3]trace
	rate := fine.Clock.Float64() / 1e6
	for c := range all {
		p := f.Planes[c]
		all[c] = trace{fine.Start.Float64() / rate, rate, p.Rows[p.Lines[len(p.Lines)/2]]}
	}
	return s, all
}

func (r trace) us(i float64) float64 { return r.start + i/r.rate }

// at returns the value at a time, between samples by a straight line.
func (r trace) at(us float64) float64 {
	x := (us - r.start) * r.rate
	i := int(math.Floor(x))
	return r.v[i] + (x-float64(i))*(r.v[i+1]-r.v[i])
}

// passes returns when the trace goes through a level between two times.
func (r trace) passes(t testing.TB, level, from, to float64) float64 {
	t.Helper()
	for i := int(math.Ceil((from - r.start) * r.rate)); r.us(float64(i+1)) <= to; i++ {
		a, b := r.v[i]-level, r.v[i+1]-level
		if a == 0 {
			return r.us(float64(i))
		}
		if (a < 0) != (b < 0) {
			return r.us(float64(i) + a/(a-b))
		}
	}
	require.Failf(t, "no crossing", "of %v between %v and %v us", level, from, to)
	return 0
}

// peak returns time and value of the greatest sample between two times, by a
// parabola through it and its neighbors.
func (r trace) peak(from, to float64) (us, value float64) {
	best := int(math.Ceil((from - r.start) * r.rate))
	for i := best; r.us(float64(i)) <= to; i++ {
		if r.v[i] > r.v[best] {
			best = i
		}
	}
	a, b, c := r.v[best-1], r.v[best], r.v[best+1]
	d := (a - c) / (2 * (a - 2*b + c))
	return r.us(float64(best) + d), b - (a-c)*d/4
}
