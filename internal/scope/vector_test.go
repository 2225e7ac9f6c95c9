package scope

import (
	"math"
	"math/cmplx"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/testtable"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTargets holds the places of the targets to published figures.
func TestTargets(t *testing.T) {
	byName := func(w string, percent int) map[string]complex128 {
		m := map[string]complex128{}
		for _, x := range targets(composite.Lookup(w), percent) {
			m[x.name] = x.at
		}
		return m
	}
	names := map[string]string{"Yellow": "YL", "Cyan": "CY", "Green": "G", "Magenta": "MG", "Red": "R", "Blue": "B"}
	got := byName("composite-m", 75)
	n := 0
	for _, r := range testtable.Table(t, "smpte170m_75_bars.csv") { // SMPTE 170M table A.3
		name, ok := names[r.Text(t, "bar")]
		if !ok {
			continue
		}
		n++
		assert.InDelta(t, r.Float(t, "chroma_pp_IRE")*1000/140, 2*cmplx.Abs(got[name]), 0.01*1000/140, name)
		assert.InDelta(t, r.Float(t, "phase_deg"), degrees(got[name]), 0.01, name)
	}
	assert.Equal(t, 6, n)
	// The printed figures of a broadcast equipment manual for N10: B-Y and R-Y.
	n10 := byName("component-n10", 75)
	for name, want := range map[string]complex128{"YL": -262.5 + 42.7i, "CY": 88.6 - 262.5i, "G": -173.9 - 219.8i, "MG": 173.9 + 219.8i, "R": -88.6 + 262.5i, "B": 262.5 - 42.7i} {
		assert.InDelta(t, real(want), real(n10[name]), 0.06, name)
		assert.InDelta(t, imag(want), imag(n10[name]), 0.06, name)
	}
}

// rests returns where the trace of a vectorscope rests, mV: points that keep
// their place, to 0.5 mV, for a time, of all lines.
func rests(s *setUp) (list []complex128) {
	l := newLock(s.w)
	if s.w.Wire.Subcarrier() {
		l = newBurstLock(s.w, s.chroma(), s.Frame)
	}
	const long = 24 // samples
	for _, line := range s.vectorLines() {
		v := s.differences(nil, line, l)
		for i := long; i < len(v); i += long {
			still := true
			for _, x := range v[i-long : i] {
				still = still && cmplx.Abs(x-v[i]) < 0.5
			}
			if still {
				list = append(list, v[i])
			}
		}
	}
	return list
}

// inside reports whether a place lies in the inner box of a target.
func inside(s *setUp, t target, v complex128) bool {
	turn := math.Abs(cmplx.Phase(v/t.at)) * 180 / math.Pi
	return math.Abs(cmplx.Abs(v)-cmplx.Abs(t.at)) <= s.inner() && turn <= innerDegrees
}

// hits counts the targets that have a place of rest in their inner box, and the
// places of rest, not at the middle nor of the burst, that lie in none.
func hits(t *testing.T, w *composite.Wave, percent int) (hit, stray int) {
	t.Helper()
	s, err := newSetUp(w, Options{View: Vector, Targets: percent})
	require.NoError(t, err)
	found := map[int]bool{}
	marks := s.marks()
	for _, v := range rests(s) {
		in := cmplx.Abs(v) < s.inner()
		for i, m := range marks {
			if m.burst && cmplx.Abs(v-m.at) < s.inner() {
				in = true
			}
			if !m.burst && inside(s, m, v) {
				found[i], in = true, true
			}
		}
		if !in {
			stray++
		}
	}
	return len(found), stray
}

// TestBarsFillTheBoxes: on a right signal every target has its dot and there
// are no others; on 625 lines both signs of V.
func TestBarsFillTheBoxes(t *testing.T) {
	for _, w := range composite.Wires() {
		for _, s := range []*timing.Scan{timing.Scan525i, timing.Scan625i, timing.Scan262, timing.Scan262c227_33, timing.Scan313} {
			if w.Check(s) != nil || !s.Interlaced() && (w.Kind != composite.Composite || testing.Short()) {
				continue
			}
			want := 6
			if w.Subcarrier() && w.Family.Lines == 625 {
				want = 12
			}
			for _, percent := range []int{75, 100} {
				if percent == 100 && (w.Kind == composite.YC || testing.Short()) {
					continue // as composite
				}
				hit, stray := hits(t, standard(t, w.Name, s, float64(percent)/100), percent)
				assert.Equal(t, want, hit, "%s %s %d", w.Name, s.Name, percent)
				assert.Zero(t, stray, "%s %s %d", w.Name, s.Name, percent)
			}
		}
	}
}

// TestWrongSignalsLeaveTheBoxes: what a technician must see.
func TestWrongSignalsLeaveTheBoxes(t *testing.T) {
	as := func(w *composite.Wave, wire string) *composite.Wave {
		c := *w
		c.Wire = composite.Lookup(wire)
		return &c
	}
	gain := func(v float64) composite.Options {
		o := composite.Standard
		o.ChromaGain = v
		return o
	}
	tests := []struct {
		name string
		w    *composite.Wave
		hit  int
	}{
		{"no setup where setup is expected: color 1/0.925 of it", as(standard(t, "composite-j", timing.Scan525i, 0.75), "composite-m"), 0},
		{"setup where none is expected", as(standard(t, "composite-m", timing.Scan525i, 0.75), "composite-j"), 0},
		{"gain 5 % high", wave(t, "composite-m", timing.Scan525i, 0.75, gain(1.05), 1), 0},
		{"gain 5 % low", wave(t, "pal", timing.Scan625i, 0.75, gain(0.95), 1), 0},
		{"gain 2 % high", wave(t, "composite-m", timing.Scan525i, 0.75, gain(1.02), 1), 6},
		{"Betacam on N10", as(standard(t, "component-betacam", timing.Scan525i, 0.75), "component-n10"), 0},
		{"100 % bars on 75 % targets", standard(t, "composite-m", timing.Scan525i, 1), 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			hit, _ := hits(t, tt.w, 75)
			assert.Equal(t, tt.hit, hit)
		})
	}
}

