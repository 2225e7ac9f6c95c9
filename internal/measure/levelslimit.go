package measure

import "backporch/colorimetry"

// limits are what the coding of a capture can hold.
type limits struct {
	none        bool
	model       colorimetry.Model
	least, most [3]float64
	step        [3]float64 // one code
}

func limitsOf(k *colorimetry.Coding) limits {
	if k == nil {
		return limits{none: true, step: [3]float64{1.0 / 219, 1.0 / 224, 1.0 / 224}} // as of 8 bits
	}
	l := limits{model: k.Model}
	one := k.Real(colorimetry.Signal{Y: 1, CB: 1, CR: 1})
	if k.Model == colorimetry.RGB {
		one = k.Real(colorimetry.Gray(1))
	}
	for i := range 3 {
		least, most, zero := k.Range(i)
		l.step[i] = 1 / (one[i] - zero)
		l.least[i], l.most[i] = (float64(least)-zero)*l.step[i], (float64(most)-zero)*l.step[i]
	}
	return l
}

// hold returns the nearest to s that the coding can hold, but for rounding.
func (l *limits) hold(s colorimetry.Signal) colorimetry.Signal {
	if l.none {
		return s
	}
	v := [3]float64{s.Y, s.CB, s.CR}
	if l.model == colorimetry.RGB {
		v[0], v[1], v[2] = s.RGB()
	}
	held := false
	for i := range v {
		x := min(max(v[i], l.least[i]), l.most[i])
		held = held || x != v[i]
		v[i] = x
	}
	switch {
	case !held:
		return s
	case l.model == colorimetry.RGB:
		return colorimetry.FromRGB(v[0], v[1], v[2])
	}
	return colorimetry.Signal{Y: v[0], CB: v[1], CR: v[2]}
}
