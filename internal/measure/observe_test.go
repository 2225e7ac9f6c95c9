package measure

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/pattern"
)

// middling is each fault at a middle strength, in the order of Faults.
func middling() []ill {
	return []ill{
		{RangeSqueezed, 0}, {RangeStretched, 0}, {Decoded709, 0}, {Encoded709, 0}, {SetupAdded, 0}, {SetupMissing, 0},
		{LumaGain, 5}, {BlackOffset, 3}, {ChromaGain, 12}, {ChromaPhase, 6}, {ChromaSwapped, 0}, {Gamma, 1.12},
		{RowsSwapped, 0}, {FieldsLate, 0}, {ChromaFields, 0},
		{Sharpened, 30}, {Bandwidth, 3}, {ChromaBandwidth, 1.2}, {ChromaLate, 100},
		{Shape, 3}, {Shifted, 4}, {ShiftedY, 2},
		{Quantized, 4}, {BelowBlackCut, 0}, {AboveWhiteCut, 0},
	}
}

// TestObserves holds the table true: what it calls observable is found for sure,
// with noise of 1 % and without; of what it says none, nothing arises, whatever
// fault is there.
func TestObserves(t *testing.T) {
	for k, e := range pattern.All() {
		if testing.Short() && k%17 != 0 {
			continue
		}
		t.Run(e.Name, func(t *testing.T) {
			t.Parallel()
			b := newBench(t, e.Name, "480i")
			for n, m := range middling() {
				noises := []float64{0.01}
				if Observes(e.Name, m.fault) == Observable {
					noises = []float64{0, 0.01}
				}
				for _, noise := range noises {
					p := b.play(t, []ill{m}, n%2 == 0, noise, rand.New(rand.NewPCG(uint64(n), 3)))
					r, err := Measure(b.request(p))
					require.NoError(t, err)
					name := fmt.Sprintf("%s %g, noise %g:%s", m.fault, m.value, noise, brief(r))
					if Observes(e.Name, m.fault) == Observable {
						f, _ := r.of(m.fault)
						assert.GreaterOrEqual(t, f.Confidence, sure, name)
					}
					for _, f := range r.Findings {
						assert.NotEqual(t, None, Observes(e.Name, f.Fault), "%s arises: %s", f.Fault, name)
					}
				}
			}
		})
	}
}

// TestNoFalseAlarm: of a clean capture nothing is said, with noise up to 2 % and
// on either system.
func TestNoFalseAlarm(t *testing.T) {
	t.Parallel()
	for k, e := range pattern.All() {
		if testing.Short() && k%12 != 0 {
			continue
		}
		for _, raster := range []string{"480i", "576i", "240p"} {
			b := newBench(t, e.Name, raster)
			for n, noise := range []float64{0, 0.005, 0.02} {
				p := b.play(t, nil, false, noise, rand.New(rand.NewPCG(uint64(n), 5)))
				r, err := Measure(b.request(p))
				require.NoError(t, err)
				for _, f := range r.Findings {
					assert.Less(t, f.Confidence, sure, "%s %s, noise %g: %s", e.Name, raster, noise, brief(r))
				}
			}
		}
	}
}

// TestTableIsWhole: a row for each pattern of the catalogue, a column for each
// fault, and for each fault a pattern that shows it and that does not flash.
func TestTableIsWhole(t *testing.T) {
	rows := map[string]bool{}
	for _, r := range seenRows() {
		assert.Len(t, r.seen, len(Faults()), r.name)
		assert.False(t, rows[r.name], "two rows of %s", r.name)
		rows[r.name] = true
	}
	for _, e := range pattern.All() {
		assert.True(t, rows[e.Name], "no row of %s", e.Name)
	}
	assert.Len(t, rows, len(pattern.All()))
	for i, m := range middling() {
		assert.Equal(t, Faults()[i], m.fault)
	}
	for _, f := range Faults() {
		e, _, _, err := pattern.Resolve(Play(f))
		require.NoError(t, err, f)
		assert.False(t, e.Flashes, f)
		if f != ChromaFields { // by an option, see TestMixedFields
			assert.Equal(t, Observable, Observes(e.Name, f), f)
		}
		assert.NotEqual(t, string(f), f.Title(), "no title")
	}
	assert.Equal(t, None, Observes("no-such-pattern", LumaGain))
}

// TestMixedFields: the pattern to play for mixed chroma shows it.
func TestMixedFields(t *testing.T) {
	for _, mixed := range []bool{false, true} {
		var ills []ill
		if mixed {
			ills = []ill{{ChromaFields, 0}}
		}
		b := newBench(t, Play(ChromaFields), "480i")
		b.name = "crosshatch"
		r, err := Measure(b.request(b.play(t, ills, false, 0.01, rand.New(rand.NewPCG(1, 1)))))
		require.NoError(t, err)
		f, _ := r.of(ChromaFields)
		assert.Equal(t, mixed, f.Confidence >= sure, "mixed %v: %s", mixed, brief(r))
	}
}
