package faultcheck

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"

	"backporch/internal/measure"
)

// A confusion counts what was found with 90 % or more where a fault was played.
type confusion struct {
	lock   sync.Mutex
	played map[measure.Fault]int
	found  map[[2]measure.Fault]int
}

func (c *confusion) add(played measure.Fault, r *measure.Result) {
	c.lock.Lock()
	defer c.lock.Unlock()
	c.played[played]++
	for _, f := range r.Findings {
		if f.Confidence >= 0.9 {
			c.found[[2]measure.Fault{played, f.Fault}]++
		}
	}
}

func (c *confusion) String() string {
	var b strings.Builder
	for _, p := range measure.Faults() {
		if c.played[p] == 0 {
			continue
		}
		fmt.Fprintf(&b, "%-20s of %3d:", p, c.played[p])
		for _, f := range measure.Faults() {
			if n := c.found[[2]measure.Fault{p, f}]; n > 0 {
				fmt.Fprintf(&b, " %s %d;", f, n)
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}

// TestFaultsConfused: each fault, made by filters of others in one, two and three
// strengths, on patterns that show it: it is found, with its number, and no other
// is found for sure. The table is printed with -v.
func TestFaultsConfused(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	tool := converter(t)
	patterns := []string{"bars-eg1", "staircase", "bars-full", "bars-rp219", "vectors", "chroma-steps", "chroma-delay", "ramp", "pluge", "one-to-one",
		"multiburst", "sweep", "line-twitter", "safe-area", "circles", "tv-lines", "line-pairs", "field-order"}
	rasters := []string{"480i", "576i"}
	table := &confusion{played: map[measure.Fault]int{}, found: map[[2]measure.Fault]int{}}
	t.Run("each", func(t *testing.T) {
		for _, raster := range rasters {
			for i, spec := range patterns {
				if raster == "576i" && i%2 == 1 {
					continue // half of them, for the sake of time
				}
				t.Run(raster+" "+spec, func(t *testing.T) {
					t.Parallel()
					s := newSheet(t, spec, raster, 1)
					list := slices.DeleteFunc(strengths(), func(k strength) bool {
						return measure.Observes(s.name, k.fault) != measure.Observable || raster == "576i" && k.step != 1
					})
					var chains []string
					for _, k := range list {
						chains = append(chains, k.chain)
					}
					for i, p := range s.captures(t, tool, chains) {
						r := s.measure(t, p)
						table.add(list[i].fault, r)
						t.Run(fmt.Sprintf("%s %.4g", list[i].fault, list[i].value), func(t *testing.T) {
							skipKnown(t, s.name, list[i].fault, list[i].step)
							list[i].judge(t, r)
						})
					}
				})
			}
		}
	})
	t.Logf("found with 90 %% or more, where a fault was played:\n%s", table)
}

// judge holds the findings to what was played. The weakest may be taken for
// something else as small: it needs to be more likely than not.
func (k *strength) judge(t *testing.T, r *measure.Result) {
	least := 0.9
	if k.step == 0 {
		least = 0.5
	}
	var alike []measure.Fault
	i := slices.IndexFunc(r.Findings, func(f measure.Finding) bool { return f.Fault == k.fault })
	if assert.GreaterOrEqual(t, i, 0, "not found: %s", told(r)) {
		f := r.Findings[i]
		alike = f.Alike
		assert.GreaterOrEqual(t, f.Confidence, least, told(r))
		if !math.IsNaN(k.value) {
			assert.InDelta(t, k.value, f.Value, k.within, told(r))
		}
	}
	for _, f := range r.Findings {
		if f.Confidence >= 0.9 && f.Fault != k.fault && !slices.Contains(k.besides, f.Fault) && !slices.Contains(alike, f.Fault) && !slices.Contains(f.Alike, k.fault) {
			assert.Fail(t, "a fault that is not there", "%s: %s", f.Fault, told(r))
		}
	}
}
