package measure

import (
	"math"
	"sort"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// Definition returns what a perfect 4:4:4 capture of p's size holds in frame n
// if the picture lies at that place. Across, the scene is sampled where the
// capture's samples lie; down, a capture has only the rows of the raster to
// draw on, so rows between two of them are interpolated, and those that are
// farther apart than the raster's are weighed together. At the raster's own
// place it is pattern.Sample. Outside the raster the picture is black.
func Definition(p *Picture, at Place, s *pattern.Scene, r *timing.Raster, n int) (*Picture, error) {
	d := &Picture{Width: p.Width, Height: p.Height, Across: 1, Down: 1, Fields: r.Scan.Interlaced(), Frames: 1}
	if p.Width == r.Width && p.Height == r.Height() && near(at, Nominal(r)) {
		f, err := pattern.Sample(s, r, frame.S444, n)
		if err != nil {
			return nil, err
		}
		return OfFrame(f), nil
	}
	m := newPainter(p, at, s, r)
	m.frame = n
	rows := rowsOf(at, r)
	for c := range d.Planes {
		d.Planes[c] = make([]float32, p.Width*p.Height)
	}
	for j := range p.Height {
		for _, w := range rows.weights(j, nil) {
			row := m.row(w.row)
			for c := range d.Planes {
				dst, k := d.Row(colorimetry.Component(c), j), float32(w.share)
				for i, v := range row[c] {
					dst[i] += float32(k * v)
				}
			}
		}
	}
	return d, nil
}

// near reports whether two places differ by less than 1/1000 sample and row,
// also at the edges of the picture.
func near(p, q Place) bool {
	const least = 1e-3
	right, down, wider, higher := p.Against(q)
	return math.Abs(right)+math.Abs(wider*q.DX) < least && math.Abs(down)+math.Abs(higher*q.DY) < least
}

// A painter paints rows of the raster at the places of a capture's samples. A
// row outside the raster is black, and so are samples outside it.
type painter struct {
	scene  *pattern.Scene
	raster *timing.Raster
	frame  int
	comb   timing.Comb
	done   map[paintKey][3][]float32
}

func newPainter(p *Picture, at Place, s *pattern.Scene, r *timing.Raster) *painter {
	return &painter{scene: s, raster: r, comb: timing.Comb{X0: -at.X0 / at.DX, DX: 1 / at.DX, N: p.Width}, done: map[paintKey][3][]float32{}}
}

// A paintKey tells apart rows that look alike: row is 0 in a uniform band.
type paintKey struct{ band, row, t int }

func (m *painter) row(k int) [3][]float32 {
	if k < 0 || k >= m.raster.Height() {
		return [3][]float32{}
	}
	return m.rowAt(k, m.frame*m.raster.Scan.Fields+m.raster.Lines[k].Field-1)
}

// rowAt is row k at a field time, which need not be that of its field.
func (m *painter) rowAt(k, t int) [3][]float32 {
	span := m.raster.Span(k)
	if m.scene.Period <= 1 {
		t = 0
	}
	band := bandAt(m.scene, span.Y)
	key := paintKey{band, k, t}
	if m.scene.Bands[band].Uniform {
		key.row = 0
	}
	if row, ok := m.done[key]; ok {
		return row
	}
	var row [3][]float32
	line := make([]float64, m.comb.N)
	c := m.raster.Comb(k)
	left, right := c.X0-c.DX/2, c.At(c.N-1)+c.DX/2
	first := clamp(int(math.Ceil((left-m.comb.X0)/m.comb.DX)), m.comb.N)
	end := max(first, clamp(int(math.Floor((right-m.comb.X0)/m.comb.DX))+1, m.comb.N))
	for i := range row {
		m.scene.Bands[band].Paint(line, colorimetry.Component(i), m.comb, span, t)
		row[i] = make([]float32, m.comb.N)
		for x := first; x < end; x++ {
			row[i][x] = float32(line[x])
		}
	}
	m.done[key] = row
	return row
}

func clamp(i, n int) int { return min(max(i, 0), n) }

// bandAt returns the band that holds y.
func bandAt(s *pattern.Scene, y float64) int {
	return min(sort.Search(len(s.Bands), func(i int) bool { return y < s.Bands[i].Bottom }), len(s.Bands)-1)
}

// rowMap says which rows of a raster a row of the capture shows: v = V0 + DV*j.
type rowMap struct{ V0, DV float64 }

func rowsOf(at Place, r *timing.Raster) rowMap {
	m := mapOf(at, r)
	return rowMap{m.V0, m.DV}
}

// A rowShare is how much of a row of the raster a row of the capture holds.
type rowShare struct {
	row   int
	share float64
}

// weights appends the rows that row j of the capture holds: a triangle as wide
// as the coarser of the two pitches.
func (m rowMap) weights(j int, list []rowShare) []rowShare {
	v := m.V0 + float64(m.DV*float64(j))
	if k := math.Round(v); math.Abs(v-k) < 1e-3 && m.DV < 1.001 {
		return append(list, rowShare{int(k), 1})
	}
	wide := max(1, m.DV)
	from := len(list)
	var sum float64
	for k := int(math.Ceil(v - wide)); float64(k) < v+wide; k++ {
		w := 1 - math.Abs(float64(k)-v)/wide
		sum += w
		list = append(list, rowShare{k, w})
	}
	for i := from; i < len(list); i++ {
		list[i].share /= sum
	}
	return list
}

// A lattice is how samples and rows of the capture lie on those of a
// raster: sample U0 + DU*i, row V0 + DV*j.
type lattice struct{ U0, DU, V0, DV float64 }

func mapOf(at Place, r *timing.Raster) lattice {
	c, y0, dy := r.Comb(0), r.Span(0).Y, rowPitch(r)
	return lattice{
		U0: (-at.X0/at.DX - c.X0) / c.DX, DU: 1 / (at.DX * c.DX),
		V0: (-at.Y0/at.DY - y0) / dy, DV: 1 / (at.DY * dy),
	}
}

// place is the inverse of mapOf.
func (m lattice) place(r *timing.Raster) Place {
	c, y0, dy := r.Comb(0), r.Span(0).Y, rowPitch(r)
	p := Place{DX: 1 / (m.DU * c.DX), DY: 1 / (m.DV * dy)}
	p.X0, p.Y0 = -(c.X0+float64(m.U0*c.DX))*p.DX, -(y0+float64(m.V0*dy))*p.DY
	return p
}

// rowPitch is the distance of the rows of a raster in picture heights.
func rowPitch(r *timing.Raster) float64 {
	n := r.Height() - 1
	if n < 1 {
		return r.Span(0).DY
	}
	return (r.Span(n).Y - r.Span(0).Y) / float64(n)
}
