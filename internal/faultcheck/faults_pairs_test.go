package faultcheck

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"backporch/internal/measure"
)

// The faults of this file are made in the test itself, of the codes of the file
// that is played, so that any two can come together. Weights of luma: ITU-R
// BT.601-5 clause 3.5.1 (0.299, 0.587, 0.114), BT.709-5 item 3.2 (0.2126, 0.7152,
// 0.0722). CB and CR are (B'-Y')/(2-2kb) and (R'-Y')/(2-2kr) of them.

// A pixel is Y', CB, CR.
type pixel [3]float64

func toColors(p pixel, kr, kb float64) [3]float64 {
	r, b := p[0]+(2-2*kr)*p[2], p[0]+(2-2*kb)*p[1]
	return [3]float64{r, (p[0] - kr*r - kb*b) / (1 - kr - kb), b}
}

func ofColors(c [3]float64, kr, kb float64) pixel {
	y := kr*c[0] + (1-kr-kb)*c[1] + kb*c[2]
	return pixel{y, (c[2] - y) / (2 - 2*kb), (c[0] - y) / (2 - 2*kr)}
}

func eachColor(c [3]float64, f func(float64) float64) [3]float64 {
	return [3]float64{f(c[0]), f(c[1]), f(c[2])}
}

// A one is a fault that the test makes, after all that have a lesser order.
type one struct {
	fault  measure.Fault
	order  int
	value  float64
	within float64
	levels func(pixel) pixel      // of each sample, or
	planes func(*measure.Picture) // of the whole
	loses  bool                   // what lies beyond black and white
}

// ones are in the order in which a chain has them: file, matrix, place and
// detail, levels of the output.
func ones() []one {
	none := math.NaN()
	hold := func(x float64) float64 { return min(max(x, 0), 1) }
	sin, cos := math.Sincos(6 * math.Pi / 180)
	const ku, kv = 0.872021, 1.229951 // SMPTE 170M-2004 clause A.3
	list := []one{
		{fault: measure.BelowBlackCut, value: none, loses: true, levels: func(p pixel) pixel { return pixel{max(p[0], 0), p[1], p[2]} }},
		{fault: measure.Quantized, value: 4, within: 0.5, loses: true, levels: func(p pixel) pixel {
			return ofColors(eachColor(toColors(p, 0.299, 0.114), func(x float64) float64 { return math.Round(15*hold(x)) / 15 }), 0.299, 0.114)
		}},
		{fault: measure.ChromaSwapped, value: none, levels: func(p pixel) pixel { return pixel{p[0], p[2], p[1]} }},
		{fault: measure.Decoded709, value: none, loses: true, levels: func(p pixel) pixel {
			return ofColors(eachColor(toColors(p, 0.2126, 0.0722), hold), 0.299, 0.114)
		}},
		{fault: measure.Encoded709, value: none, loses: true, levels: func(p pixel) pixel {
			return ofColors(eachColor(toColors(p, 0.299, 0.114), hold), 0.2126, 0.0722)
		}},
		{fault: measure.Gamma, value: 0.88, within: 0.5 / 34.7, loses: true, levels: func(p pixel) pixel {
			return ofColors(eachColor(toColors(p, 0.299, 0.114), func(x float64) float64 { return math.Pow(hold(x), 0.88) }), 0.299, 0.114)
		}},
		{fault: measure.ChromaBandwidth, value: downBy3dB([]int{1, 8, 28, 56, 70, 56, 28, 8, 1}), within: 0.15, planes: func(p *measure.Picture) {
			convolveRows(p, 1, 1, 8, 28, 56, 70, 56, 28, 8, 1)
			convolveRows(p, 2, 1, 8, 28, 56, 70, 56, 28, 8, 1)
		}},
		{fault: measure.ChromaLate, value: 2 / 13.5 * 1000, within: 15, planes: func(p *measure.Picture) {
			convolveRows(p, 1, 0, 0, 0, 0, 1)
			convolveRows(p, 2, 0, 0, 0, 0, 1)
		}},
		{fault: measure.Shifted, value: 5, within: 0.2, planes: func(p *measure.Picture) { displace(p, 5, 0) }},
		{fault: measure.ShiftedY, value: 4, within: 0.2, planes: func(p *measure.Picture) { displace(p, 0, 4) }},
		{fault: measure.RangeSqueezed, value: none, levels: func(p pixel) pixel {
			return pixel{(16 + 219*p[0]) / 255, p[1] * 224 / 255, p[2] * 224 / 255}
		}},
		{fault: measure.RangeStretched, value: none, loses: true, levels: func(p pixel) pixel {
			return pixel{hold((255*p[0] - 16) / 219), p[1] * 255 / 224, p[2] * 255 / 224}
		}},
		{fault: measure.SetupAdded, value: none, levels: func(p pixel) pixel { return pixel{0.075 + 0.925*p[0], 0.925 * p[1], 0.925 * p[2]} }},
		{fault: measure.SetupMissing, value: none, loses: true, levels: func(p pixel) pixel {
			return pixel{(p[0] - 0.075) / 0.925, p[1] / 0.925, p[2] / 0.925}
		}},
		{fault: measure.LumaGain, value: -6, within: 0.5, levels: func(p pixel) pixel { return pixel{0.94 * p[0], 0.94 * p[1], 0.94 * p[2]} }},
		{fault: measure.BlackOffset, value: -3, within: 0.5, loses: true, levels: func(p pixel) pixel { return pixel{p[0] - 0.03, p[1], p[2]} }},
		{fault: measure.ChromaGain, value: -12, within: 1, levels: func(p pixel) pixel { return pixel{p[0], 0.88 * p[1], 0.88 * p[2]} }},
		{fault: measure.ChromaPhase, value: 6, within: 0.5, levels: func(p pixel) pixel {
			return pixel{p[0], cos*p[1] - sin*kv/ku*p[2], sin*ku/kv*p[1] + cos*p[2]}
		}},
	}
	for i := range list {
		list[i].order = i
	}
	return list
}

