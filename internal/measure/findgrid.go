package measure

import (
	"math"
	"slices"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// A grid is planes of one size as rows, which may be shared.
type grid struct {
	w, h int
	rows [3][][]float32 // nil: nothing but zero
}

// gridOf returns the planes of a scene on its raster, or on one with that many
// samples for each of it. Planes without any color are nil.
func gridOf(s *pattern.Scene, r *timing.Raster, times int) (*grid, error) {
	if times > 1 {
		k, fine := timing.Int(int64(times)), *r
		fine.Clock, fine.Start, fine.Width = r.Clock.Mul(k), r.Start.Mul(k), r.Width*times
		r = &fine
	}
	f, err := pattern.Sample(s, r, frame.S444, 0)
	if err != nil {
		return nil, err
	}
	g := &grid{w: r.Width, h: r.Height()}
	for c := range f.Planes {
		p := &f.Planes[c]
		rows, any := make([][]float32, len(p.Rows)), c == 0
		store := make([]float32, len(p.Rows)*r.Width)
		for k, row := range p.Rows {
			rows[k], store = store[:r.Width:r.Width], store[r.Width:]
			for i, v := range row {
				rows[k][i] = float32(v)
				any = any || math.Abs(v) > 1e-6
			}
		}
		if !any {
			continue
		}
		g.rows[c] = make([][]float32, g.h)
		for j, k := range p.Lines {
			g.rows[c][j] = rows[k]
		}
	}
	return g, nil
}

// gridOfLuma returns the luma of a picture, sharing its memory.
func gridOfLuma(p *Picture) *grid {
	g := &grid{w: p.Width, h: p.Height}
	g.rows[0] = make([][]float32, p.Height)
	for j := range g.rows[0] {
		g.rows[0][j] = p.Row(colorimetry.Y, j)
	}
	return g
}

// gridOfChroma returns the color of a picture at every sample of luma, as
// planes 1 and 2.
func gridOfChroma(p *Picture) *grid {
	g := &grid{w: p.Width, h: p.Height}
	for c := colorimetry.CB; c <= colorimetry.CR; c++ {
		made := map[int][]float32{}
		for j := range p.Height {
			k := p.ChromaRow(j)
			if made[k] == nil {
				made[k] = widened(p.Row(c, k), p.Width, p.Across)
			}
			g.rows[c] = append(g.rows[c], made[k])
		}
	}
	return g
}

// widened puts samples between those of a chroma row, on straight lines.
func widened(row []float32, width, across int) []float32 {
	out := make([]float32, width)
	for i := range out {
		k := i / across
		a, b := row[k], row[min(k+1, len(row)-1)]
		out[i] = a + float32((b-a)*float32(i%across)/float32(across))
	}
	return out
}

// reduced returns means of fx samples by fy rows.
func (g *grid) reduced(fx, fy int) *grid {
	if fx == 1 && fy == 1 {
		return g
	}
	out := &grid{w: g.w / fx, h: g.h / fy}
	for c, rows := range g.rows {
		if rows == nil {
			continue
		}
		store := make([]float32, out.w*out.h)
		out.rows[c] = make([][]float32, out.h)
		for j := range out.h {
			part := rows[j*fy : (j+1)*fy]
			if j > 0 && samePart(part, rows[(j-1)*fy:j*fy]) {
				out.rows[c][j] = out.rows[c][j-1]
				continue
			}
			dst := store[j*out.w : (j+1)*out.w]
			addMeans(dst, part, fx)
			out.rows[c][j] = dst
		}
	}
	return out
}

func samePart(a, b [][]float32) bool {
	for i := range a {
		if &a[i][0] != &b[0][0] {
			return false
		}
	}
	return &b[0][0] == &b[len(b)-1][0]
}

func addMeans(dst []float32, rows [][]float32, fx int) {
	k := 1 / float32(fx*len(rows))
	for _, row := range rows {
		for i := range dst {
			var sum float32
			for _, v := range row[i*fx : (i+1)*fx] {
				sum += v
			}
			dst[i] += float32(k * sum)
		}
	}
}

// framed returns the grid with x samples and y rows around it: the outermost
// ones again as far as holdX and holdY, and black beyond.
func (g *grid) framed(x, y, holdX, holdY int) *grid {
	out := &grid{w: g.w + 2*x, h: g.h + 2*y}
	black := make([]float32, out.w)
	for c, rows := range g.rows {
		if rows == nil {
			continue
		}
		out.rows[c] = make([][]float32, out.h)
		for j := range out.rows[c] {
			out.rows[c][j] = black
		}
		for j, row := range rows {
			if j > 0 && &row[0] == &rows[j-1][0] {
				out.rows[c][y+j] = out.rows[c][y+j-1]
				continue
			}
			wide := make([]float32, out.w)
			copy(wide[x:], row)
			for i := range holdX {
				wide[x-1-i], wide[x+g.w+i] = row[0], row[g.w-1]
			}
			out.rows[c][y+j] = wide
		}
		for j := range holdY {
			out.rows[c][y-1-j], out.rows[c][y+g.h+j] = out.rows[c][y], out.rows[c][y+g.h-1]
		}
	}
	return out
}

// halve puts the edges of w samples from x on, of a grid that was framed, half a
// sample of one with half as many farther out: where those of that begin.
func (g *grid) halve(x, w int) {
	for _, rows := range g.rows {
		for j, row := range rows {
			if j > 0 && &row[0] == &rows[j-1][0] {
				continue
			}
			row[x-1], row[x+w-1] = row[x]/2, row[x+w-1]/2
		}
	}
}

// inner returns the rectangle within which anything differs from black: the
// first and the end of columns and rows. level is what black is.
func (g *grid) inner(c int, level, tolerance float32) (x0, y0, x1, y1 int) {
	cols, rows := make([]float32, g.w), make([]float32, g.h)
	for j, row := range g.rows[c] {
		for i, v := range row {
			cols[i] += v - level
			rows[j] += v - level
		}
	}
	// A line of a hundredth of the width and a tenth of white shows in a mean of
	// that product.
	edge := func(sums []float32, n int) (a, b int) {
		least := float32(n) * tolerance
		a, b = 0, len(sums)
		for a < b && sums[a] < least {
			a++
		}
		for b > a && sums[b-1] < least {
			b--
		}
		return a, b
	}
	x0, x1 = edge(cols, g.h)
	y0, y1 = edge(rows, g.w)
	return x0, y0, x1, y1
}

// noise returns the standard deviation of a sample, from the median of what
// changes from one to the next: most of a test picture is flat. Where it is not,
// no more than 0.04 is believed.
func (g *grid) noise(c int) float64 {
	var list []float32
	for j := g.h / 32; j < g.h; j += 1 + g.h/16 {
		row := g.rows[c][j]
		for i := 1; i < len(row); i++ {
			list = append(list, abs32(row[i]-row[i-1]))
		}
	}
	if len(list) == 0 {
		return 0
	}
	slices.Sort(list)
	// The median distance of two samples of a normal law is 0.954 of its deviation.
	return min(float64(list[len(list)/2])/0.954, 0.04)
}

// varies reports whether any of the planes from a to b changes along rows, or
// else from row to row.
func (g *grid) varies(a, b int, along bool) bool {
	for c := a; c <= b; c++ {
		for j, row := range g.rows[c] {
			if !along {
				if j > 0 && &row[0] != &g.rows[c][j-1][0] {
					return true
				}
				continue
			}
			if j > 0 && &row[0] == &g.rows[c][j-1][0] {
				continue
			}
			for _, v := range row {
				if abs32(v-row[0]) > quiet {
					return true
				}
			}
		}
	}
	return false
}
