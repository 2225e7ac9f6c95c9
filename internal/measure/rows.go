package measure

import (
	"math"

	"backporch/colorimetry"
	"backporch/timing"
)

// rowForRow reports whether rows of a capture at that place are rows of an
// interlaced raster, one for one: interpolated ones belong to no field.
func rowForRow(def *Picture, at Place) bool {
	if !def.Fields {
		return false
	}
	for _, s := range []*timing.System{timing.System525, timing.System625} {
		rows := 2 * s.Height.Float64()
		if math.Abs(at.DY-rows) < 0.004*rows && math.Abs(at.DY-rows)/rows*float64(def.Height) < 0.6 {
			return true
		}
	}
	return false
}

// SwappedRows returns the probability that rows 2k and 2k+1 of a capture have
// changed places, so that each field lies on the rows of the other. def is the
// definition at the capture's place. ok is false where the two rows of a pair
// differ nowhere.
//
// What changes from row 2k to row 2k+1 in the capture is compared with what must
// change. Gain is then positive, whatever the levels; swapped, it is negative.
func SwappedRows(p, def *Picture, at Place) (confidence float64, ok bool) {
	if !rowForRow(def, at) || def.Width != p.Width || def.Height != p.Height {
		return 0, false
	}
	var dd, cd, cc, n float64
	for j := 0; j+1 < p.Height; j += 2 {
		a, b := def.Row(colorimetry.Y, j), def.Row(colorimetry.Y, j+1)
		c, d := p.Row(colorimetry.Y, j), p.Row(colorimetry.Y, j+1)
		for i := range a {
			x := float64(b[i] - a[i])
			if math.Abs(x) < 0.02 {
				continue
			}
			y := float64(d[i] - c[i])
			n++
			dd += x * x
			cd += x * y
			cc += y * y
		}
	}
	if n < 40 || dd <= 0 {
		return 0, false
	}
	gain := cd / dd
	// What is left is noise, detail that the chain lost, and a place that is a
	// little wrong: neighbors share it, so that eight samples count for one.
	sigma := math.Sqrt(max(cc-float64(gain*cd), 0) / n / dd * 8)
	sigma = math.Hypot(sigma, 0.1)
	if math.Abs(gain) < 0.15 && sigma < 0.15 { // fields were blended, or doubled: neither way
		return 0.5, false
	}
	return math.Erfc(gain/sigma/math.Sqrt2) / 2, sigma < 0.5
}

// MixedChroma returns how much of the chroma of a capture is a mean of the two
// fields, 0 to 1, as conversion of interlaced pictures to 4:2:0 by frames makes
// it, and its standard deviation. ok is false where the color of the rows of the
// two fields differs too little.
//
// Each row is taken for a mixture of its own color, of the mean of rows 2k and
// 2k+1, and of a mean within its field, which is harmless; what the levels have
// become is learned where all three are the same.
func MixedChroma(p, def *Picture, at Place) (mixed, sigma float64, ok bool) {
	if !rowForRow(def, at) || def.Width != p.Width || def.Height != p.Height {
		return 0, 0, false
	}
	l, ok := learnedColor(p, def)
	if !ok {
		return 0, 0, false
	}
	var m [2][2]float64
	var y [2]float64
	var rest, n float64
	for j := 2; j+2 < p.Height; j++ {
		eachColor(p, def, j, func(got [2]float64, own, both, field [2]float64) {
			own, both, field = l.of(own), l.of(both), l.of(field)
			for c := range got {
				a, b, e := both[c]-own[c], field[c]-own[c], got[c]-own[c]
				m[0][0] += a * a
				m[0][1] += a * b
				m[1][1] += b * b
				y[0] += a * e
				y[1] += b * e
				rest += e * e
				n++
			}
		})
	}
	const ridge = 1e-3 // of a share of a harmless mean that nothing shows
	m[1][1] += ridge
	d := m[0][0]*m[1][1] - m[0][1]*m[0][1]
	if m[0][0] < 0.05 || d <= 0 {
		return 0, 0, false
	}
	mixed = (y[0]*m[1][1] - y[1]*m[0][1]) / d
	within := (y[1]*m[0][0] - y[0]*m[0][1]) / d
	rest -= mixed*y[0] + within*y[1]
	sigma = math.Sqrt(max(rest, 0)/n*m[1][1]/d*8) + 0.01
	return mixed, sigma, sigma < 0.3
}

// eachColor calls f with what row j holds and what it might hold, at samples
// beside which the color does not change along the row.
func eachColor(p, def *Picture, j int, f func(got, own, both, field [2]float64)) {
	const clear = 6 // samples to either side
	pick := func(q *Picture, j, i int) (c [2]float64) {
		return [2]float64{float64(q.Row(colorimetry.CB, j)[i]), float64(q.Row(colorimetry.CR, j)[i])}
	}
	mean := func(a, b [2]float64, k float64) [2]float64 {
		return [2]float64{a[0] + float64(k*(b[0]-a[0])), a[1] + float64(k*(b[1]-a[1]))}
	}
	k, step := p.ChromaRow(j), max(4, p.Across)
	for i := step * 2; i+clear < p.Width; i += step {
		own := pick(def, j, i)
		if l, r := pick(def, j, i-clear), pick(def, j, i+clear); far(own, l) || far(own, r) {
			continue
		}
		field := mean(mean(pick(def, j-2, i), pick(def, j+2, i), 0.5), own, 0.5)
		if p.Down == 2 && p.Fields {
			// Its row stands for two lines of the field.
			first := j/4*4 + j%2
			own = mean(pick(def, first, i), pick(def, min(first+2, def.Height-1), i), 0.5)
		}
		f(pick(p, k, i/p.Across), own, mean(pick(def, j&^1, i), pick(def, j|1, i), 0.5), field)
	}
}

func far(a, b [2]float64) bool {
	return math.Abs(a[0]-b[0]) > 0.004 || math.Abs(a[1]-b[1]) > 0.004
}

// A colorMap is what the chain made of CB and CR: a matrix and an offset.
type colorMap [2][3]float64

func (l *colorMap) of(c [2]float64) [2]float64 {
	return [2]float64{l[0][0] + float64(l[0][1]*c[0]) + float64(l[0][2]*c[1]), l[1][0] + float64(l[1][1]*c[0]) + float64(l[1][2]*c[1])}
}

// learnedColor learns it where rows do not differ.
func learnedColor(p, def *Picture) (*colorMap, bool) {
	e := newEquations(3)
	var y [2][3]float64
	var n, spread float64
	for j := 2; j+2 < p.Height; j++ {
		eachColor(p, def, j, func(got, own, both, field [2]float64) {
			if far(own, both) || far(own, field) {
				return
			}
			q := [3]float64{1, own[0], own[1]}
			for a := range q {
				for b := range q {
					e.m[a][b] += q[a] * q[b]
				}
				y[0][a] += q[a] * got[0]
				y[1][a] += q[a] * got[1]
			}
			n++
			spread += own[0]*own[0] + own[1]*own[1]
		})
	}
	l := &colorMap{{0, 1, 0}, {0, 0, 1}}
	if n < 100 {
		return l, true // as it was
	}
	// One color alone does not tell a matrix: what it does not tell stays as it was.
	const stay = 0.5
	for c := range y {
		for a := 1; a < 3; a++ {
			y[c][a] += stay * l[c][a]
		}
	}
	for a := 1; a < 3; a++ {
		e.m[a][a] += stay
	}
	for c := range l {
		e.y = y[c][:]
		x, ok := e.solution()
		if !ok {
			return nil, false
		}
		copy(l[c][:], x)
	}
	return l, true
}