// convolveRows filters a plane along the line, its ends continuing.
func convolveRows(p *measure.Picture, plane int, taps ...int) {
	var sum float64
	for _, k := range taps {
		sum += float64(k)
	}
	out := make([]float32, p.Width)
	for j := range p.Height {
		in := p.Planes[plane][j*p.Width : (j+1)*p.Width]
		for i := range out {
			var v float64
			for k, tap := range taps {
				v += float64(tap) * float64(in[min(max(i+len(taps)/2-k, 0), p.Width-1)])
			}
			out[i] = float32(v / sum)
		}
		copy(in, out)
	}
}

// displace moves a picture into black.
func displace(p *measure.Picture, right, down int) {
	for c := range p.Planes {
		in := slices.Clone(p.Planes[c])
		for i := range in {
			x, y := i%p.Width-right, i/p.Width-down
			p.Planes[c][i] = 0
			if x >= 0 && x < p.Width && y >= 0 && y < p.Height {
				p.Planes[c][i] = in[y*p.Width+x]
			}
		}
	}
}

// do makes a fault.
func (o *one) do(p *measure.Picture) {
	if o.planes != nil {
		o.planes(p)
		return
	}
	var was, is pixel
	for i := range p.Planes[0] {
		if now := (pixel{float64(p.Planes[0][i]), float64(p.Planes[1][i]), float64(p.Planes[2][i])}); i == 0 || now != was {
			was, is = now, o.levels(now)
		}
		for c := range is {
			p.Planes[c][i] = float32(is[c])
		}
	}
}

// toCodes rounds to codes of 8 bits.
func toCodes(p *measure.Picture) {
	for c := range p.Planes {
		zero, span := 16., 219.
		if c > 0 {
			zero, span = 128, 224
		}
		for i, v := range p.Planes[c] {
			code := min(max(math.Floor(float64(v)*span+zero+0.5), 1), 254)
			p.Planes[c][i] = float32((code - zero) / span)
		}
	}
}

// opposed reports faults that undo each other.
func opposed(a, b measure.Fault) bool {
	for _, pair := range [][2]measure.Fault{
		{measure.RangeSqueezed, measure.RangeStretched}, {measure.SetupAdded, measure.SetupMissing}, {measure.Decoded709, measure.Encoded709},
	} {
		if pair == [2]measure.Fault{a, b} || pair == [2]measure.Fault{b, a} {
			return true
		}
	}
	return false
}

// TestFaultsInPairs: of pairs that the pattern shows most are found, both and
// with their numbers, and few faults are given for sure that are not there.
func TestFaultsInPairs(t *testing.T) {
	t.Parallel()
	patterns := []string{"bars-eg1", "bars-rp219"}
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	all, good, given, wrong := 0, 0, 0, 0
	for k, spec := range patterns {
		n := 0
		s := newSheet(t, spec, "480i", 1)
		clear := s.picture(s.codes(t))
		list := slices.DeleteFunc(ones(), func(o one) bool { return measure.Observes(spec, o.fault) != measure.Observable })
		for i, a := range list {
			for _, b := range list[i+1:] {
				n++
				switch {
				case opposed(a.fault, b.fault):
					continue
				case a.fault == measure.BelowBlackCut && b.loses: // which cuts it anyway
					continue
				case k > 0 && n%3 != 0: // a third of them, for the sake of time
					continue
				}
				p := *clear
				for c := range p.Planes {
					p.Planes[c] = slices.Clone(clear.Planes[c])
				}
				a.do(&p)
				b.do(&p)
				toCodes(&p)
				r := s.measure(t, &p)
				all++
				if a.foundIn(r) && b.foundIn(r) {
					good++
				} else {
					t.Logf("%s: %s %.4g and %s %.4g: %s", spec, a.fault, a.value, b.fault, b.value, told(r))
				}
				for _, f := range r.Findings {
					if f.Confidence < 0.9 {
						continue
					}
					given++
					cut := (a.loses || b.loses) && (f.Fault == measure.BelowBlackCut || f.Fault == measure.AboveWhiteCut)
					if f.Fault != a.fault && f.Fault != b.fault && !cut {
						wrong++
						t.Logf("%s: %s %.4g and %s %.4g: wrong: %s %.4g", spec, a.fault, a.value, b.fault, b.value, f.Fault, f.Value)
					}
				}
			}
		}
	}
	t.Logf("%d pairs: %d found, both and with their numbers; of %d findings with 90 %% or more %d wrong", all, good, given, wrong)
	assert.GreaterOrEqual(t, float64(good)/float64(all), 0.9)
	assert.LessOrEqual(t, float64(wrong)/float64(given), 0.05)
}

func (o *one) foundIn(r *measure.Result) bool {
	for _, f := range r.Findings {
		if f.Fault == o.fault {
			return f.Confidence >= 0.5 && (math.IsNaN(o.value) || math.Abs(f.Value-o.value) <= o.within)
		}
	}
	return false
}
