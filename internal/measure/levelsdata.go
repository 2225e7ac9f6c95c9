package measure

import (
	"math"

	"backporch/colorimetry"
	"backporch/pattern"
)

// A datum is a level that was wanted and what came of it.
type datum struct {
	want, got colorimetry.Signal
	sigma     [3]float64
	n         float64 // patches that were put together
}

// Levels are uncertain besides noise: a player rounds to codes, a capture rounds
// again, and encoders leave ripples. A code of eight bits is 0.0046 of luma, so
// rounding twice deviates by 0.0019.
const roundSigma = 0.0022

// rampSlices is how many narrow slices of a ramp count as levels, so that a bent
// ramp, or one with steps, is seen as such.
const rampSlices = 48

// levelData collects what the patches of a picture say of levels. Patches of
// one wanted level are one datum: their rounding is the same.
func levelData(p *Picture, at Place, q *Request, list []Patch) []datum {
	var out []datum
	add := func(want, got colorimetry.Signal, sigma [3]float64) {
		for i := range out {
			if d := &out[i]; same(d.want, want) {
				d.join(got, sigma)
				return
			}
		}
		out = append(out, datum{want, got, sigma, 1})
	}
	for i := range list {
		m := &list[i]
		switch {
		case !m.Measured():
		case m.Kind == pattern.Level:
			add(m.Expect, m.Got, m.Sigma)
		case m.Kind == pattern.Ramp || m.Kind == pattern.RampDown:
			for _, s := range sliced(p, at, q.View, m) {
				add(s.Expect, q.correct(s.Got), s.Sigma)
			}
		}
	}
	round(out)
	return out
}

// round adds to the deviations those of rounding. Levels that share a component
// share its rounding, so that together they say of it no more than one.
func round(list []datum) {
	const near = 0.001
	for i := range list {
		d := &list[i]
		for c := colorimetry.Y; c <= colorimetry.CR; c++ {
			n := 0.0
			for k := range list {
				if math.Abs(list[k].want.Of(c)-d.want.Of(c)) < near {
					n++
				}
			}
			d.sigma[c] = math.Hypot(d.sigma[c]/d.n, roundSigma*math.Sqrt(n))
		}
	}
}

// join adds another patch of the same level; sigma becomes that of the sum.
func (d *datum) join(got colorimetry.Signal, sigma [3]float64) {
	d.n++
	d.got.Y += (got.Y - d.got.Y) / d.n
	d.got.CB += (got.CB - d.got.CB) / d.n
	d.got.CR += (got.CR - d.got.CR) / d.n
	for c := range 3 {
		d.sigma[c] = math.Hypot(d.sigma[c], sigma[c])
	}
}

// same reports equal levels, up to a quarter of an 8-bit code.
func same(a, b colorimetry.Signal) bool {
	const near = 0.001
	return math.Abs(a.Y-b.Y) < near && math.Abs(a.CB-b.CB) < near && math.Abs(a.CR-b.CR) < near
}

// sliced measures narrow slices of a ramp as levels.
func sliced(p *Picture, at Place, v pattern.View, m *Patch) []Patch {
	var out []Patch
	for i := range rampSlices {
		s := *m
		s.Kind = pattern.Level
		// The middle third of each part.
		a, b := (float64(i)+1.0/3)/rampSlices, (float64(i)+2.0/3)/rampSlices
		if m.Kind == pattern.Ramp {
			e := max(v.Edge[0], v.Edge[1]) / 2 // which measuring takes off again
			w := m.X1 - m.X0
			s.X0, s.X1 = m.X0+float64(a*w)-e, m.X0+float64(b*w)+e
		} else {
			h := m.Y1 - m.Y0
			s.Y0, s.Y1 = m.Y0+float64(a*h), m.Y0+float64(b*h)
		}
		s.measure(p, at, v)
		if !s.Measured() {
			continue
		}
		// Where the slice has come to lie, in whole samples.
		k := ((float64(s.Area.Min.X+s.Area.Max.X-1)/2-at.X0)/at.DX - m.X0) / (m.X1 - m.X0)
		if m.Kind == pattern.RampDown {
			k = ((float64(s.Area.Min.Y+s.Area.Max.Y-1)/2-at.Y0)/at.DY - m.Y0) / (m.Y1 - m.Y0)
		}
		s.Expect = colorimetry.Signal{
			Y:  m.Expect.Y + float64(k*(m.ExpectTo.Y-m.Expect.Y)),
			CB: m.Expect.CB + float64(k*(m.ExpectTo.CB-m.Expect.CB)),
			CR: m.Expect.CR + float64(k*(m.ExpectTo.CR-m.Expect.CR)),
		}
		// The slope is no unevenness.
		for c := range 3 {
			s.Sigma[c] = s.Noise[c] / math.Sqrt(float64(s.N))
		}
		out = append(out, s)
	}
	return out
}

// correct takes out what the capture device does.
func (q *Request) correct(s colorimetry.Signal) colorimetry.Signal {
	if q.Correct != nil {
		return q.Correct(s)
	}
	return s
}

// known returns the standard deviations of the gains of luma and of chroma, as
// far as the differences between the levels tell.
func (v *verdict) known() (sigma [2]float64) {
	var luma, chroma, least float64
	for i := range v.data {
		w := v.data[i].want
		if i == 0 {
			least = w.Y
		}
		luma, least = max(luma, w.Y), min(least, w.Y)
		chroma = max(chroma, math.Abs(w.CB), math.Abs(w.CR))
	}
	// Where there are no levels; and what levels alone say of a gain at best, for a
	// fault that they do not show may change it.
	const some, best = 0.3, 0.03
	return [2]float64{
		min(some, max(best, roundSigma/max(luma-least, 1e-9))),
		min(some, max(best, roundSigma/max(chroma, 1e-9))),
	}
}
