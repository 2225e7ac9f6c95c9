package timing

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// allLines returns a row for every line of a frame, in time order.
func allLines(s *Scan, field2 int) []Line {
	lines := make([]Line, s.Lines)
	for i := range lines {
		lines[i] = Line{i + 1, 1}
		if i+1 > field2 {
			lines[i].Field = 2
		}
	}
	return lines
}

// free525 is the lattice of SMPTE 244M-2003 clause 4.1: four samples a cycle,
// 910 a line, at 57, 147 ... degrees after 0H.
func free525() *Raster {
	return &Raster{Name: "4fsc-525", Scan: Scan525i, Clock: R(315_000_000, 22), Start: R(57, 90), Free: true,
		Width: 910, Lines: allLines(Scan525i, 263)}
}

// free625 is the lattice of EBU Tech 3280-E clause 1.2: four samples a cycle,
// 709 379 a frame, at 45 degrees from the axes.
func free625() *Raster {
	return &Raster{Name: "4fsc-625", Scan: Scan625i, Clock: Int(17_734_475), Start: R(1, 2), Free: true,
		Width: 1135, Lines: allLines(Scan625i, 313)}
}

// slips returns how far each row's first sample lies after Start after the
// row's own 0H, exactly, from the places in time alone.
func slips(r *Raster) []Ratio {
	line := r.SamplesPerLine()
	out := make([]Ratio, r.Height())
	for j, l := range r.Lines {
		zero := Int(int64(l.Number - 1)).Mul(line)
		out[j] = Int(zero.Ceil()).Sub(zero)
	}
	return out
}

// TestFree525: 910 samples a line exactly, so every line has the same places.
func TestFree525(t *testing.T) {
	r := free525()
	want := r.Comb(0)
	for j := range r.Lines {
		require.Equal(t, want, r.Comb(j), "line %d", r.Lines[j].Number)
	}
	// The first sample lies 57 degrees of subcarrier after 0H (SMPTE 244M-2003
	// clause 4.1): 19/30 of a sample.
	assert.Equal(t, R(19, 30), r.Start)
	// A clock that restarts has the same places on them.
	r.Free = false
	assert.Equal(t, want, r.Comb(0))
}

// TestFree625: 1135 + 4/625 samples a line (EBU Tech 3280-E clause 1.2), so
// the places slip by 4/625 from line to line, wrap once a sample, and are back
// after the 709 379 samples of a frame.
func TestFree625(t *testing.T) {
	r := free625()
	slip := slips(r)
	dx := r.Scan.System.perSecond().Div(r.Clock)
	middle := r.Scan.System.Left.Add(r.Scan.System.Right).Mul(R(1, 2_000_000)).Mul(r.Clock)
	wraps := 0
	for j := range slip {
		if j > 0 {
			step := slip[j-1].Sub(slip[j])
			if step.Cmp(Int(0)) < 0 {
				step = step.Add(Int(1))
				wraps++
			}
			require.Equal(t, R(4, 625), step, "line %d", r.Lines[j].Number)
		}
		want := r.Start.Add(slip[j]).Sub(middle).Mul(dx)
		require.Equal(t, want.Float64(), r.Comb(j).X0, "line %d", r.Lines[j].Number)
	}
	assert.Equal(t, 4, wraps, "4 samples more than 625 times 1135")
	assert.Equal(t, Int(709_379), r.SamplesPerLine().Mul(Int(625)))
	// The line after the last is line 1 again.
	r.Lines = []Line{{1, 1}, {626, 1}}
	assert.Equal(t, r.Comb(0), r.Comb(1))
}
