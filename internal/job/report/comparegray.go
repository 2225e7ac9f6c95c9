package report

import (
	"fmt"
	"math"

	"backporch/internal/meter"
)

// grays compares the gray steps that both sides have: how far their colors lie
// apart, and their light in proportion to white. Distances from a target do not
// tell that: two sets may be off by the same amount to opposite sides.
func (c *Comparison) grays(p *pair) {
	a, b := p.r[0], p.r[1]
	if a == nil || b == nil || a.Gray == nil || b.Gray == nil {
		return
	}
	repeat, basis := colorRepeat, lightBasis
	ratio := lightRepeat
	if !p.sameInstrument() {
		repeat, ratio, basis = colorAcross, lightAcross, acrossBasis
	}
	apart := func(key, name string, x, y meter.Step, minor bool) {
		d := Difference{What: p.what, Title: p.title(), Key: key, Name: name, Unit: "u'v'", Decimals: 4, Minor: minor,
			Value: math.Hypot(x.UV.U-y.UV.U, x.UV.V-y.UV.V), Noise: 2 * rms(repeat, repeat), Basis: basis}
		d.State = stateOf(d.Value, d.Noise)
		c.Differences = append(c.Differences, d)
	}
	if a.Gray.White.Judged && b.Gray.White.Judged && math.Abs(a.Gray.White.Level-b.Gray.White.Level) < 0.005 {
		apart("whites-apart", "Whites apart", a.Gray.White, b.Gray.White, false)
	}
	for _, x := range a.Gray.Steps {
		y, ok := stepAt(b.Gray, x.Level)
		if !ok || x.Level == a.Gray.White.Level || x.Level <= 0 {
			continue
		}
		if x.Judged && y.Judged {
			apart(fmt.Sprintf("apart-%.4g", 100*x.Level), fmt.Sprintf("Grays of %.4g %% apart", 100*x.Level), x, y, true)
		}
		wa, wb := a.Gray.White.XYZ.Y, b.Gray.White.XYZ.Y
		if !(wa > 0) || !(wb > 0) || !(x.XYZ.Y > 0) || !(y.XYZ.Y > 0) {
			continue
		}
		sa, sb := 100*x.XYZ.Y/wa, 100*y.XYZ.Y/wb
		// Meters that disagree on white disagree alike on gray: the proportion
		// is as good as the repeatability.
		d := Difference{What: p.what, Title: p.title(), Key: fmt.Sprintf("light-%.4g", 100*x.Level), Name: fmt.Sprintf("Light of %.4g %%", 100*x.Level), Unit: "% of white", Decimals: 2, Minor: true,
			A: &Judged{Value: sa, Unit: "% of white", Decimals: 2}, B: &Judged{Value: sb, Unit: "% of white", Decimals: 2},
			Value: sb - sa, Noise: 2 * lightRepeat * math.Sqrt2 * rms(sa, sb), Basis: lightBasis}
		d.State = stateOf(math.Abs(d.Value), d.Noise)
		c.Differences = append(c.Differences, d)
	}
	if wa, wb := a.Gray.White.XYZ.Y, b.Gray.White.XYZ.Y; wa > 0 && wb > 0 {
		d := Difference{What: p.what, Title: p.title(), Key: "whites-ratio", Name: "White of the second against the first", Unit: "%", Decimals: 1,
			Value: 100 * (wb/wa - 1), Noise: 2 * 100 * rms(ratio, ratio), Basis: basis}
		d.State = stateOf(math.Abs(d.Value), d.Noise)
		c.Differences = append(c.Differences, d)
	}
}

// stepAt is the step of that level, to a half per cent.
func stepAt(s *meter.Steps, level float64) (meter.Step, bool) {
	for _, st := range s.Steps {
		if math.Abs(st.Level-level) < 0.005 {
			return st, true
		}
	}
	return meter.Step{}, false
}
