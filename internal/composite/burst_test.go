package composite

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"backporch/timing"
)

// TestLockRepeats: bursts that differ from line to line, as those of a noisy
// signal do, are summed in the order of their lines: the same wave is locked
// to alike, to the last bit.
func TestLockRepeats(t *testing.T) {
	w := encode(t, "pal", timing.Scan312, Standard, 1, 0.3, 0.2, 0.1)
	for i := range w.Samples[0] {
		w.Samples[0][i] += float32(5 * math.Sin(float64(i)*float64(i)))
	}
	g := newGrid(w.Wire, w.Scan)
	first := g.lockBurst(w, 0)
	for range 50 {
		require.Equal(t, first, g.lockBurst(w, 0))
	}
}
