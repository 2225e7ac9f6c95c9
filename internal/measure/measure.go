package measure

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"backporch/colorimetry"
)

// Measure finds the picture in a capture, measures its patches, and says which
// faults explain what it found. The error says what of the request cannot be
// measured.
func Measure(q *Request) (*Result, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	at, err := findPlace(q)
	if err != nil {
		return nil, err
	}
	var swapped float64
	def, err := Definition(q.Picture, at, q.Scene, q.Raster, 0)
	if err != nil {
		return nil, err
	}
	was := at
	if q, at, swapped, err = unswapped(q, at, def); err != nil {
		return nil, err
	}
	p := q.Picture
	out := &Result{Nominal: nominal(p, q.Raster, at)}
	v := levels(q, out, at)
	at = out.Place
	if at != was {
		if def, err = Definition(p, at, q.Scene, q.Raster, 0); err != nil {
			return nil, err
		}
	}
	found, err := detail(q, out, v, def) // which also tells hypotheses apart
	if err != nil {
		return nil, err
	}
	if swapped > 0 {
		found = append(found, Finding{Fault: RowsSwapped, Confidence: swapped, Value: math.NaN(), Sigma: math.NaN()})
	}
	known := fits(at)
	if q.Region == [4]float64{} && p.Raster == nil {
		found = append(found, displaced(at, out.Nominal, p)...)
	}
	found = weighed(q.Name, found)
	found = append(found, append(v.findings(), v.cuts()...)...)
	for i := range found {
		if f := found[i].Fault; f != Shape && f != Shifted && f != ShiftedY {
			found[i].Confidence *= known
		}
	}
	found = slices.DeleteFunc(found, func(f Finding) bool { return !(f.Confidence >= leastConfidence) })
	slices.SortStableFunc(found, func(a, b Finding) int { return cmp.Compare(b.Confidence, a.Confidence) })
	for i := range found {
		f := &found[i]
		if len(f.Alike) > 0 {
			f.Part = parting(q.Name, append([]Fault{f.Fault}, f.Alike...))
		}
		f.Words = words(f, out, q)
	}
	out.Findings = found
	out.Unseen = unseen(q)
	return out, nil
}

// fits is how far what was measured at a place is to be believed: where the
// definition does not look like the capture, hardly. A place that may be another
// that looks the same does no harm to levels and detail.
func fits(at Place) float64 {
	const bad, good = 0.5, 0.9 // correlation
	if !at.XKnown && !at.YKnown {
		return 1
	}
	return max(at.Sure, min((at.Score-bad)/(good-bad), 1))
}

// levels measures the patches at a place, and explains them. Where the place is
// not sure in one direction, and the nominal one needs no more faults to explain
// what is there, it is taken: a ramp may be found anywhere along itself.
func levels(q *Request, out *Result, at Place) *verdict {
	const sureEnough = 0.8
	try := func(at Place) ([]Patch, *verdict) {
		list := Patches(q.Picture, at, q.Scene, q.View, q.Expect)
		for i := range list {
			if m := &list[i]; m.Measured() {
				m.Got, m.GotTo = q.correct(m.Got), q.correct(m.GotTo)
			}
		}
		return list, judge(levelData(q.Picture, at, q, list), limitsOf(q.Picture.Coding))
	}
	list, v := try(at)
	if at.Sure < sureEnough && !near(at, out.Nominal) {
		const known = 0.7 // samples and rows
		other := at
		if at.SigmaX > known {
			other.X0, other.DX = out.Nominal.X0, out.Nominal.DX
		}
		if at.SigmaY > known {
			other.Y0, other.DY = out.Nominal.Y0, out.Nominal.DY
		}
		if l, w := try(other); v.best() != nil && w.best() != nil && w.best().cost < v.best().cost+faultCost {
			list, v, at = l, w, other
		}
	}
	out.Patches, out.Place = list, at
	return v
}

// check reports what cannot be measured at all.
func (q *Request) check() error {
	p := q.Picture
	const least = 32
	switch {
	case q.Scene == nil || q.Raster == nil:
		return errors.New("nothing can be measured without the pattern and the raster that were played; name both")
	case p.Width < least || p.Height < least:
		return fmt.Errorf("a capture of %d by %d samples is too small to be measured; capture %d by %d or more", p.Width, p.Height, least, least)
	case p.Across < 1 || p.Down < 1:
		return fmt.Errorf("a capture with %d by %d samples to one of chroma cannot be measured", p.Across, p.Down)
	}
	for c := colorimetry.Y; c <= colorimetry.CR; c++ {
		if w, h := p.Size(c); len(p.Planes[c]) != w*h {
			return fmt.Errorf("plane %v holds %d samples in the place of %d by %d; the capture is incomplete", c, len(p.Planes[c]), w, h)
		}
		if slices.ContainsFunc(p.Planes[c], func(v float32) bool { return v-v != 0 }) {
			return fmt.Errorf("plane %v holds values that are no numbers; capture anew", c)
		}
	}
	return nil
}

// detail measures what needs the whole definition: responses, and the order of
// rows. What moves is not known of a mean of frames, so only still pictures have
// responses.
func detail(q *Request, out *Result, v *verdict, def *Picture) ([]Finding, error) {
	p, at := q.Picture, out.Place
	defs := []defined{{at, def}}
	if !near(at, out.Nominal) && beside(at, out.Nominal, p) {
		def, err := Definition(p, out.Nominal, q.Scene, q.Raster, 0)
		if err != nil {
			return nil, err
		}
		defs = append(defs, defined{out.Nominal, def})
	}
	last := defs[len(defs)-1] // the nominal place, if it may be that
	found := order(q, last.at, last.picture)
	if q.Scene.Period > 1 {
		return found, nil
	}
	looks := v.outlooks()
	for i := range looks {
		looks[i].respond(q, out.Patches, defs, v)
	}
	v.settle(looks)
	for i := range looks {
		o := &looks[i]
		if i == 0 || o.preferred() {
			out.Luma, out.Chroma = o.luma, o.chroma
		}
		for _, f := range o.found {
			found = merge(found, f, o.weight)
		}
	}
	return found, nil
}

// beside reports places that differ by less than what is spoken of: blur alone
// moves the place that is found.
func beside(a, b Place, p *Picture) bool {
	right, down, wider, higher := a.Against(b)
	return math.Abs(right)+math.Abs(wider)*float64(p.Width)/2 < leastShift && math.Abs(down)+math.Abs(higher)*float64(p.Height)/2 < leastShift
}

// merge adds a finding that is believed with a weight to those of its fault.
func merge(list []Finding, f Finding, weight float64) []Finding {
	f.Confidence *= weight
	for i := range list {
		if list[i].Fault == f.Fault {
			if f.Confidence > list[i].Confidence {
				list[i].Value, list[i].Sigma = f.Value, f.Sigma
			}
			list[i].Confidence += f.Confidence
			return list
		}
	}
	return append(list, f)
}
