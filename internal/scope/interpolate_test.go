package scope

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestInterpolation holds tones up to the top of the color band to the formula
// of a sine, between samples as well as on them.
func TestInterpolation(t *testing.T) {
	for _, frequency := range []float64{0, 0.05, 0.2, 0.25, 0.3, 0.34} { // of the sampling rate
		s := make([]float32, 400)
		at := func(x float64) float64 { return 300 * math.Cos(2*math.Pi*frequency*x+0.7) }
		for i := range s {
			s[i] = float32(at(float64(i)))
		}
		got := newInterpolator().points(nil, s, 100, 300)
		assert.Len(t, got, 200*fine+1)
		for i, v := range got {
			assert.InDelta(t, at(100+float64(i)/fine), float64(v), 0.06, "%v of the rate, point %d", frequency, i)
		}
	}
}

// TestTopsAreTrue: four samples a cycle, at the worst angle, show 0.71 of a
// sine; drawn, it has all of its height. A converter's kernel that were cut too
// short, or no turning points, would miss it.
func TestTopsAreTrue(t *testing.T) {
	for _, deg := range []float64{0, 11.25, 22.5, 30, 45, 61} {
		s := make([]float32, 200)
		for i := range s {
			s[i] = float32(100 * math.Sin(float64(i)*math.Pi/2+deg*math.Pi/180))
		}
		v := newInterpolator().points(nil, s, 50, 150)
		e := extent{}
		scale{perSample: one, perMV: one}.path(v, stretch{s: s, from: 50, to: 150, left: 50}, &e)
		assert.InDelta(t, 100, float64(e.high), 0.1, "%v degrees", deg)
		assert.InDelta(t, -100, float64(e.low), 0.1, "%v degrees", deg)
	}
}

func TestInterpolationAtTheEnds(t *testing.T) {
	got := newInterpolator().points(nil, []float32{5, 5, 5}, 0, 2)
	for _, v := range got {
		assert.Equal(t, float32(5), v, "a flat signal stays what it is")
	}
}

func TestPeak(t *testing.T) {
	v, at, ok := peak(8, 9.5, 9) // 9.5 - (x-0.25)^2 ... about a top between
	assert.True(t, ok)
	assert.InDelta(t, 0.25, float64(at), 1e-6)
	assert.InDelta(t, 9.5625, float64(v), 1e-6)
	_, _, ok = peak(1, 2, 3)
	assert.False(t, ok)
	_, _, ok = peak(2, 2, 2)
	assert.False(t, ok)
}
