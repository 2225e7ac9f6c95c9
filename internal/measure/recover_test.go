package measure

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// levelBenches are the patterns on which recovery of levels is tried.
func levelBenches(t testing.TB) []*bench {
	names := []string{"bars-eg1", "bars-full", "bars-rp219", "vectors", "staircase", "multiburst", "pluge", "one-to-one", "chroma-steps"}
	var list []*bench
	for _, n := range names {
		list = append(list, newBench(t, n, "480i"))
	}
	return list
}

// strengths of each fault of level; those without a number have one.
func strengths() [][]ill {
	return [][]ill{
		{{RangeSqueezed, 0}}, {{RangeStretched, 0}}, {{Decoded709, 0}}, {{Encoded709, 0}}, {{SetupAdded, 0}}, {{SetupMissing, 0}},
		{{LumaGain, 2}, {LumaGain, -5}, {LumaGain, 7}},
		{{BlackOffset, 1.5}, {BlackOffset, -3}, {BlackOffset, 5}},
		{{ChromaGain, 4}, {ChromaGain, -10}, {ChromaGain, 15}},
		{{ChromaPhase, 2}, {ChromaPhase, -6}, {ChromaPhase, 15}},
		{{ChromaSwapped, 0}},
		{{Gamma, 1.05}, {Gamma, 0.88}, {Gamma, 1.2}},
		{{Quantized, 5}, {Quantized, 4}, {Quantized, 3}},
	}
}

// tolerance is how near a number must be: 0.5 IRE, 1 % of chroma, 0.5 degree;
// of gamma what moves half white by 0.5 IRE (d(0.5^g) = 0.347 dg).
func tolerance(f Fault) float64 {
	switch f {
	case LumaGain, BlackOffset, ChromaPhase:
		return 0.5
	case ChromaGain:
		return 1
	case Gamma:
		return 0.5 / 34.7
	case Quantized:
		return 0.5
	}
	return 0
}

// measured plays ills without noise, captured sample by sample.
func (b *bench) measured(t testing.TB, ills []ill, lossy bool) *Result {
	p := b.play(t, ills, lossy, 0, nil)
	p.Raster = b.raster
	r, err := Measure(b.request(p))
	require.NoError(t, err)
	return r
}

func (r *Result) of(f Fault) (Finding, bool) {
	for _, x := range r.Findings {
		if x.Fault == f {
			return x, true
		}
	}
	return Finding{}, false
}

// TestRecoverSingly: each fault of level, at three strengths, from the codes of 8
// bits: where the table says that the pattern shows it, it is found for sure (the
// weakest more likely than not, for there another small fault may do as well),
// with its number, and nothing else is.
func TestRecoverSingly(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	found := confusions{}
	for _, b := range levelBenches(t) {
		for _, list := range strengths() {
			for k, i := range list {
				least := sure
				if k == 0 && len(list) > 1 {
					least = 0.7
				}
				r := b.measured(t, []ill{i}, true)
				name := fmt.Sprintf("%s: %s %g", b.name, i.fault, i.value)
				found.add(i.fault, r)
				if Observes(b.name, i.fault) != Observable {
					continue
				}
				f, ok := r.of(i.fault)
				if !assert.True(t, ok && f.Confidence >= least, "%s: %.2f", name, f.Confidence) {
					continue
				}
				if tol := tolerance(i.fault); tol > 0 {
					assert.InDelta(t, i.value, f.Value, tol, name)
				}
				for _, x := range r.Findings {
					if x.Fault != i.fault && x.Confidence >= sure && !entailed(x.Fault, []ill{i}) {
						assert.Fail(t, "found besides", "%s: %s %g, %.2f", name, x.Fault, x.Value, x.Confidence)
					}
				}
			}
		}
	}
	t.Log("\nFault played (rows) and faults found with 90 % or more (columns), share of captures in per cent, all patterns:\n" + found.String())
}

// entailed reports a finding that is true of what was played: a way through
// R'G'B' cuts what lies beyond black and white.
func entailed(f Fault, ills []ill) bool {
	if f != BelowBlackCut && f != AboveWhiteCut {
		return false
	}
	for _, i := range ills {
		switch i.fault {
		case Decoded709, Encoded709, RangeStretched, Quantized:
			return true
		}
	}
	return false
}

// confusions counts what is found where a fault was played.
type confusions map[Fault]map[Fault]int

func (c confusions) add(played Fault, r *Result) {
	if c[played] == nil {
		c[played] = map[Fault]int{}
	}
	c[played][""]++
	for _, f := range r.Findings {
		if f.Confidence >= sure {
			c[played][f.Fault]++
		}
	}
}

func (c confusions) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%-20s", "")
	for i := range Faults() {
		fmt.Fprintf(&b, "%4d", i+1)
	}
	b.WriteString("\n")
	for i, f := range Faults() {
		if c[f] == nil {
			continue
		}
		fmt.Fprintf(&b, "%2d %-17.17s", i+1, f)
		for _, o := range Faults() {
			if n := c[f][o]; n > 0 {
				fmt.Fprintf(&b, "%4.0f", 100*float64(n)/float64(c[f][""]))
			} else {
				b.WriteString("   .")
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}

// compatible reports faults that can come together.
func compatible(a, b Fault) bool {
	both := func(x, y Fault) bool { return a == x && b == y || a == y && b == x }
	return a != b && !both(RangeSqueezed, RangeStretched) && !both(Decoded709, Encoded709) && !both(SetupAdded, SetupMissing)
}

// TestRecoverPairs: all pairs of faults of level that the pattern shows, from the
// codes of 8 bits. Most are found, both, for sure, with their numbers; of the
// rest none is given wrongly for sure.
func TestRecoverPairs(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	all, good, wrong := 0, 0, 0
	for _, b := range levelBenches(t) {
		var list []ill
		for _, s := range strengths() {
			if i := s[len(s)/2]; Observes(b.name, i.fault) == Observable {
				list = append(list, i)
			}
		}
		for k, x := range list {
			for _, y := range list[:k] {
				if !compatible(x.fault, y.fault) {
					continue
				}
				r := b.measured(t, []ill{y, x}, true)
				all++
				if pairFound(r, x) && pairFound(r, y) {
					good++
				} else {
					t.Logf("%s: %s %g and %s %g: %s", b.name, x.fault, x.value, y.fault, y.value, brief(r))
				}
				for _, f := range r.Findings {
					if f.Confidence >= sure && f.Fault != x.fault && f.Fault != y.fault && !entailed(f.Fault, []ill{x, y}) {
						wrong++
						t.Logf("  wrong: %s %g", f.Fault, f.Value)
					}
				}
			}
		}
	}
	t.Logf("%d pairs: %d found, both and with their numbers; %d findings beside them", all, good, wrong)
	assert.GreaterOrEqual(t, float64(good)/float64(all), 0.9)
	assert.LessOrEqual(t, float64(wrong)/float64(all), 0.05)
}

func pairFound(r *Result, i ill) bool {
	f, ok := r.of(i.fault)
	if !ok || f.Confidence < 0.5 {
		return false
	}
	tol := tolerance(i.fault)
	return tol == 0 || math.Abs(f.Value-i.value) <= tol
}

func brief(r *Result) string {
	var b strings.Builder
	for _, f := range r.Findings {
		fmt.Fprintf(&b, " %s %.2f %.4g", f.Fault, f.Confidence, f.Value)
	}
	return b.String()
}
