package tone

import (
	"math"
	"testing"

	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Five frames of 525 lines are 8008 samples of 48 kHz, one of 625 lines 1920
// (memory: as digital recorders count them; and arithmetic, 5 x 48000 x
// 1001/30000). The others are by arithmetic: 44100 x 1001/30000 = 1471.47, and
// 262 lines at 227.5 cycles last 18733/1125000 s.
func TestBeside(t *testing.T) {
	for _, tt := range []struct {
		name         string
		frames       int64
		rate         int
		scan         *timing.Scan
		samples      int64
		short        timing.Ratio
		next         int64
		wantMultiple int64
	}{
		{"525, 5 frames", 5, 48000, timing.Scan525i, 8008, timing.Int(0), 5, 5},
		{"525, 1 frame", 1, 48000, timing.Scan525i, 1602, timing.R(2, 5), 5, 5},
		{"525, 2 frames", 2, 48000, timing.Scan525i, 3203, timing.R(-1, 5), 5, 5},
		{"525, 300 frames", 300, 48000, timing.Scan525i, 480480, timing.Int(0), 300, 5},
		{"525, 44.1 kHz", 100, 44100, timing.Scan525i, 147147, timing.Int(0), 100, 100},
		{"525, 44.1 kHz, 1 frame", 1, 44100, timing.Scan525i, 1471, timing.R(-47, 100), 100, 100},
		{"625", 1, 48000, timing.Scan625i, 1920, timing.Int(0), 1, 1},
		{"625, 44.1 kHz", 25, 44100, timing.Scan625i, 44100, timing.Int(0), 25, 1},
		{"262 lines", 375, 48000, timing.Scan262, 299728, timing.Int(0), 375, 375},
	} {
		t.Run(tt.name, func(t *testing.T) {
			l := Beside(tt.frames, tt.rate, tt.scan)
			assert.Equal(t, tt.samples, l.Samples)
			assert.Equal(t, tt.short, l.Difference())
			assert.Equal(t, tt.next, l.Next())
			assert.Equal(t, tt.wantMultiple, l.Unit)
		})
	}
}

// fit returns amplitude and phase, in cycles, of the sine of a frequency that
// fits samples best, and the greatest residue: by normal equations of sine and
// cosine.
func fit(x []int32, frequency, rate float64) (amplitude, phase, residue float64) {
	var ss, sc, cc, xs, xc float64
	for n, v := range x {
		s, c := math.Sincos(2 * math.Pi * frequency / rate * float64(n))
		ss, sc, cc = ss+s*s, sc+s*c, cc+c*c
		xs, xc = xs+float64(v)*s, xc+float64(v)*c
	}
	d := ss*cc - sc*sc
	a, b := (xs*cc-xc*sc)/d, (xc*ss-xs*sc)/d
	for n, v := range x {
		s, c := math.Sincos(2 * math.Pi * frequency / rate * float64(n))
		residue = max(residue, math.Abs(float64(v)-a*s-b*c))
	}
	return math.Hypot(a, b), math.Atan2(b, a) / 2 / math.Pi, residue
}

// TestSine: frequency, level and phase by a fit; what is left over is rounding,
// half a step. Peaks: 10^(-18/20) x 32767 = 4125.1, 10^(-20/20) x 32767 =
// 3276.7, of 24 bits 10^(-20/20) x 8388607 = 838860.7 (arithmetic).
func TestSine(t *testing.T) {
	for _, tt := range []struct {
		name string
		tone Tone
		peak float64
	}{
		{"R 68", Tone{timing.Int(1000), LevelR68, 48000, 16, 48000, false}, 4125.1},
		{"RP 155", Tone{timing.Int(1000), LevelRP155, 48000, 16, 48000, false}, 3276.7},
		{"24 bits", Tone{timing.Int(1000), LevelRP155, 48000, 24, 48000, false}, 838860.7},
		{"44.1 kHz", Tone{timing.Int(1000), LevelR68, 44100, 16, 44100, false}, 4125.1},
		{"full scale", Tone{timing.Int(997), 0, 48000, 16, 48000, false}, 32767},
		{"a part of a hertz", Tone{timing.R(1875, 2), -18, 48000, 16, 96000, false}, 4125.1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			require.NoError(t, tt.tone.Check())
			x := tt.tone.Append(nil, 0, 0, tt.tone.Samples)
			require.Len(t, x, int(tt.tone.Samples))
			a, phase, residue := fit(x, tt.tone.Frequency.Float64(), float64(tt.tone.Rate))
			// Rounding of the few different samples of a cycle adds up to a part of a step.
			assert.InDelta(t, tt.peak, a, 0.25)
			assert.InDelta(t, 0, phase, 1e-5)
			assert.LessOrEqual(t, residue, 0.6)
			// A wrong frequency by one part in a thousand does not fit.
			_, _, wrong := fit(x, tt.tone.Frequency.Float64()*1.001, float64(tt.tone.Rate))
			assert.Greater(t, wrong, 0.5*tt.peak)
		})
	}
}

// TestParts: samples do not depend on where a part begins.
func TestParts(t *testing.T) {
	tone := Tone{timing.Int(1000), -18, 44100, 16, 200_000, true}
	all := tone.Append(nil, 0, 0, tone.Samples)
	var parts []int32
	for from := int64(0); from < tone.Samples; from += 1021 {
		parts = tone.Append(parts, 0, from, min(from+1021, tone.Samples))
	}
	assert.Equal(t, all, parts)
}

