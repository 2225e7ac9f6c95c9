package draw

import (
	"image"
	"image/draw"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// steadyFace is a face whose letters have the same pixels on every machine. The
// library cuts curves into straight lines with sums of float products, which
// some processors round once and others twice; here they are cut in integers,
// and the library fills between straight lines, in integers up to letters of
// 512 pixels.
type steadyFace struct {
	font.Face // for all measures
	outlines  *sfnt.Font
	scale     fixed.Int26_6 // pixels an em
	buf       sfnt.Buffer
	rast      vector.Rasterizer
	mask      image.Alpha
}

// Glyph implements font.Face. The mask is valid until the next call.
func (f *steadyFace) Glyph(dot fixed.Point26_6, r rune) (dr image.Rectangle, mask image.Image, at image.Point, advance fixed.Int26_6, ok bool) {
	none := func() (image.Rectangle, image.Image, image.Point, fixed.Int26_6, bool) {
		return image.Rectangle{}, nil, image.Point{}, 0, false
	}
	x, err := f.outlines.GlyphIndex(&f.buf, r)
	if err != nil {
		return none()
	}
	advance, err = f.outlines.GlyphAdvance(&f.buf, x, f.scale, font.HintingNone)
	if err != nil {
		return none()
	}
	segments, err := f.outlines.LoadGlyph(&f.buf, x, f.scale, nil)
	if err != nil {
		return none()
	}
	b := segments.Bounds().Add(dot)
	dr = image.Rect(b.Min.X.Floor(), b.Min.Y.Floor(), b.Max.X.Ceil(), b.Max.Y.Ceil())
	f.mask = image.Alpha{Pix: f.mask.Pix[:0], Stride: dr.Dx(), Rect: image.Rect(0, 0, dr.Dx(), dr.Dy())}
	if n := dr.Dx() * dr.Dy(); cap(f.mask.Pix) < n {
		f.mask.Pix = make([]uint8, n)
	} else {
		f.mask.Pix = f.mask.Pix[:n]
	}
	f.rast.Reset(dr.Dx(), dr.Dy())
	f.rast.DrawOp = draw.Src
	origin := dot.Sub(fixed.P(dr.Min.X, dr.Min.Y))
	var pen fixed.Point26_6
	for _, s := range segments {
		p := s.Args[0].Add(origin)
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			f.rast.MoveTo(pixels(p, 1))
		case sfnt.SegmentOpLineTo:
			f.rast.LineTo(pixels(p, 1))
		case sfnt.SegmentOpQuadTo: // TrueType has no other curves
			end := s.Args[1].Add(origin)
			curve(&f.rast, pen, p, end)
			p = end
		}
		pen = p
	}
	f.rast.Draw(&f.mask, f.mask.Rect, image.Opaque, image.Point{})
	return dr, &f.mask, image.Point{}, advance, x != 0
}

// curve draws the quadratic curve from a to c with the control point b as n
// straight lines. A chord of one of n parts strays from it by |a-2b+c|/(4 n^2),
// here at most 1/16 pixel.
func curve(z *vector.Rasterizer, a, b, c fixed.Point26_6) {
	bend := abs(a.X-2*b.X+c.X) + abs(a.Y-2*b.Y+c.Y) // not less than the length
	n := fixed.Int26_6(1)
	for 16*n*n < bend {
		n++
	}
	for i := range n {
		t, u := i+1, n-i-1
		// n^2 times the point at t/n, in whole numbers of 1/64 pixel.
		p := fixed.Point26_6{
			X: u*u*a.X + 2*t*u*b.X + t*t*c.X,
			Y: u*u*a.Y + 2*t*u*b.Y + t*t*c.Y,
		}
		z.LineTo(pixels(p, n*n))
	}
}

// pixels is p/n as the rasterizer takes it: one rounding of an integer and one
// of a quotient, in which nothing can be fused.
func pixels(p fixed.Point26_6, n fixed.Int26_6) (x, y float32) {
	return float32(p.X) / float32(64*n), float32(p.Y) / float32(64*n)
}

func abs(x fixed.Int26_6) fixed.Int26_6 { return max(x, -x) }
