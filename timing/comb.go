package timing

// A Comb is the sample places of a row, X0 + i*DX for 0 <= i < N, in picture
// heights from the middle of the analog picture, x to the right.
//
// x*x + y*y is a circle on a 4:3 tube, on every raster.
type Comb struct {
	X0, DX float64
	N      int
}

// At returns the place of sample i.
func (c Comb) At(i int) float64 { return c.X0 + float64(float64(i)*c.DX) }

// A Span is the middle and the height of a row, in picture heights from the
// middle of the analog picture, y down.
type Span struct{ Y, DY float64 }

// Comb returns the places of the samples of row j. It is exact and rounded
// once. The rows of a Free raster may differ; those of others are equal.
func (r *Raster) Comb(j int) Comb {
	if c, ok := r.combFast(j); ok {
		return c
	}
	return r.combExact(j)
}

// Span returns the place of row j. A row of an interlaced raster is half a
// field line high, the pitch of the whole frame; else a whole one. Mirrored
// rows have exactly opposite Y.
func (r *Raster) Span(j int) Span {
	if y, ok := r.spanFast(j); ok {
		return y
	}
	return r.spanExact(j)
}

// Extent is a rectangle in picture heights from the middle of the picture.
type Extent struct{ X0, Y0, X1, Y1 float64 }

// Picture returns the edges of the analog picture.
func (r *Raster) Picture() Extent {
	s := r.Scan.System
	x := s.Active().Mul(s.HeightsPerMicrosecond()).Div(Int(2)).Float64()
	return Extent{-x, -0.5, x, 0.5}
}

// Shown returns the part of the analog picture that the raster shows: its
// samples and rows, each counted half a step to either side, cut to the
// picture.
func (r *Raster) Shown() Extent {
	p, c := r.Picture(), r.Comb(0)
	top, bottom := r.Span(0), r.Span(len(r.Lines)-1)
	return Extent{
		X0: max(p.X0, c.X0-c.DX/2),
		Y0: max(p.Y0, top.Y-top.DY/2),
		X1: min(p.X1, c.At(c.N-1)+c.DX/2),
		Y1: min(p.Y1, bottom.Y+bottom.DY/2),
	}
}