// TestLockFollowsTheBurst: a signal whose carrier lies elsewhere to its samples
// is drawn the same; only color that moves against the burst moves.
func TestLockFollowsTheBurst(t *testing.T) {
	for _, wire := range []string{"composite-m", "pal"} {
		scan := timing.Scan525i
		if wire == "pal" {
			scan = timing.Scan625i
		}
		w := standard(t, wire, scan, 0.75)
		moved := *w
		moved.Start = w.Start.Add(timing.R(1, 3)) // 30 degrees
		s, err := newSetUp(&moved, Options{View: Vector})
		require.NoError(t, err)
		l := newBurstLock(&moved, 0, 0)
		assert.True(t, l.found)
		for i, want := range map[string][]float64{"composite-m": {180}, "pal": {135, 225}}[wire] { // SMPTE 170M clause 8.2, BT.470-6 table 2 item 2.16
			assert.InDelta(t, want, l.degrees[i], 0.02)
		}
		assert.InDelta(t, float64(w.Wire.Family.Burst)/2, l.peak, 0.2)
		hit := map[string]bool{}
		for _, v := range rests(s) {
			for _, m := range s.marks() {
				if !m.burst && inside(s, m, v) {
					hit[m.name] = true
				}
			}
		}
		assert.Len(t, hit, len(s.marks())-len(l.degrees))
	}
}

func TestNoBurst(t *testing.T) {
	o := composite.Standard
	o.Burst = 0
	w := wave(t, "composite-m", timing.Scan525i, 0.75, o, 1)
	assert.False(t, newBurstLock(w, 0, 0).found)
	p, err := Draw(w, Options{View: Vector})
	require.NoError(t, err)
	assert.Contains(t, p.Notes, "No burst: ")
	hit, _ := hits(t, w, 75)
	assert.Equal(t, 6, hit, "the samples lie at zero SC/H")
}

// TestDotsInThePicture finds the dot of red, in pixels, where SMPTE 170M table
// A.3 has it.
func TestDotsInThePicture(t *testing.T) {
	p, err := Draw(standard(t, "composite-m", timing.Scan525i, 0.75), Options{View: Vector})
	require.NoError(t, err)
	box := traceBox(t, p, 0)
	m := traceAlone(p)
	// The ring is 1.4 times as wide as the farthest target, and 48 units within the box.
	perIRE := (float64(box.Dx())/2 - 48) / (1.4 * 87.7363 / 2)
	for _, c := range []struct{ pp, deg float64 }{{87.7363, 103.4558}, {62.0675, 347.0812}, {81.9253, 240.7098}} {
		sin, cos := math.Sincos(c.deg * math.Pi / 180)
		x := float64(box.Min.X+box.Max.X)/2 + c.pp/2*perIRE*cos
		y := float64(box.Min.Y+box.Max.Y)/2 - c.pp/2*perIRE*sin
		var sx, sy, n float64
		for j := int(y) - 12; j <= int(y)+12; j++ {
			for i := int(x) - 12; i <= int(x)+12; i++ {
				if d := darkness(m, i, j); d > 190 {
					sx, sy, n = sx+float64(i)+0.5, sy+float64(j)+0.5, n+1
				}
			}
		}
		require.NotZero(t, n, "a dot at %v degrees", c.deg)
		assert.InDelta(t, x, sx/n, 1)
		assert.InDelta(t, y, sy/n, 1)
	}
}

// TestRGBVector: the plane of RGB is that of Y'CbCr.
func TestRGBVector(t *testing.T) {
	w := composite.Lookup("rgb-700")
	got := differencesOf(w, colorimetry.FromRGB(0, 0, 1))
	assert.InDelta(t, 350, real(got), 1e-9, "B alone is the end of CB (ITU-R BT.601-5 clause 3.5.2)")
}
