package crosscheck

import (
	"fmt"
	"slices"
	"testing"

	"backporch/internal/composite"
	"backporch/pattern/frame"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fresh encodes frame n with an encoder that has never done anything else.
func fresh(t *testing.T, w *composite.Wire, s *timing.Scan, o composite.Options, f *frame.Frame, n int) [][]float32 {
	t.Helper()
	e, err := composite.NewEncoder(w, s, o)
	require.NoError(t, err)
	return e.Append(nil, f, n)
}

// equalSignals reports the first difference between two signals.
func equalSignals(t *testing.T, want, got [][]float32, name string) {
	t.Helper()
	require.Len(t, got, len(want), name)
	for c := range want {
		require.Len(t, got[c], len(want[c]), name)
		if slices.Equal(want[c], got[c]) {
			continue
		}
		for i := range want[c] {
			require.Equal(t, want[c][i], got[c][i], "%s: channel %d sample %d of %d", name, c, i, len(want[c]))
		}
	}
}

// TestEncoderForgets: what an encoder keeps from earlier frames never shows. One
// that has made two pictures in an irregular order of frames gives, sample for
// sample, what a fresh one gives.
func TestEncoderForgets(t *testing.T) {
	for _, tt := range []struct {
		wire string
		scan *timing.Scan
	}{
		{"composite-m", timing.Scan525i}, {"yc-j", timing.Scan262c227_33}, {"pal", timing.Scan625i}, {"yc-pal", timing.Scan313},
		{"component-n10", timing.Scan625i}, {"rgb-714", timing.Scan525i}, {"component-mii", timing.Scan262c228},
	} {
		t.Run(fmt.Sprint(tt.wire, " ", tt.scan.Name), func(t *testing.T) {
			t.Parallel()
			w := composite.Lookup(tt.wire)
			used, err := composite.NewEncoder(w, tt.scan, composite.Standard)
			require.NoError(t, err)
			sequence := w.Sequence(tt.scan)
			type one struct {
				picture, n int
			}
			order := []one{{0, 0}, {0, 0}, {0, 1}, {1, 1}, {1, 2}, {1, 3}, {0, sequence}, {0, 2*sequence + 1}, {0, 0}}
			if testing.Short() {
				order = order[:4]
			}
			made := map[string]*frame.Frame{}
			var dst [][]float32
			for _, o := range order {
				l := used.Lattice(o.n)
				key := fmt.Sprintf("%d %p", o.picture, l)
				if made[key] == nil {
					made[key] = painted(l, func(line int, us float64) color {
						c := color{0.3 + 0.001*float64(line), 0.1 + 0.005*us, 0.2 - 0.006*us}
						if o.picture == 1 || line%3 == 0 {
							c[0], c[1] = c[1]+0.2, 0.25
						}
						return c
					})
				}
				for c := range dst {
					dst[c] = dst[c][:0] // the caller's memory, used again
				}
				dst = used.Append(dst, made[key], o.n)
				equalSignals(t, fresh(t, w, tt.scan, composite.Standard, made[key], o.n), dst, fmt.Sprintf("%+v", o))
			}
		})
	}
}

// TestAppendKeeps: Append adds after what is there, and changes none of it.
func TestAppendKeeps(t *testing.T) {
	w := composite.Lookup("yc-m")
	e, err := composite.NewEncoder(w, timing.Scan525i, composite.Standard)
	require.NoError(t, err)
	f := flat(0.5, 0.1, 0.2)(e.Lattice(0))
	one := e.Append(nil, f, 0)
	both := e.Append([][]float32{slices.Clone(one[0]), slices.Clone(one[1])}, f, 1)
	for c := range one {
		require.Len(t, both[c], 2*len(one[c]))
		assert.True(t, slices.Equal(one[c], both[c][:len(one[c])]), "channel %d", c)
	}
}

// TestColorFrameCloses: a still picture repeats sample for sample after its
// sequence of frames, each made by its own encoder from counted time, and not
// before (SMPTE 170M clause 13.2: two frames; ITU-R BT.1700 Annex 1 Part B note
// 1: four; the others by [repeats]). That the frame after the sequence is what
// time alone asks for is the twin's part.
func TestColorFrameCloses(t *testing.T) {
	for _, tt := range []struct {
		wire string
		scan *timing.Scan
		want int
	}{
		{"composite-m", timing.Scan525i, 2}, {"pal", timing.Scan625i, 4}, {"composite-j", timing.Scan263, 2},
		{"composite-j", timing.Scan262, 1}, {"composite-m", timing.Scan262c228, 1}, {"composite-m", timing.Scan262c227_33, 3},
		{"pal", timing.Scan312, 1}, {"pal", timing.Scan313, 4},
	} {
		w := composite.Lookup(tt.wire)
		e, err := composite.NewEncoder(w, tt.scan, composite.Standard)
		require.NoError(t, err)
		of := func(n int) [][]float32 {
			return fresh(t, w, tt.scan, composite.Standard, flat(0.5, 0.2, 0.1)(e.Lattice(n)), n)
		}
		first := of(0)
		for n := 1; n < tt.want; n++ {
			assert.False(t, slices.Equal(first[0], of(n)[0]), "%s on %s: frame %d is frame 0 again", tt.wire, tt.scan.Name, n)
		}
		equalSignals(t, first, of(tt.want), fmt.Sprintf("%s on %s: frame %d", tt.wire, tt.scan.Name, tt.want))
	}
}

// TestMissingLines: where a picture has no row for a line of the system, the
// line is black (at setup where there is one), not blanked and not a copy.
func TestMissingLines(t *testing.T) {
	for _, tt := range []struct {
		wire  string
		scan  *timing.Scan
		black float64
	}{
		{"composite-m", timing.Scan525i, 7.5 * ire}, {"yc-m", timing.Scan525i, 7.5 * ire}, {"composite-j", timing.Scan525i, 0}, {"pal", timing.Scan625i, 0},
		{"component-betacam", timing.Scan525i, 7.5 * ire}, {"component-n10", timing.Scan625i, 0}, {"rgb-700", timing.Scan525i, 0},
	} {
		h := figuresOf(t, tt.scan).us(t, "line period")
		gone := func(line int) bool { return line >= 100 && line < 110 || line == 400 }
		tapes := record(t, tt.wire, tt.scan, composite.Standard, 1, func(l *timing.Raster) *frame.Frame {
			return without(painted(l, func(line int, us float64) color { return color{0.5 + 0.001*float64(line%7), 0.2, 0.2} }), gone)
		})
		for _, line := range []int{99, 100, 105, 109, 110, 399, 400, 401} {
			for c, r := range tapes {
				want := 0.0
				if c == 0 || tt.wire == "rgb-700" {
					want = tt.black
				}
				zero := float64(line-1) * h
				all := r.v[int(r.index(zero+14)):int(r.index(zero+58))]
				least, greatest := float64(slices.Min(all)), float64(slices.Max(all))
				if gone(line) {
					assert.InDelta(t, want, least, 0.01, "%s channel %d line %d", tt.wire, c, line)
					assert.InDelta(t, want, greatest, 0.01, "%s channel %d line %d", tt.wire, c, line)
				} else {
					assert.Greater(t, greatest, 100.0, "%s channel %d line %d", tt.wire, c, line)
				}
			}
		}
	}
}