// TestLoop: played again and again, a seamless tone has no jump where it
// begins: the last sample and the first are neighbors on one sine. One that is
// none ends in silence instead.
func TestLoop(t *testing.T) {
	loop := Tone{timing.Int(1000), -20, 48000, 16, 48048, false} // 30 frames of 525 lines, 1001 cycles
	assert.True(t, loop.Whole() && loop.Seamless())
	x := loop.Append(nil, 0, 0, loop.Samples)
	assert.Zero(t, x[0])
	assert.Equal(t, -x[1], x[len(x)-1], "odd about sample 0")

	cut := Tone{timing.Int(1000), -20, 48000, 16, 8008, false} // 166 5/6 cycles
	assert.False(t, cut.Whole() || cut.Seamless())
	x = cut.Append(nil, 0, 0, cut.Samples)
	assert.LessOrEqual(t, abs(x[len(x)-1]), int32(1), "it ends in silence")
	a, _, residue := fit(x[:7008], 1000, 48000)
	assert.InEpsilon(t, 3276.7, a, 1e-4)
	assert.LessOrEqual(t, residue, 0.6, "the fade begins 5 ms before the end, not earlier")

	l := Beside(1, 48000, timing.Scan525i)
	assert.EqualValues(t, 30, l.Loop(cut, 100), "48048 samples are the first multiple of 8008 of whole cycles of 48")
	assert.EqualValues(t, 1, Beside(1, 48000, timing.Scan625i).Loop(cut, 100))
	cut.Ident = true
	assert.EqualValues(t, 75, Beside(1, 48000, timing.Scan625i).Loop(cut, 1000), "3 s")
	assert.Zero(t, l.Loop(cut, 100), "525 lines and 3 s meet only after 3003 s")
}

func abs(v int32) int32 {
	if v < 0 {
		return -v
	}
	return v
}

// TestIdent: the left channel is silent for a quarter of a second at the end of
// every three (common practice), the right one never; nothing clicks: no
// step between two samples is greater than the sine itself makes.
func TestIdent(t *testing.T) {
	tone := Tone{timing.Int(1000), -18, 48000, 16, 7 * 48000, true}
	require.NoError(t, tone.Check())
	left, right := tone.Append(nil, 0, 0, tone.Samples), tone.Append(nil, 1, 0, tone.Samples)
	steepest := tone.Amplitude()*2*math.Pi*1000/48000 + 1
	quiet := 0
	for n := range left {
		if at := n % (3 * 48000); at >= 3*48000-12000+240 && at < 3*48000-240 {
			quiet++
			if left[n] != 0 {
				t.Fatalf("sample %d is %d within the interruption", n, left[n])
			}
		} else if at < 3*48000-12000 && left[n] != right[n] {
			t.Fatalf("sample %d differs outside it", n)
		}
		if n > 0 && math.Abs(float64(left[n]-left[n-1])) > steepest {
			t.Fatalf("a click at sample %d: from %d to %d", n, left[n-1], left[n])
		}
	}
	assert.Equal(t, 2*(12000-480), quiet)
	assert.Zero(t, left[3*48000-6000])
	a, _, residue := fit(right, 1000, 48000)
	assert.InDelta(t, 4125.1, a, 0.25)
	assert.LessOrEqual(t, residue, 0.6)
	assert.False(t, tone.Seamless(), "7 s are no whole number of interruptions")
	tone.Samples = 6 * 48000
	assert.True(t, tone.Seamless())
}

func TestCheck(t *testing.T) {
	good := Tone{timing.Int(1000), -18, 48000, 16, 48000, false}
	for want, change := range map[string]func(*Tone){
		"frequency: 24000 Hz is not above 0 and below half of 48000 samples a second": func(t *Tone) { t.Frequency = timing.Int(24000) },
		"level: 1 dBFS is not within -100 to 0":                                       func(t *Tone) { t.Level = 1 },
		"level: NaN dBFS":                                                             func(t *Tone) { t.Level = math.NaN() },
		"a tone of 0 samples":                                                         func(t *Tone) { t.Samples = 0 },
		"of 20 bits":                                                                  func(t *Tone) { t.Depth = 20 },
		"ident: the left channel is interrupted once in 3 s, and the tone lasts 1.000 s; use 3 s or more": func(t *Tone) { t.Ident = true },
	} {
		x := good
		change(&x)
		assert.ErrorContains(t, x.Check(), want)
	}
	assert.NoError(t, good.Check())
	// SMPTE RP 155 and EBU R 68 (memory).
	assert.Equal(t, -20.0, LineUp(timing.System525))
	assert.Equal(t, -18.0, LineUp(timing.System625))
}

// BenchmarkAppend: bytes are those of 16-bit samples.
func BenchmarkAppend(b *testing.B) {
	tone := Tone{timing.Int(1000), -18, 48000, 16, 1 << 40, true}
	var buf []int32
	b.SetBytes(2 * 48000)
	b.ReportAllocs()
	for b.Loop() {
		buf = tone.Append(buf[:0], 0, 0, 48000)
	}
}

// TestUsual: 10 s of 525 lines are 300 frames, 480480 samples of 48 kHz, in which
// 1000 Hz go 10010 times (arithmetic). With a channel that is interrupted every
// 3 s it takes n frames of which n x 1001 is a multiple of 90000: 3003 s.
func TestUsual(t *testing.T) {
	tone := Tone{Frequency: timing.Int(1000), Rate: 48000, Depth: 16}
	assert.EqualValues(t, 300, Usual(tone, timing.Scan525i))
	assert.EqualValues(t, 250, Usual(tone, timing.Scan625i))
	tone.Ident = true
	assert.EqualValues(t, 300, Usual(tone, timing.Scan525i), "the time between interruptions gives way")
	assert.EqualValues(t, 300, Usual(tone, timing.Scan625i), "12 s, 4 interruptions")
	tone = Tone{Frequency: timing.R(1001, 1000), Rate: 48000, Depth: 16}
	assert.EqualValues(t, 250, Usual(tone, timing.Scan625i), "no loop within a minute")
}
