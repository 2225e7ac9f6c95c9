package white_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/white"
)

// TestBenchIsHard: the starts are what the deciding test claims: up to 0.03 off
// and far from in tolerance at both steps.
func TestBenchIsHard(t *testing.T) {
	for _, f := range families() {
		var hi, lo []float64
		for seed := uint64(1); seed <= 100; seed++ {
			b := newBench(f, seed)
			hi, lo = append(hi, b.off(bright)), append(lo, b.off(dark))
		}
		slices.Sort(hi)
		slices.Sort(lo)
		t.Logf("%-33s start at 80 %%: median %.4f, most %.4f; at 20 %%: median %.4f, most %.4f", f.name, hi[50], hi[99], lo[50], lo[99])
		assert.LessOrEqual(t, hi[99], .03)
		assert.LessOrEqual(t, lo[99], .03)
		assert.Greater(t, hi[50], 5*limitBright)
		assert.Greater(t, lo[50], 4*limitDark)
	}
}

// TestPlainMovesDoWorse: the same sets with the moves of Solve, over the travel
// that controls usually have and with nothing learned, stay out far more often.
func TestPlainMovesDoWorse(t *testing.T) {
	families := families()
	f := families[len(families)-2]
	const n = 200
	var within [mostRounds + 1]int
	for seed := uint64(1); seed <= n; seed++ {
		b := newBench(f, seed)
		for round := range mostRounds {
			s, err := white.Solve(white.Options{Target: b.target, Primaries: b.primaries, Keep: b.keep},
				[]white.Reading{b.read(dark, .01), b.read(bright, .003)})
			require.NoError(t, err)
			to := b.settings()
			for j, c := range b.controls {
				if move, half := s.Moves[c.Gun], (c.Most-c.Least)/2; c.Gun != b.keep {
					to[j] += half * []float64{move.Drive / 30, move.Cutoff / 10}[c.Role]
					to[j] = min(max(to[j], c.Least), c.Most)
				}
			}
			past := slices.Clone(to)
			for j, c := range b.controls {
				past[j] = max(to[j]-.05*(c.Most-c.Least), c.Least)
			}
			b.obey(&white.Advice{Settings: to, Past: past})
			if b.off(bright) <= limitBright && b.off(dark) <= limitDark {
				within[round+1]++
			}
		}
	}
	t.Logf("%s: of %d within after 1..6 sets of plain moves: %v", f.name, n, within[1:])
	assert.Less(t, within[1], n/10)
	assert.Less(t, within[mostRounds], n*9/10)
}
