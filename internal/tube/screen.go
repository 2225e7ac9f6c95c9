package tube

import (
	"image"
	"math"

	"backporch/colorimetry"
	"backporch/pattern/frame"
)

// A Screen shows what tubes give, on a display with the primaries and the
// transfer of sRGB. Pictures with the same screen can be compared.
type Screen struct {
	White float64 // linear light of a channel, cd/m2 of its white, that is code 255
}

// toScreen returns the matrix from light of the guns to linear light of the
// screen's channels, in the same unit.
func (s *Set) toScreen() colorimetry.Matrix {
	// sRGB has the primaries of BT.709 and D65.
	bt709, err := colorimetry.ParsePrimaries("bt709")
	if err != nil {
		panic(err) // the name stands in the table
	}
	return product(bt709.Matrix(colorimetry.D65.XY).Inverse(), s.Primaries.Matrix(s.White.XY))
}

func product(a, b colorimetry.Matrix) (out colorimetry.Matrix) {
	for j := range 3 {
		column := a.Mul([3]float64{b[0][j], b[1][j], b[2][j]})
		for i := range 3 {
			out[i][j] = column[i]
		}
	}
	return out
}

// few is how many samples are taken together in [Set.Brightest], every other
// time: what is shorter than a microsecond, as overshoots of edges are, does not
// darken the picture.
const few = 5

// Brightest returns the greatest linear light of a screen's channel that a
// picture needs, and white at least, cd/m2. guns are those that are lit.
func (s *Set) Brightest(f *frame.Frame, guns [3]bool) (most float64) {
	t, m := newCurveTable(s.Curve), s.toScreen()
	see := func(drive [3]float64) {
		var light [3]float64
		for g := range light {
			if guns[g] {
				light[g] = t.light(drive[g])
			}
		}
		for _, v := range m.Mul(light) {
			most = max(most, v)
		}
	}
	see([3]float64{1, 1, 1})
	triples, lines := f.Distinct()
	spans := inside(f)
	done := make([]bool, len(triples))
	for j := range lines {
		if done[lines[j]] {
			continue
		}
		done[lines[j]] = true
		y, cb, cr := f.Triple(triples[lines[j]])
		for i := spans[j].from; i+few <= spans[j].to; i += 2 * few {
			var mean colorimetry.Signal
			for k := i; k < i+few; k++ {
				mean.Y, mean.CB, mean.CR = mean.Y+y[k]/few, mean.CB+cb[k]/few, mean.CR+cr[k]/few
			}
			r, g, b := mean.RGB()
			see([3]float64{r, g, b})
		}
	}
	return most
}

// A span is a run of samples: from, up to but not including to.
type span struct{ from, to int }

// inside returns, for each line, the samples of a frame that lie in the analog
// picture, a little within its edges, where the signal is rising from blanking.
func inside(f *frame.Frame) []span {
	const rim = 0.005 // picture heights, about 0.2 us
	e := f.Raster.Picture()
	list := make([]span, len(f.Raster.Lines))
	for j := range list {
		c := f.Raster.Comb(j)
		list[j] = span{
			max(0, int(math.Ceil((e.X0+rim-c.X0)/c.DX))),
			min(c.N, int(math.Floor((e.X1-rim-c.X0)/c.DX))+1),
		}
	}
	return list
}

// Picture draws a decoded frame as the tube shows it, one pixel a sample, cut to
// the analog picture without its half lines. Only the given guns are lit.
func (z Screen) Picture(s *Set, f *frame.Frame, guns [3]bool) *image.RGBA {
	curve, codes := newCurveTable(s.Curve), newCodeTable()
	m := s.toScreen()
	for i := range m {
		for g := range m[i] {
			m[i][g] /= z.White
			if !guns[g] {
				m[i][g] = 0
			}
		}
	}
	all := span{0, f.Raster.Width} // of all lines, so that columns stay upright
	for _, s := range inside(f) {
		all = span{max(all.from, s.from), min(all.to, s.to)}
	}
	left, right := all.from, all.to
	triples, lines := f.Distinct()
	if f.Raster.Scan.Interlaced() {
		lines = lines[1 : len(lines)-1]
	}
	out := image.NewRGBA(image.Rect(0, 0, right-left, len(lines)))
	first := make([]int, len(triples)) // row of out + 1 that shows it
	for j, k := range lines {
		line := out.Pix[j*out.Stride : (j+1)*out.Stride]
		if at := first[k]; at > 0 {
			copy(line, out.Pix[(at-1)*out.Stride:at*out.Stride])
			continue
		}
		first[k] = j + 1
		y, cb, cr := f.Triple(triples[k])
		y, cb, cr = y[left:right], cb[left:right], cr[left:right]
		for i := range y {
			r, g, b := colorimetry.Signal{Y: y[i], CB: cb[i], CR: cr[i]}.RGB()
			lr, lg, lb := curve.light(r), curve.light(g), curve.light(b)
			p := line[4*i : 4*i+4]
			for c := range 3 {
				p[c] = codes.code(float64(m[c][0]*lr) + float64(m[c][1]*lg) + float64(m[c][2]*lb))
			}
			p[3] = 255
		}
	}
	return out
}

// PixelShape returns the width over the height of a pixel of [Screen.Picture]
// on a screen of that aspect.
func PixelShape(f *frame.Frame, aspect float64) float64 {
	return f.Raster.PixelShape().Float64() * aspect / (4.0 / 3)
}
