package measure

import (
	"math"
	"slices"

	"backporch/colorimetry"
	"backporch/pattern"
)

// A run is rows of the capture that show the same row of the definition, one
// beside the other.
type run struct {
	first, end int
	want       [3][]float64 // what the capture would hold of it with the faults of level and no other
}

// mostRuns is how many different rows are looked at: more say little more.
const mostRuns = 40

// A responder finds responses, by comparing spectra of captured rows with those
// of what they ought to be.
type responder struct {
	p     *Picture
	mhz   float64 // samples of luma in a microsecond
	step  [3]float64
	noise [3]float64 // of a sample, as the patches have it
	slow  [2]float64 // how well gain is known from levels: of luma, of chroma
	runs  []run
}

// newResponder prepares the rows of the definition def of a capture; level is
// what happens to levels.
func newResponder(q *Request, at Place, def *Picture, list []Patch, v *verdict, level func(colorimetry.Signal) colorimetry.Signal) *responder {
	r := &responder{p: q.Picture, step: v.limits.step, slow: v.known()}
	r.mhz = math.Abs(at.DX) * q.Raster.Scan.System.HeightsPerMicrosecond().Float64()
	var starts []int
	for j := range def.Height {
		if j == 0 || !sameRow(def, j-1, j) {
			starts = append(starts, j)
		}
	}
	n := len(starts)
	starts = append(starts, def.Height)
	for i, step := 0, (n+mostRuns-1)/mostRuns; i < n; i += step {
		u := run{first: starts[i], end: starts[i+1]}
		u.level(def, q, level)
		r.runs = append(r.runs, u)
	}
	for c := range r.noise {
		r.noise[c] = r.usualNoise(list, colorimetry.Component(c))
	}
	return r
}

// usualNoise is the median noise of the patches. Without any it is taken from
// what a row deviates from what it ought to be, as far as neighbors deviate
// differently: detail that was lost counts, too, so it is held within what
// captures have.
func (r *responder) usualNoise(list []Patch, c colorimetry.Component) float64 {
	var v []float64
	for i := range list {
		if m := &list[i]; m.Measured() && m.Kind == pattern.Level {
			v = append(v, m.Noise[c])
		}
	}
	if len(v) > 0 {
		slices.Sort(v)
		return v[len(v)/2]
	}
	across := r.p.Across
	if c == colorimetry.Y {
		across = 1
	}
	for i := range r.runs {
		u := &r.runs[i]
		rows := u.rows(r.p, c)
		if len(rows) == 0 {
			continue
		}
		got := r.p.Row(c, rows[0])
		off := func(i int) float64 { return float64(got[i]) - u.want[c][i*across] }
		for i := 1; i+1 < len(got); i += 3 {
			v = append(v, math.Abs(off(i-1)-2*off(i)+off(i+1)))
		}
	}
	const least, most = 0.003, 0.03
	if len(v) == 0 {
		return most
	}
	slices.Sort(v)
	// Such a difference deviates by the root of 6 times the noise; the median of
	// its size is 0.6745 of that.
	return min(max(v[len(v)/2]/0.6745/math.Sqrt(6), least), most)
}

// sameRow reports equal rows, up to a quarter of a code: rows between two equal
// ones are not quite the same.
func sameRow(p *Picture, a, b int) bool {
	const near = 0.001
	for c := colorimetry.Y; c <= colorimetry.CR; c++ {
		x, y := p.Row(c, a), p.Row(c, b)
		for i := range x {
			if d := x[i] - y[i]; d > near || d < -near {
				return false
			}
		}
	}
	return true
}

// level works out what the capture would hold.
func (u *run) level(def *Picture, q *Request, level func(colorimetry.Signal) colorimetry.Signal) {
	y, cb, cr := def.Row(colorimetry.Y, u.first), def.Row(colorimetry.CB, u.first), def.Row(colorimetry.CR, u.first)
	for c := range u.want {
		u.want[c] = make([]float64, len(y))
	}
	var out colorimetry.Signal
	for i := range y {
		if i == 0 || y[i] != y[i-1] || cb[i] != cb[i-1] || cr[i] != cr[i-1] {
			out = colorimetry.Signal{Y: float64(y[i]), CB: float64(cb[i]), CR: float64(cr[i])}
			if q.Expect != nil {
				out = q.Expect(out)
			}
			out = level(out)
		}
		u.want[0][i], u.want[1][i], u.want[2][i] = out.Y, out.CB, out.CR
	}
}

