package pattern

import (
	"math"
	"strings"
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A screen is what a display shows of field-order: its fields in the order of
// time, each the rows of one field at the places where they are shown.
type screen struct {
	fields []map[int][]float64
	plan   orderPlan
}

// show plays frames of field-order. Reversed shows field 2 of each frame before
// field 1; swapped shows the rows of each field on those of the other.
func show(t *testing.T, raster string, reversed, swapped bool) screen {
	t.Helper()
	r := timing.Lookup(raster)
	v := NewView(r, colorimetry.YCbCr10, frame.S422, Shaped)
	p := &FieldOrder{Fields: "30"}
	s, err := p.Scene(v)
	require.NoError(t, err)
	out := screen{plan: p.plan(v)}
	for n := range 6 {
		f, err := Sample(s, r, frame.S422, n)
		require.NoError(t, err)
		pair := [2]map[int][]float64{{}, {}}
		for j, l := range r.Lines {
			at := j
			if swapped {
				at = j ^ 1
			}
			pair[l.Field-1][at] = f.Planes[0].Row(j)
		}
		if reversed {
			pair[0], pair[1] = pair[1], pair[0]
		}
		out.fields = append(out.fields, pair[0], pair[1])
	}
	return out
}

// shakes returns the share of samples of a crawling word that an eye sees
// otherwise than in a single field, when it follows motion of step samples from
// each field to the next: none of a word that moves evenly.
func (s screen) shakes(word int, step int) float64 {
	wrong, all := 0, 0
	for line := range letterLines {
		one, sum := make([]float64, s.plan.pitch), make([]float64, s.plan.pitch)
		for k, f := range s.fields {
			var row []float64
			for j := s.plan.crawl[word] + line*s.plan.high; row == nil; j++ {
				row = f[j] // the first row of the line that this field has
			}
			for i := range sum {
				// One pitch in the middle of the picture, the word being periodic.
				x := row[s.plan.pitch+(i+k*step)%s.plan.pitch]
				sum[i] += x / float64(len(s.fields))
				if k == 0 {
					one[i] = x
				}
			}
		}
		for i := range sum {
			all++
			if math.Abs(sum[i]-one[i]) > 0.1*orderLevel {
				wrong++
			}
		}
	}
	return float64(wrong) / float64(all)
}

// read returns the small text that stands at a place: letters whose seven rows
// match cell by cell, ? for others.
func (s screen) read(left, cells int) string {
	rows := map[int][]float64{}
	for _, f := range s.fields[:2] {
		for j, row := range f {
			rows[j] = row
		}
	}
	var text strings.Builder
	for at := 0; at < cells; at++ {
		var seen [letterLines]string
		for line := range seen {
			for c := range letterWide {
				x := left + (at*(letterWide+1)+c)*s.plan.lettersAcross + s.plan.lettersAcross/2
				seen[line] += map[bool]string{true: "#", false: "."}[rows[s.plan.text+line][x] > orderLevel/2]
			}
		}
		found := "?"
		for r, shape := range letters {
			if shape == seen {
				found = string(rune(r))
			}
		}
		text.WriteString(found)
	}
	return text.String()
}

// teeth returns the greatest step, samples, that the left end of an almost
// level bar makes from row to row beyond its slope.
func (s screen) teeth(from, to int) (worst float64) {
	rows := map[int][]float64{}
	for _, f := range s.fields[:2] {
		for j, row := range f {
			rows[j] = row
		}
	}
	last := math.NaN()
	for j := s.plan.bars + levelThick + 1; j < s.plan.bars+levelDrop-1; j++ {
		for i := from; i < to; i++ {
			if rows[j][i] > orderLevel/2 {
				if step := float64(i) - last; last == last {
					worst = max(worst, math.Abs(step-float64(to-from)/levelDrop))
				}
				last = float64(i)
				break
			}
		}
	}
	return worst
}

// TestFieldOrderWords shows the picture right, reversed in time, with the rows of the
// fields exchanged, and both. Exactly one word of each pair is sound, and it is
// the one that is true.
func TestFieldOrderWords(t *testing.T) {
	for _, raster := range []string{"480i", "480i-dv", "486i", "576i", "576i-dv"} {
		for _, reversed := range []bool{false, true} {
			for _, swapped := range []bool{false, true} {
				s := show(t, raster, reversed, swapped)
				n := s.plan.n
				step := s.plan.pitch / s.plan.fields
				inOrder, isReversed := s.shakes(0, step), s.shakes(1, step)
				if reversed {
					inOrder, isReversed = isReversed, inOrder
				}
				assert.Zero(t, inOrder, "%s reversed %v: the true word", raster, reversed)
				assert.Greater(t, isReversed, 0.25, "%s reversed %v: the false word", raster, reversed)

				left, right := n/12, n/2+n/24
				inPlace, isSwapped := s.read(left, len(wordInPlace)), s.read(right, len(wordSwapped))
				smooth, broken := s.teeth(left, n/2-n/24), s.teeth(right, n-n/12)
				if swapped {
					assert.Equal(t, wordSwapped, isSwapped, raster)
					assert.NotContains(t, inPlace, "PLACE")
					assert.GreaterOrEqual(t, strings.Count(inPlace, "?"), 5, "%s: %q", raster, inPlace)
					smooth, broken = broken, smooth
				} else {
					assert.Equal(t, wordInPlace, inPlace, raster)
					assert.GreaterOrEqual(t, strings.Count(isSwapped, "?"), 5, "%s: %q", raster, isSwapped)
				}
				assert.Less(t, smooth, 2.0, "%s swapped %v", raster, swapped)
				assert.Greater(t, broken, 15.0, "%s swapped %v", raster, swapped)
			}
		}
	}
}

// TestFieldOrderWithoutFields: a raster that has none says so, and does not
// move.
func TestFieldOrderWithoutFields(t *testing.T) {
	s, _, _ := laid(t, "field-order", "240p")
	assert.Equal(t, 1, s.Period)
	assert.Contains(t, s.Notes[0], "Raster 240p has no fields")
	assert.Contains(t, s.Notes[0], "480i")
}
