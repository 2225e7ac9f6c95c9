package ingest

import (
	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"
	"backporch/timing"
)

// fromCodes turns codes into real numbers. A row of a raster without chroma of
// its own, in 4:2:0, takes that of the pair of lines it belongs to: of its
// field where there are two.
func fromCodes(c *pixfmt.Codes, k *colorimetry.Coding, r *timing.Raster) *Picture {
	p := &Picture{Raster: r, step: [3]int{1, c.Across, c.Across}}
	if k.Model == colorimetry.RGB {
		p.fromRGB(c, k)
		return p
	}
	// Of each code its value, once.
	values := make([][3]float64, 1<<k.Bits)
	for code := range values {
		s := k.Signal([3]uint16{uint16(code), uint16(code), uint16(code)})
		values[code] = [3]float64{s.Y, s.CB, s.CR}
	}
	for i := range p.planes {
		var in frame.Interner
		for j := range c.Height {
			row := c.Row(i, rowOf(r, c, i, j))
			v := make([]float64, len(row))
			for x, code := range row {
				v[x] = values[int(code)&(len(values)-1)][i]
			}
			p.planes[i].Lines = append(p.planes[i].Lines, in.Add(v))
		}
		p.planes[i].Rows = in.Rows()
	}
	return p
}

// rowOf returns which row of a plane belongs to row j of the picture. In DV
// the two of a pair of lines share CB and CR as elsewhere, though each lies on
// one of them.
func rowOf(r *timing.Raster, c *pixfmt.Codes, plane, j int) int {
	switch {
	case plane == 0 || c.Down == 1:
		return j
	case r.Scan.Interlaced(): // rows of the two fields in turn
		return min(j/4*2+j%2, c.Height/2-1)
	default:
		return j / 2
	}
}

// fromRGB fills all planes in full resolution.
func (p *Picture) fromRGB(c *pixfmt.Codes, k *colorimetry.Coding) {
	var in [3]frame.Interner
	for j := range c.Height {
		var v [3][]float64
		for i := range v {
			v[i] = make([]float64, c.Width)
		}
		red, green, blue := c.Row(0, j), c.Row(1, j), c.Row(2, j)
		for x := range red {
			s := k.Signal([3]uint16{red[x], green[x], blue[x]})
			v[0][x], v[1][x], v[2][x] = s.Y, s.CB, s.CR
		}
		for i := range v {
			p.planes[i].Lines = append(p.planes[i].Lines, in[i].Add(v[i]))
		}
	}
	for i := range in {
		p.planes[i].Rows = in[i].Rows()
	}
}