// rows returns which rows of a plane show the run, without the first and the
// last where there are enough. Where chroma has fewer rows than luma, all those
// near the ends of the run are left out: they are mixed with the neighbors.
func (u *run) rows(p *Picture, c colorimetry.Component) []int {
	var out []int
	if c == colorimetry.Y || p.Down == 1 {
		const enough = 8
		rim := 0
		if u.end-u.first >= enough {
			rim = 1
		}
		for j := u.first + rim; j < u.end-rim; j++ {
			out = append(out, j)
		}
		return out
	}
	last := -1
	for j := u.first + 4; j < u.end-4; j++ {
		if k := p.ChromaRow(j); k > last {
			out = append(out, k)
			last = k
		}
	}
	return out
}

// mean returns the mean of rows of a plane between two samples, and the variance
// of one of its samples: that of the rows about their mean, and of rounding.
func (r *responder) mean(c colorimetry.Component, rows []int, from, to int) (mean []float64, variance float64) {
	mean = make([]float64, to-from)
	for _, j := range rows {
		for i, v := range r.p.Row(c, j)[from:to] {
			mean[i] += float64(v)
		}
	}
	n := float64(len(rows))
	for i := range mean {
		mean[i] /= n
	}
	variance = r.noise[c] * r.noise[c] / n
	if n > 1 {
		var sum float64
		few := rows[:min(len(rows), 24)]
		for _, j := range few {
			for i, v := range r.p.Row(c, j)[from:to] {
				d := float64(v) - mean[i]
				sum += float64(d * d)
			}
		}
		variance = max(variance, sum/float64(len(few)*len(mean))/(n-1))
	}
	return mean, variance + float64(r.step[c]*r.step[c])/12
}

// luma returns the response of luma over whole lines, and of packets where the
// pattern has some. alike is how well the detail correlates with that of the definition.
func (r *responder) luma(at Place, list []Patch, v pattern.View) (out []Response, alike float64) {
	grid := frequencies(0.5, min(6.5, 0.48*r.mhz), 0.25)
	w := hann(r.p.Width)
	for i := range r.runs {
		u := &r.runs[i]
		got, variance := r.mean(colorimetry.Y, u.rows(r.p, colorimetry.Y), 0, r.p.Width)
		addAll(grid, w, got, u.want[0], variance, r.mhz)
	}
	alike = coherence(grid)
	out = responses(grid)
	for i := range list {
		if m := &list[i]; m.Kind == pattern.Packet && m.Absent == "" && m.Hz > 0 {
			if x, ok := r.packet(at, m, v); ok {
				out = insert(out, x)
			}
		}
	}
	return relative(out, 1.5, r.slow[0]), alike
}

// packet returns the response within a packet.
func (r *responder) packet(at Place, m *Patch, v pattern.View) (Response, bool) {
	s := []spectrum{{mhz: m.Hz / 1e6}}
	if s[0].mhz > 0.48*r.mhz {
		return Response{}, false
	}
	in := m.Interior(v)
	x0, y0 := at.Sample(in.X0, m.Y0)
	x1, y1 := at.Sample(in.X1, m.Y1)
	from, last := span(x0, x1, 0, r.p.Width)
	top, bottom := span(y0, y1, 0.5, r.p.Height)
	const few = 8
	if last-from < few {
		return Response{}, false
	}
	w := hann(last + 1 - from)
	for i := range r.runs {
		u := run{first: max(r.runs[i].first, top), end: min(r.runs[i].end, bottom+1)}
		if u.end > u.first {
			got, variance := r.mean(colorimetry.Y, u.rows(r.p, colorimetry.Y), from, last+1)
			addAll(s, w, got, r.runs[i].want[0][from:last+1], variance, r.mhz)
		}
	}
	return s[0].response()
}

// chroma returns the response of both color differences over whole lines.
func (r *responder) chroma() []Response {
	rate := r.mhz / float64(r.p.Across)
	grid := frequencies(0.25, min(3, 0.48*rate), 0.25)
	width, _ := r.p.Size(colorimetry.CB)
	w := hann(width)
	for i := range r.runs {
		u := &r.runs[i]
		for c := colorimetry.CB; c <= colorimetry.CR; c++ {
			rows := u.rows(r.p, c)
			if len(rows) == 0 {
				continue
			}
			got, variance := r.mean(c, rows, 0, width)
			want := make([]float64, width)
			for x := range want {
				want[x] = u.want[c][x*r.p.Across]
			}
			addAll(grid, w, got, want, variance, rate)
		}
	}
	return relative(responses(grid), 0.75, r.slow[1])
}
