package measure

import (
	"math"
	"sort"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/timing"
)

// FieldTimes returns which field time of a moving scene each field of each frame
// shows: of every frame the field that holds the top row of the raster first, of
// scans without fields one for each frame. Times run from 0 to one less than the
// fields after which the scene repeats. Without a fault those of a frame n are
// 2n and 2n+1, the older field's being the lesser.
//
// sure is the probability that the least certain of them is right. ok is false
// where the scene does not move, or rows are not those of the raster.
//
// Rows of the capture are correlated with the scene at every time, so levels do
// not matter.
func FieldTimes(frames []*Picture, at Place, s *pattern.Scene, r *timing.Raster) (times []int, sure float64, ok bool) {
	fields := r.Scan.Fields
	if len(frames) == 0 || s.Period <= 1 {
		return nil, 0, false
	}
	p := frames[0]
	lines := mapOf(at, r)
	if math.Abs(lines.DV-1)*float64(p.Height) > 0.6 {
		return nil, 0, false
	}
	m := newPainter(p, at, s, r)
	var shown [2][]movingRow // of the field of the top row, and of the other
	for f := range fields {
		shown[f] = m.moving(lines, p.Height, f, s.Period*fields)
		if len(shown[f]) == 0 {
			return nil, 0, false
		}
	}
	sure = 1
	for _, q := range frames {
		if q.Width != p.Width || q.Height != p.Height {
			return nil, 0, false
		}
		for f := range fields {
			t, likely := bestTime(q, m, shown[f], s.Period*fields)
			times = append(times, t)
			sure = min(sure, likely)
		}
	}
	return times, sure, true
}

// A movingRow is a row of a capture, and the row of the raster that it shows.
type movingRow struct{ row, line int }

// moving returns rows of a field that change in time, those that change most.
func (m *painter) moving(lines lattice, height, field, times int) []movingRow {
	const most = 24
	type change struct {
		movingRow
		much float64
	}
	var list []change
	for j := range height {
		k := int(math.Round(lines.V0 + float64(lines.DV*float64(j))))
		if k < 0 || k >= m.raster.Height() || m.raster.Scan.Fields == 2 && k%2 != field {
			continue
		}
		var much float64
		first := m.rowAt(k, 0)[0]
		for _, t := range []int{1, 2, times / 3, times / 2, times - 1} {
			much += distance(first, m.rowAt(k, t%times)[0])
		}
		if much > 0.01 {
			list = append(list, change{movingRow{j, k}, much})
		}
	}
	if len(list) > 4*most {
		sort.SliceStable(list, func(a, b int) bool { return list[a].much > list[b].much })
		list = list[:len(list)/2]
		sort.Slice(list, func(a, b int) bool { return list[a].row < list[b].row })
	}
	var out []movingRow
	step := max(1, len(list)/most)
	for i := step / 2; i < len(list); i += step {
		out = append(out, list[i].movingRow)
	}
	return out
}

func distance(a, b []float32) float64 {
	if len(a) == 0 || &a[0] == &b[0] {
		return 0
	}
	var sum float64
	for i := range a {
		d := float64(a[i] - b[i])
		sum += d * d
	}
	return sum
}

// bestTime returns the time at which the rows correlate best, and how likely it
// is that it is the right one.
func bestTime(p *Picture, m *painter, rows []movingRow, times int) (best int, sure float64) {
	first, second := -2.0, -2.0
	var n float64
	for t := range times {
		var c correlation
		for _, r := range rows {
			c.add(m.rowAt(r.line, t)[0], p.Row(colorimetry.Y, r.row))
		}
		n = c.n
		switch k := c.of(); {
		case k > first:
			first, second, best = k, first, t
		case k > second:
			second = k
		}
	}
	if first <= 0 {
		return best, 0
	}
	// Rows of a field are much alike, and neighbors in a row too: 200 samples
	// count for one.
	better := n / 400 * math.Log(max(1-second, 1e-6)/max(1-first, 1e-6))
	return best, min(1, 1.0/(1+math.Exp(-better)+math.Exp(-20*(first-0.3))))
}

// correlation of two lists of samples.
type correlation struct{ n, a, b, aa, bb, ab float64 }

func (c *correlation) add(x, y []float32) {
	for i, v := range x {
		a, b := float64(v), float64(y[i])
		c.n++
		c.a += a
		c.b += b
		c.aa += a * a
		c.bb += b * b
		c.ab += a * b
	}
}

func (c *correlation) of() float64 {
	va, vb := c.n*c.aa-c.a*c.a, c.n*c.bb-c.b*c.b
	if va <= 1e-9 || vb <= 1e-9 {
		return 0
	}
	return (c.n*c.ab - c.a*c.b) / math.Sqrt(va*vb)
}
