package scope

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestBeamCoversALevel(t *testing.T) {
	b := newBeam(10, 20, one) // two pixels thick
	b.path([]point{{0, 10*one + 64}, {10 * one, 10*one + 64}}, 1)
	m := b.mask()
	for x := range 10 {
		assert.Zero(t, m.alpha[8*10+x])
		assert.InDelta(t, 255*3/4, int(m.alpha[9*10+x]), 45, "from 9.25: the darkness of less time comes on top")
		assert.InDelta(t, 255, int(m.alpha[10*10+x]), 1)
		assert.InDelta(t, 255/4, int(m.alpha[11*10+x]), 20, "to 11.25")
		assert.Zero(t, m.alpha[12*10+x])
	}
}

// TestBeamIsFainterWhenFast: the same time over a longer way.
func TestBeamIsFainterWhenFast(t *testing.T) {
	b := newBeam(20, 200, one)
	b.path([]point{{0, 100 * one}, {10 * one, 100 * one}, {11 * one, 10 * one}, {12 * one, 100 * one}, {20 * one, 100 * one}}, 1)
	m := b.mask()
	slow, fast := m.alpha[100*20+5], m.alpha[50*20+10]
	assert.Greater(t, slow, fast)
	assert.GreaterOrEqual(t, int(fast), faintest, "and still to be seen")
}

// TestBeamOrder: paths in any order, and in parts, leave the same.
func TestBeamOrder(t *testing.T) {
	paths := [][]point{
		{{0, 0}, {30 * one, 39 * one}}, {{0, 39 * one}, {30 * one, 0}}, {{0, 20 * one}, {15 * one, 3*one + 17}, {30 * one, 20 * one}},
		{{3*one + 7, 5 * one}, {3*one + 7, 35 * one}, {25 * one, 35*one + 100}},
	}
	forward, other, part := newBeam(30, 40, 300), newBeam(30, 40, 300), newBeam(30, 40, 300)
	for i := range paths {
		forward.path(paths[i], int64(i+1))
	}
	for i := len(paths) - 1; i >= 2; i-- {
		other.path(paths[i], int64(i+1))
	}
	for i := range 2 {
		part.path(paths[i], int64(i+1))
	}
	other.add(part)
	assert.Equal(t, forward.mask().alpha, other.mask().alpha)
}

// TestBeamOutside: what lies outside is cut off and costs nothing.
func TestBeamOutside(t *testing.T) {
	b := newBeam(10, 10, one)
	b.path([]point{{-20 * one, 5 * one}, {-one, -90 * one}, {20 * one, 90 * one}, {40 * one, 0}}, 1)
	b.path([]point{{0, -50 * one}, {10 * one, -50 * one}}, 1)
	b.path([]point{{5 * one, 5 * one}}, 1)
	assert.NotPanics(t, func() { b.mask() })
	s := newSpot(10, 10, 2*one, true)
	s.path([]point{{-20 * one, 5 * one}, {5 * one, 5 * one}, {300 * one, 5 * one}}, 1)
	assert.Equal(t, uint8(255), s.outline().alpha[5*10+5])
	assert.Zero(t, s.outline().alpha[0])
}

// TestSpotRests: a place of rest is darker and larger than the way to it.
func TestSpotRests(t *testing.T) {
	s := newSpot(60, 40, 2*one, false)
	p := []point{{10*one + 128, 20*one + 128}}
	for range 200 {
		p = append(p, p[0])
	}
	p = append(p, point{50*one + 128, 20*one + 128})
	s.path(p, 1)
	m := s.mask()
	assert.Equal(t, uint8(255), m.alpha[20*60+10])
	assert.Less(t, m.alpha[20*60+30], uint8(200))
	assert.NotZero(t, m.alpha[23*60+10], "3 rows below the spot")
	assert.Zero(t, m.alpha[23*60+30], "3 rows below the way")
}

func TestBrush(t *testing.T) {
	b := newBrush(2*one + 128)
	for qy := range 4 {
		for qx := range 4 {
			sum := 0
			for _, v := range b.disc[qy][qx] {
				sum += int(v)
			}
			assert.InDelta(t, 3.14159*2.5*2.5, float64(sum)/255, 0.4, "area of a disc at quarter %d %d", qx, qy)
		}
	}
}

func TestLog2(t *testing.T) {
	for v, want := range map[int64]int{0: 0, 1: 0, 2: 256, 3: 256 + 128, 4: 512, 1 << 40: 40 * 256} {
		assert.Equal(t, want, log2(v), "%d", v)
	}
}
