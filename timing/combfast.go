package timing

import "math/bits"

// Sampling asks for a Span of every row, and on a Free raster for a Comb, so
// both have a fast way beside the plain one. The fast ways keep the quotient of
// two integers, each exact as a float64, and leave common factors in where the
// plain ones take them out: the division rounds the same number once.

// wholeFloat is the first integer beyond which float64 has gaps.
const wholeFloat = 1 << 53

// combExact is Comb in lowest terms, for figures of any size that fit a Ratio.
func (r *Raster) combExact(j int) Comb {
	s := r.Scan.System
	start := r.Start
	if r.Free {
		// The clock runs on from sample 0, at Start after 0H of line 1. The row
		// begins with the first sample that lies Start or more after its own 0H.
		from := Int(int64(r.Lines[j].Number - 1)).Mul(r.SamplesPerLine())
		start = start.Add(Int(from.Ceil()).Sub(from))
	}
	middle := s.Left.Add(s.Right).Mul(r.Clock.Div(Int(2_000_000))) // samples after 0H
	dx := s.perSecond().Div(r.Clock)
	return Comb{
		X0: start.Sub(middle).Mul(dx).Float64(),
		DX: dx.Float64(),
		N:  r.Width,
	}
}

// spanExact is Span in lowest terms.
func (r *Raster) spanExact(j int) Span {
	s := r.Scan.System
	y := r.Lines[j].Position(s).Sub(s.Middle).Div(s.Height)
	dy := Int(1).Div(s.Height.Mul(Int(int64(r.Scan.Fields))))
	return Span{Y: y.Float64(), DY: dy.Float64()}
}

// combFast is combExact for figures that are not negative and not too large.
// The middle of the picture, in picture heights after 0H, belongs to the system
// alone; subtracted there and not in samples, the numbers stay small.
func (r *Raster) combFast(j int) (c Comb, ok bool) {
	var p product
	s, clock := r.Scan.System, r.Clock
	dx := p.ratio(
		p.of(s.Square.Num, s.Height.Den, clock.Den),
		p.of(s.Square.Den, s.Height.Num, clock.Num, 2))
	middle := p.ratio(
		p.of(p.of(s.Left.Num, s.Right.Den)+p.of(s.Right.Num, s.Left.Den), s.Square.Num, s.Height.Den),
		p.of(s.Left.Den, s.Right.Den, s.Square.Den, s.Height.Num, 4_000_000))
	start := r.Start
	if r.Free {
		line := p.ratio( // its duration in samples
			p.of(clock.Num, s.Subcarrier.Den, r.Scan.Cycles.Num),
			p.of(clock.Den, s.Subcarrier.Num, r.Scan.Cycles.Den))
		late := p.of(int64(r.Lines[j].Number-1), line.Num) % line.Den
		if late > 0 {
			late = line.Den - late
		}
		start = Ratio{p.of(start.Num, line.Den) + p.of(late, start.Den), p.of(start.Den, line.Den)}
	}
	x := p.of(start.Num, dx.Num, middle.Den) - p.of(middle.Num, start.Den, dx.Den)
	den := p.of(start.Den, dx.Den, middle.Den)
	if p.large || den == 0 || den > wholeFloat || abs(x) > wholeFloat || max(dx.Num, dx.Den) > wholeFloat {
		return Comb{}, false
	}
	return Comb{
		X0: float64(x) / float64(den),
		DX: float64(dx.Num) / float64(dx.Den),
		N:  r.Width,
	}, true
}

// spanFast is spanExact for figures that are not negative and not too large.
func (r *Raster) spanFast(j int) (Span, bool) {
	s, l := r.Scan.System, r.Lines[j]
	middle, height, offset := s.Middle, s.Height, Ratio{0, 1}
	if l.Field == 2 {
		offset = s.Offset
	}
	number, fields := int64(l.Number), int64(r.Scan.Fields)
	// Negative numbers have the top bit set and are declined, too.
	if uint64(number|middle.Num|height.Num|offset.Num) >= 1<<22 ||
		uint64(middle.Den|height.Den|offset.Den|fields) >= 1<<10 {
		return Span{}, false
	}
	y := (number*offset.Den-offset.Num)*middle.Den - middle.Num*offset.Den // below 2^43
	den := offset.Den * middle.Den * height.Num
	if den == 0 || height.Den == 0 || fields == 0 {
		return Span{}, false
	}
	return Span{
		Y:  float64(y*height.Den) / float64(den),
		DY: float64(height.Den) / float64(height.Num*fields),
	}, true
}

// A product multiplies integers that are not negative, and remembers whether
// any was, or whether a result passed 2^62.
type product struct{ large bool }

func (p *product) of(a int64, more ...int64) int64 {
	for _, b := range more {
		hi, lo := bits.Mul64(uint64(a), uint64(b))
		if hi != 0 || lo >= 1<<62 {
			p.large = true
			return 1
		}
		a = int64(lo)
	}
	return a
}

// ratio is R of two products.
func (p *product) ratio(num, den int64) Ratio {
	if p.large || den == 0 {
		p.large = true
		return Ratio{1, 1}
	}
	return R(num, den)
}
