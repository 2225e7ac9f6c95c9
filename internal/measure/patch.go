package measure

import (
	"image"
	"math"
	"slices"

	"backporch/colorimetry"
	"backporch/pattern"
)

// A Patch is a named patch as it was measured.
type Patch struct {
	pattern.Patch

	// Expect and ExpectTo are what the capture must hold where the pattern wants
	// Want and To: the same, but for a plan of levels or a device.
	Expect, ExpectTo colorimetry.Signal

	Area image.Rectangle // of the capture, that was measured; empty: too small, or outside
	N    int             // samples of luma within it

	// Got is the mean that a few wild samples do not move, of a level; of a ramp
	// the level at its beginning, and GotTo that at its end, by the straight line
	// through it.
	Got, GotTo colorimetry.Signal
	Sigma      [3]float64 // standard deviation of Got, all that is seen of noise and unevenness counted
	Noise      [3]float64 // standard deviation of a sample: over the frames, or of one frame within the patch
	Uneven     [3]float64 // greatest less least mean of the nine parts of the patch
}

// Measured reports whether there was anything to measure.
func (p *Patch) Measured() bool { return p.N > 0 }

// Error returns what was measured less what must be.
func (p *Patch) Error() colorimetry.Signal {
	return colorimetry.Signal{Y: p.Got.Y - p.Expect.Y, CB: p.Got.CB - p.Expect.CB, CR: p.Got.CR - p.Expect.CR}
}

// Chroma returns the ratio of the color of got to that of want, and the angle by
// which it is turned, in degrees from CB toward CR as they stand on a
// vectorscope of B'-Y' and R'-Y'. ok is false where want has next to no color.
func Chroma(want, got colorimetry.Signal) (gain, degrees float64, ok bool) {
	wu, wv := vector(want)
	gu, gv := vector(got)
	w := math.Hypot(wu, wv)
	if w < 0.01 {
		return 0, 0, false
	}
	gain = math.Hypot(gu, gv) / w
	degrees = math.Atan2(float64(wu*gv)-float64(wv*gu), float64(wu*gu)+float64(wv*gv)) * 180 / math.Pi
	return gain, degrees, true
}

// vector returns the color as it stands on a subcarrier: SMPTE 170M-2004
// clause A.3, U = 0.492111 (B'-Y'), V = 0.877283 (R'-Y'); CB = (B'-Y')/1.772 and
// CR = (R'-Y')/1.402 (ITU-R BT.601-5 clause 3.5.2).
func vector(s colorimetry.Signal) (u, v float64) {
	return 0.492111 * 1.772 * s.CB, 0.877283 * 1.402 * s.CR
}

// unvector is the inverse of vector.
func unvector(u, v float64) (cb, cr float64) {
	return u / (0.492111 * 1.772), v / (0.877283 * 1.402)
}

// Patches measures every patch of a scene in a picture that lies at a place.
// expect returns what the capture must hold where a level is wanted; nil: the
// same. Patches whose level changes in time, lines and pulses are listed
// without being measured, as are packets.
func Patches(p *Picture, at Place, s *pattern.Scene, v pattern.View, expect func(colorimetry.Signal) colorimetry.Signal) []Patch {
	list := make([]Patch, len(s.Patches))
	for i, want := range s.Patches {
		m := &list[i]
		m.Patch, m.Expect, m.ExpectTo = want, want.Want, want.To
		if expect != nil {
			m.Expect, m.ExpectTo = expect(want.Want), expect(want.To)
		}
		switch want.Kind {
		case pattern.Level, pattern.Ramp, pattern.RampDown:
			m.measure(p, at, v)
		}
	}
	return list
}

// edge is how far from its edges a patch is left alone, besides the width of the
// edges themselves: a capture has a filter, whose ringing is not the level.
// Three luma samples of BT.601, and one row.
const (
	edgeSamples = 3
	edgeRows    = 1
)

func (m *Patch) measure(p *Picture, at Place, v pattern.View) {
	in := m.Interior(v)
	x0, y0 := at.Sample(in.X0, m.Y0)
	x1, y1 := at.Sample(in.X1, m.Y1)
	m.Area = area(x0, y0, x1, y1, p)
	if m.Area.Empty() {
		return
	}
	m.N = m.Area.Dx() * m.Area.Dy()
	for c := colorimetry.Y; c <= colorimetry.CR; c++ {
		m.component(p, at, c)
	}
}

// area returns the samples whose luma and chroma belong to the patch alone. A
// patch too narrow for the margin gets half of it, then none.
func area(x0, y0, x1, y1 float64, p *Picture) image.Rectangle {
	for _, share := range []float64{1, 0.5, 0} {
		left, right := span(x0, x1, share*edgeSamples*float64(max(1, p.Across/2)), p.Width)
		top, bottom := span(y0, y1, share*edgeRows*float64(p.Down*p.Down)+0.5, p.Height)
		if right-left >= 2*p.Across && bottom-top >= p.Down*2-1 || share == 0 && right >= left && bottom >= top {
			return image.Rect(left, top, right+1, bottom+1)
		}
	}
	return image.Rectangle{}
}

// component measures one component of the area.
func (m *Patch) component(p *Picture, at Place, c colorimetry.Component) {
	rows, step := m.rows(p, c)
	if len(rows) == 0 {
		return
	}
	if m.Kind != pattern.Level {
		m.ramp(p, at, c, rows, step)
		return
	}
	var all []float64
	for _, r := range rows {
		for _, x := range r.v {
			all = append(all, float64(x))
		}
	}
	mean, sd := robust(all)
	set(&m.Got, c, mean)
	m.Uneven[c] = uneven(rows)
	m.Noise[c] = m.noise(p, c, sd)
	m.Sigma[c] = math.Hypot(sd/math.Sqrt(float64(len(all))), m.Uneven[c]/6)
}

