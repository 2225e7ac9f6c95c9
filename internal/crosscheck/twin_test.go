package crosscheck

import (
	"math"

	"backporch/colorimetry"
	"backporch/internal/render"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// The twin samples a scene in the plainest way: every row is painted, nothing
// is shared, and all places come from the figures below instead of from the
// rasters' own arithmetic.

// A geometry is the figures of a system that say where a sample lies.
type geometry struct {
	start       float64 // sample 0 after 0H, in periods of 13.5 MHz
	left, right float64 // edges of the analog picture, us after 0H
	square      float64 // MHz: clock of a square sample of an interlaced picture, common practice
	middle      float64 // of the picture, in field lines
	lines       float64 // of the picture, in a field
	offset      float64 // lines from field 1 to field 2
}

// 525: ITU-R BT.601-5 table 2, SMPTE 170M-2004 table 2 and figure 6.
// 625: BT.601-5 table 2, ITU-R BT.1700 Annex 1 Part B table 2, EBU Tech 3280-E
// figure 6.
func geometryOf(r *timing.Raster) geometry {
	if r.Scan.System == timing.System525 {
		return geometry{122, 9.2, 572.0/9 - 1.5, 135.0 / 11, 141.75, 243, 262.5}
	}
	return geometry{132, 10.5, 64 - 1.5, 14.75, 166.75, 288, 312.5}
}

// x returns the place of luma sample i, in picture heights from the middle.
func (g geometry) x(i float64) float64 {
	us := (g.start + i) / 13.5
	return (us - (g.left+g.right)/2) * g.heights()
}

// heights is how many picture heights the beam covers in a microsecond: a
// square sample is as wide as a row of the frame, 1 / (2 lines), is high.
func (g geometry) heights() float64 { return g.square / (2 * g.lines) }

// y returns the place of row j, in picture heights from the middle.
func (g geometry) y(r *timing.Raster, j int) float64 {
	l := float64(r.Lines[j].Number)
	if r.Lines[j].Field == 2 {
		l -= g.offset
	}
	return (l - g.middle) / g.lines
}

// A twin is a picture as real numbers, one slice a row.
type twin struct {
	across, down int  // luma samples and rows to one of chroma
	field, dv    bool // rows of the two fields in turn; of DV
	planes       [3][][]float64
}

// twinOf samples the scene of a job on a raster, and maps it as the plan says.
func twinOf(j *render.Job, r *timing.Raster) *twin {
	m := j.Format.Sampling(r)
	z := &twin{across: 1, down: 1, field: m == frame.S420Field || m == frame.S420DV, dv: m == frame.S420DV}
	switch m {
	case frame.S422:
		z.across = 2
	case frame.S411:
		z.across = 4
	case frame.S420, frame.S420Field, frame.S420DV:
		z.across, z.down = 2, 2
	}
	g := geometryOf(r)
	dy := 1 / g.lines / float64(r.Scan.Fields)
	dx := g.x(1) - g.x(0)
	for c := range z.planes {
		across, down := z.across, z.down
		if c == 0 {
			across, down = 1, 1
		}
		comb := timing.Comb{X0: g.x(0), DX: dx * float64(across), N: r.Width / across}
		for k := range r.Height() / down {
			at, line := g.y(r, k), r.Lines[k*down]
			if down == 2 {
				at = z.chromaRow(g, r, c, k)
			}
			if z.field && down == 2 {
				line = r.Lines[k%2] // rows of the two fields in turn
			}
			row := make([]float64, comb.N)
			paint(j.Scene, row, colorimetry.Component(c), comb, timing.Span{Y: at, DY: dy * float64(down)}, line.Field-1)
			z.planes[c] = append(z.planes[c], row)
		}
	}
	z.mapped(j.Plan)
	return z
}

// chromaRow returns the place of row k of the chroma of 4:2:0, component c.
// Progressive: midway between two rows. Interlaced: rows alternate between the
// fields; in that of the top row chroma lies a quarter of the way from one line
// of its pair to the next, in the other three quarters (ITU-T H.262, memory). DV:
// in both fields CR lies on the first line of the pair and CB on the second (IEC
// 61834-2, memory).
func (z *twin) chromaRow(g geometry, r *timing.Raster, c, k int) float64 {
	between := func(a, b int, part float64) float64 {
		return g.y(r, a) + part*(g.y(r, b)-g.y(r, a))
	}
	if !z.field {
		return between(2*k, 2*k+1, 0.5)
	}
	first := k/2*4 + k%2 // row of the frame: the upper line of the pair
	switch {
	case z.dv && c == 2:
		return g.y(r, first)
	case z.dv:
		return g.y(r, first+2)
	case k%2 == 0:
		return between(first, first+2, 0.25)
	}
	return between(first, first+2, 0.75)
}

// paint fills a row from the band that holds it, in a field of frame 0: t is 0
// for field 1, which is the older wherever its rows lie, and 1 for field 2.
func paint(s *pattern.Scene, dst []float64, c colorimetry.Component, x timing.Comb, y timing.Span, t int) {
	for _, b := range s.Bands {
		if y.Y < b.Bottom {
			b.Paint(dst, c, x, y, t)
			return
		}
	}
}

// mapped applies the one plan that the tests put into a file: 7.5 IRE of setup
// for a player that adds none, E' -> 0.075 + 0.925 E', chroma x 0.925.
func (z *twin) mapped(p colorimetry.Plan) {
	if p.Wire == p.Player {
		return
	}
	if p.Wire != colorimetry.CompositeM || p.Player != colorimetry.CompositeJ {
		panic("crosscheck: the twin does not know this plan")
	}
	for c, plane := range z.planes {
		for _, row := range plane {
			for i := range row {
				row[i] *= 0.925
				if c == 0 {
					row[i] += 0.075
				}
			}
		}
	}
}

// scale returns the unrounded 8-bit or 10-bit code of component c, ITU-R
// BT.601-5 clause 3.5.3: Y = 219 E'Y + 16, C = 224 E'C + 128; at 10 bits the
// same scale has two more places (clause 3.4).
func scale(c int, v float64, bits int) float64 {
	if c == 0 {
		v = 219*v + 16
	} else {
		v = 224*v + 128
	}
	if bits == 10 {
		v *= 4
	}
	return v
}

// A code belongs to a real number when it is the nearest, of a tie the upper.
// What lies within float dust below a tie is one: floats have left it there.
// Within a hair either code is right; a circle has a few such samples, and the
// program takes the upper from 1e-6 on.
const (
	dust = 1e-9
	hair = 2e-6
)

func isCode(got uint16, real float64) bool {
	n := float64(got)
	return n-0.5-hair <= real && real < n+0.5-dust
}

// torn reports whether another machine's floats could take the other code.
func torn(real float64) bool {
	const program = 1e-6 // from here on below a tie the upper code is taken
	_, part := math.Modf(real + 0.5 + program)
	return part < dust/2 || part > 1-dust/2
}

// rgb returns R'G'B' of Y'CBCR by the luma equation and the ranges of the
// color differences, BT.601-5 clauses 3.5.1 and 3.5.2.
func rgb(y, cb, cr float64) [3]float64 {
	r := y + cr*2*0.701
	b := y + cb*2*0.886
	return [3]float64{r, (y - 0.299*r - 0.114*b) / 0.587, b}
}

// colors is R'G'B' of a sample of a 4:4:4 twin.
func (z *twin) colors(i, j int) [3]float64 {
	return rgb(z.planes[0][j][i], z.planes[1][j][i], z.planes[2][j][i])
}
