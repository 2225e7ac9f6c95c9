package measure

import (
	"cmp"
	"errors"
	"fmt"
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
	p := q.Picture
	at, err := findPlace(q)
	if err != nil {
		return nil, err
	}
	out := &Result{Place: at, Nominal: nominal(p, q.Raster, at)}
	out.Patches = Patches(p, at, q.Scene, q.View, q.Expect)
	for i := range out.Patches {
		if m := &out.Patches[i]; m.Measured() {
			m.Got, m.GotTo = q.correct(m.Got), q.correct(m.GotTo)
		}
	}

	v := judge(levelData(p, at, q, out.Patches), limitsOf(p.Coding))
	found := append(v.findings(), v.cuts()...)
	more, err := detail(q, out, v)
	if err != nil {
		return nil, err
	}
	found = append(found, more...)
	for i := range found {
		found[i].Confidence *= at.Sure // what was measured in the wrong place says nothing
	}
	if q.Region == [4]float64{} && p.Raster == nil {
		found = append(found, displaced(at, out.Nominal, p)...)
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
func detail(q *Request, out *Result, v *verdict) ([]Finding, error) {
	p, at := q.Picture, out.Place
	def, err := Definition(p, at, q.Scene, q.Raster, 0)
	if err != nil {
		return nil, err
	}
	found := order(q, at, def)
	if q.Scene.Period > 1 {
		return found, nil
	}
	for _, o := range v.outlooks() {
		luma, chroma, more := o.respond(q, out, def, v)
		if out.Luma == nil && out.Chroma == nil { // the most probable comes first
			out.Luma, out.Chroma = luma, chroma
		}
		for _, f := range more {
			found = merge(found, f, o.weight)
		}
	}
	return found, nil
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