// A strip is the part of a row that belongs to the patch.
type strip struct {
	row int // of the plane
	v   []float32
}

// rows returns the strips of the area, and luma samples to one of the plane.
func (m *Patch) rows(p *Picture, c colorimetry.Component) (list []strip, step int) {
	if c == colorimetry.Y {
		for j := m.Area.Min.Y; j < m.Area.Max.Y; j++ {
			list = append(list, strip{j, p.Row(c, j)[m.Area.Min.X:m.Area.Max.X]})
		}
		return list, 1
	}
	left, right := (m.Area.Min.X+p.Across-1)/p.Across, (m.Area.Max.X-1)/p.Across+1
	if right <= left {
		right = left + 1
	}
	last := -1
	for j := m.Area.Min.Y; j < m.Area.Max.Y; j++ {
		k := p.ChromaRow(j)
		if k == last || slices.ContainsFunc(list, func(s strip) bool { return s.row == k }) {
			continue
		}
		last = k
		row := p.Row(c, k)
		if left < len(row) {
			list = append(list, strip{k, row[left:min(right, len(row))]})
		}
	}
	return list, p.Across
}

// ramp fits a straight line over the area and extends it to the ends of the
// patch.
func (m *Patch) ramp(p *Picture, at Place, c colorimetry.Component, rows []strip, step int) {
	var n, sx, sy, sxx, sxy float64
	left := (m.Area.Min.X + step - 1) / step * step
	for _, r := range rows {
		for i, v := range r.v {
			x := float64(left + i*step)
			if m.Kind == pattern.RampDown {
				x = float64(r.row) * float64(p.Height) / float64(len(p.Planes[c])/len(p.Row(c, 0)))
			}
			n, sx, sy = n+1, sx+x, sy+float64(v)
			sxx, sxy = sxx+float64(x*x), sxy+float64(x*float64(v))
		}
	}
	d := float64(n*sxx) - float64(sx*sx)
	if d <= 0 {
		set(&m.Got, c, sy/n)
		set(&m.GotTo, c, sy/n)
		return
	}
	slope := (float64(n*sxy) - float64(sx*sy)) / d
	level := (sy - float64(slope*sx)) / n
	a, ay := at.Sample(m.X0, m.Y0)
	b, by := at.Sample(m.X1, m.Y1)
	if m.Kind == pattern.RampDown {
		a, b = ay, by
	}
	set(&m.Got, c, level+float64(slope*a))
	set(&m.GotTo, c, level+float64(slope*b))
	var ss float64
	for _, r := range rows {
		for i, v := range r.v {
			x := float64(left + i*step)
			if m.Kind == pattern.RampDown {
				x = float64(r.row) * float64(p.Height) / float64(len(p.Planes[c])/len(p.Row(c, 0)))
			}
			e := float64(v) - level - float64(slope*x)
			ss += float64(e * e)
		}
	}
	sd := math.Sqrt(ss / n)
	m.Noise[c] = m.noise(p, c, sd)
	m.Sigma[c] = 2 * sd / math.Sqrt(n)
}

// noise returns the standard deviation of a sample over the frames where it is
// known, else sd.
func (m *Patch) noise(p *Picture, c colorimetry.Component, sd float64) float64 {
	if p.Noise[c] == nil {
		return sd
	}
	q := *p
	q.Planes = p.Noise
	rows, _ := m.rows(&q, c)
	var n, ss float64
	for _, r := range rows {
		for _, v := range r.v {
			n++
			ss += float64(v) * float64(v)
		}
	}
	return math.Sqrt(ss / max(n, 1))
}

// robust returns the mean without samples beyond three standard deviations of
// the median, the deviation being told by the median of the distances, and the
// standard deviation of what is left. It sorts v.
func robust(v []float64) (mean, sd float64) {
	slices.Sort(v)
	middle := v[len(v)/2]
	// 1.4826 times the median distance is the deviation of a normal law.
	far := 3 * 1.4826 * (quantile(v, 0.75) - quantile(v, 0.25)) / 2
	far = max(far, 0.004) // about a code of 8 bits: rounding alone is no wild sample
	first, _ := slices.BinarySearch(v, middle-far)
	last, _ := slices.BinarySearch(v, middle+far)
	v = v[first:max(last, first+1)]
	for _, x := range v {
		mean += x
	}
	mean /= float64(len(v))
	for _, x := range v {
		sd += float64((x - mean) * (x - mean))
	}
	return mean, math.Sqrt(sd / float64(len(v)))
}

// quantile returns the value of rank q, 0 to 1, of sorted values.
func quantile(v []float64, q float64) float64 {
	return v[int(math.Round(q*float64(len(v)-1)))]
}

// uneven returns the greatest less the least mean of nine parts.
func uneven(rows []strip) float64 {
	if len(rows) < 3 || len(rows[0].v) < 3 {
		return 0
	}
	least, greatest := math.Inf(1), math.Inf(-1)
	for a := range 3 {
		part := rows[a*len(rows)/3 : (a+1)*len(rows)/3]
		for b := range 3 {
			var sum, n float64
			for _, r := range part {
				for _, v := range r.v[b*len(r.v)/3 : (b+1)*len(r.v)/3] {
					sum, n = sum+float64(v), n+1
				}
			}
			least, greatest = min(least, sum/n), max(greatest, sum/n)
		}
	}
	return greatest - least
}

func set(s *colorimetry.Signal, c colorimetry.Component, v float64) {
	switch c {
	case colorimetry.Y:
		s.Y = v
	case colorimetry.CB:
		s.CB = v
	default:
		s.CR = v
	}
}
