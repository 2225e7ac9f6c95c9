package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
)

// TestRefuses: what cannot be measured is named, with the reason and the way out.
func TestRefuses(t *testing.T) {
	b := newBench(t, "bars-eg1", "480i")
	for _, c := range []struct {
		name string
		do   func(q *Request)
		want string
	}{
		{"pattern", func(q *Request) { q.Scene = nil }, "nothing can be measured without the pattern and the raster that were played; name both"},
		{"small", func(q *Request) { q.Picture.Width = 8 }, "a capture of 8 by 480 samples is too small to be measured; capture 32 by 32 or more"},
		{"chroma", func(q *Request) { q.Picture.Across = 0 }, "a capture with 0 by 1 samples to one of chroma cannot be measured"},
		{"plane", func(q *Request) { q.Picture.Planes[1] = q.Picture.Planes[1][:5] }, "plane CB holds 5 samples in the place of 360 by 480; the capture is incomplete"},
		{"number", func(q *Request) { q.Picture.Planes[0][7] = float32(math.NaN()) }, "plane Y holds values that are no numbers; capture anew"},
		{"region narrow", func(q *Request) { q.Region = [4]float64{10, 10, 20, 400} }, "region 10,10,20,400 is 10 columns wide and 390 rows high; give X0,Y0,X1,Y1 with X1 right of X0 and Y1 below Y0, at least 16 apart"},
		{"region outside", func(q *Request) { q.Region = [4]float64{800, 10, 900, 400} }, "region 800,10,900,400 lies outside the capture of 720 by 480 samples; give columns and rows within it"},
	} {
		q := b.request(b.play(t, nil, false, 0, nil))
		c.do(q)
		_, err := Measure(q)
		assert.EqualError(t, err, c.want, c.name)
	}
}

// TestRegion: with the region of the analog picture nothing is searched, and
// levels are as they are.
func TestRegion(t *testing.T) {
	b := newBench(t, "bars-eg1", "480i")
	q := b.request(b.play(t, []ill{{LumaGain, -4}}, false, 0.005, rand.New(rand.NewPCG(2, 2))))
	e, at := b.raster.Picture(), Nominal(b.raster)
	x0, y0 := at.Sample(e.X0, e.Y0)
	x1, y1 := at.Sample(e.X1, e.Y1)
	q.Region = [4]float64{x0, y0 + 0.5, x1, y1 + 0.5}
	r, err := Measure(q)
	require.NoError(t, err)
	right, down, wider, higher := r.Place.Against(at)
	assert.InDelta(t, 0, math.Abs(right)+math.Abs(down)+math.Abs(wider)+math.Abs(higher), 1e-9)
	f, ok := r.of(LumaGain)
	require.True(t, ok)
	assert.InDelta(t, -4, f.Value, 0.5)
}

// TestCorrects: a capture device that is known to add a gain is taken out, and
// what is expected differently is no fault.
func TestCorrects(t *testing.T) {
	b := newBench(t, "bars-eg1", "480i")
	q := b.request(b.play(t, []ill{{LumaGain, 6}}, false, 0, nil))
	q.Correct = func(s colorimetry.Signal) colorimetry.Signal {
		return colorimetry.Signal{Y: s.Y / 1.06, CB: s.CB / 1.06, CR: s.CR / 1.06}
	}
	r, err := Measure(q)
	require.NoError(t, err)
	assert.Empty(t, r.Findings, brief(r))

	q = b.request(b.play(t, []ill{{SetupAdded, 0}}, false, 0, nil))
	q.Expect = func(s colorimetry.Signal) colorimetry.Signal {
		return colorimetry.Signal{Y: 0.075 + 0.925*s.Y, CB: 0.925 * s.CB, CR: 0.925 * s.CR}
	}
	r, err = Measure(q)
	require.NoError(t, err)
	assert.Empty(t, r.Findings, brief(r))
}

// TestWords: numbers, units and a way out; of each fault something.
func TestWords(t *testing.T) {
	b := newBench(t, "bars-eg1", "480i")
	r, err := Measure(b.request(b.play(t, []ill{{LumaGain, 4.2}, {ChromaPhase, -5}}, false, 0, nil)))
	require.NoError(t, err)
	gain, _ := r.of(LumaGain)
	assert.Regexp(t, `^Luma is 4\.[0-4] % too high: `, gain.Words)
	phase, _ := r.of(ChromaPhase)
	assert.Regexp(t, `^Hues are turned by (4\.9|5\.[01]) degrees clockwise`, phase.Words)
	q := &Request{Raster: b.raster}
	for _, f := range Faults() {
		for _, v := range []float64{-3, 3} {
			text := words(&Finding{Fault: f, Value: v}, r, q)
			assert.Greater(t, len(text), 60, f)
			assert.NotContains(t, text, "NaN", f)
			assert.NotContains(t, text, "%!", f)
		}
	}
}

// TestAlike: pluge has no white, so a stretched range and setup that was taken
// off both end in plain black; both are named, with a pattern that parts them.
func TestAlike(t *testing.T) {
	b := newBench(t, "pluge", "480i")
	r, err := Measure(b.request(b.play(t, []ill{{RangeStretched, 0}}, false, 0, nil)))
	require.NoError(t, err)
	f, ok := r.of(RangeStretched)
	require.True(t, ok, brief(r))
	assert.Less(t, f.Confidence, sure)
	assert.NotEmpty(t, f.Alike)
	assert.Equal(t, Observable, Observes(f.Part, RangeStretched), f.Part)
}

// TestUnseen: for what a pattern does not show, another is named.
func TestUnseen(t *testing.T) {
	b := newBench(t, "staircase", "480i")
	r, err := Measure(b.request(b.play(t, nil, false, 0, nil)))
	require.NoError(t, err)
	var phase *Unseen
	for i := range r.Unseen {
		if r.Unseen[i].Fault == ChromaPhase {
			phase = &r.Unseen[i]
		}
		assert.NotEqual(t, Observable, r.Unseen[i].Seen)
		assert.NotEmpty(t, r.Unseen[i].Play)
	}
	require.NotNil(t, phase)
	assert.Equal(t, Unseen{ChromaPhase, None, "bars-eg1"}, *phase)
}

func BenchmarkMeasure(b *testing.B) {
	for _, name := range []string{"bars-eg1", "staircase", "multiburst", "zone-plate"} {
		for _, raster := range []string{"480i", "576i"} {
			b.Run(name+"/"+raster, func(b *testing.B) {
				c := newBench(b, name, raster)
				q := c.request(c.play(b, nil, false, 0.005, rand.New(rand.NewPCG(2, 2))))
				b.ReportAllocs()
				for b.Loop() {
					_, err := Measure(q)
					require.NoError(b, err)
				}
			})
		}
	}
}
