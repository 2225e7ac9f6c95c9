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
// 2k+1, and of a mean within its field, which is harmless; the chain may have
// made any linear thing of colors. A mixture spreads color to a row that has
// none, which no gain does.
func MixedChroma(p, def *Picture, at Place) (mixed, sigma float64, ok bool) {
	if !rowForRow(def, at) || def.Width != p.Width || def.Height != p.Height {
		return 0, 0, false
	}
	var list []colorSample
	for j := 2; j+2 < p.Height; j++ {
		list = appendColors(list, p, def, j)
	}
	l, ok := learned(list)
	if !ok {
		return 0, 0, false
	}
	// The share is the same for all that differs between the fields.
	var differ [2][2]float64
	for i := range list {
		d := list[i].between()
		for a := range d {
			for b := range d {
				differ[a][b] += d[a] * d[b]
			}
		}
	}
	var both, all float64
	var g [2][2]float64
	for c := range g {
		for a := range g[c] {
			g[c][a] = differ[a][0]*l.own[c][0] + differ[a][1]*l.own[c][1]
			both += g[c][a] * l.both[c][a]
			all += g[c][a] * l.own[c][a]
		}
	}
	if all < leastDiffer {
		return 0, 0, false
	}
	mixed = both / all
	var variance float64
	for c := range g {
		// The share is wrong by what the difference of both fields is, and by as
		// much of it as what became of colors themselves is.
		q := [4]float64{-mixed * g[c][0], -mixed * g[c][1], g[c][0], g[c][1]}
		for a := range q {
			for b := range q {
				variance += l.rest[c] * q[a] * l.inverse[a][b] * q[b]
			}
		}
	}
	sigma = math.Hypot(2*math.Sqrt(max(variance, 0))/all, 0.01) // neighbors share their noise: four samples count for one
	return mixed, sigma, sigma < 0.3
}

// leastDiffer is the sum of squares of what the fields differ by: some hundred
// samples of weak color.
const leastDiffer = 0.05

// A colorSample is what was got, and what it may be: CB and CR of its own row,
// of the mean of both fields, of the mean within its field.
type colorSample struct{ got, own, both, field [2]float64 }

func (s *colorSample) between() [2]float64 {
	return [2]float64{s.both[0] - s.own[0], s.both[1] - s.own[1]}
}

// appendColors appends samples of row j beside which the color does not change
// along the row.
func appendColors(list []colorSample, p, def *Picture, j int) []colorSample {
	const clear = 5 // samples to either side
	pick := func(q *Picture, j, i int) (c [2]float64) {
		return [2]float64{float64(q.Row(colorimetry.CB, j)[i]), float64(q.Row(colorimetry.CR, j)[i])}
	}
	mean := func(a, b [2]float64) [2]float64 { return [2]float64{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2} }
	k, step := p.ChromaRow(j), max(2, p.Across)
	for i := step * 3; i+clear < p.Width; i += step {
		s := colorSample{own: pick(def, j, i)}
		if l, r := pick(def, j, i-clear), pick(def, j, i+clear); far(s.own, l) || far(s.own, r) {
			continue
		}
		s.field = mean(mean(pick(def, j-2, i), pick(def, j+2, i)), s.own)
		s.both = mean(pick(def, j&^1, i), pick(def, j|1, i))
		if p.Down == 2 && p.Fields {
			// Its row stands for two lines of the field.
			first := j/4*4 + j%2
			s.own = mean(pick(def, first, i), pick(def, min(first+2, def.Height-1), i))
		}
		// Where rows do not differ, few say enough of what became of colors.
		if !far(s.own, s.both) && !far(s.own, s.field) && (i/step+j)%16 != 0 {
			continue
		}
		s.got = pick(p, k, i/p.Across)
		list = append(list, s)
	}
	return list
}

func far(a, b [2]float64) bool {
	return math.Abs(a[0]-b[0]) > 0.004 || math.Abs(a[1]-b[1]) > 0.004
}

// A colorFit is what the chain made of CB and CR, of what the mean of both
// fields differs by, and what is left.
type colorFit struct {
	own, both [2][2]float64
	inverse   [4][4]float64 // of the equations of both together
	rest      [2]float64    // variance
}

// learned fits got to everything that it may be.
func learned(list []colorSample) (l colorFit, ok bool) {
	const n = 7
	e := newEquations(n)
	var y [2][n]float64
	var squares [2]float64
	for i := range list {
		s := &list[i]
		d := s.between()
		q := [n]float64{1, s.own[0], s.own[1], d[0], d[1], s.field[0] - s.own[0], s.field[1] - s.own[1]}
		for a := range q {
			for b := range q {
				e.m[a][b] += q[a] * q[b]
			}
			for c, got := range s.got {
				y[c][a] += q[a] * got
			}
		}
		for c, got := range s.got {
			squares[c] += got * got
		}
	}
	// One color alone does not tell a matrix: what it does not tell stays as it
	// was, and is not mixed.
	const stay = 1e-5
	for a := range n {
		e.m[a][a] += stay
	}
	for c := range l.own {
		y[c][1+c] += stay
		e.y = y[c][:]
		x, ok := e.solution()
		if !ok {
			return l, false
		}
		copy(l.own[c][:], x[1:])
		copy(l.both[c][:], x[3:])
		rest := squares[c]
		for a, v := range x {
			rest -= v * y[c][a]
		}
		l.rest[c] = max(rest, 0) / float64(len(list))
	}
	for a, row := range e.inverse()[1:5] {
		copy(l.inverse[a][:], row[1:])
	}
	return l, true
}
