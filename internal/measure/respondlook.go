package measure

import (
	"backporch/colorimetry"
)

// An outlook is one way to take the levels before detail is looked at. A curved
// transfer moves edges, which would pass for delay or for lack of bandwidth, so
// where it is not sure whether there is one, detail is looked at both ways.
type outlook struct {
	hypothesis *hypothesis // nil: nothing is known of levels
	weight     float64
}

// outlooks returns the most probable straight and the most probable curved
// hypothesis, the more probable first, each with the probability of its kind.
func (v *verdict) outlooks() []outlook {
	const least = 0.02
	var straight, curved outlook
	for i, h := range v.list {
		o := &straight
		if h.gamma != 1 || h.bits != 0 {
			o = &curved
		}
		if o.hypothesis == nil {
			o.hypothesis = h
		}
		o.weight += v.weight[i]
	}
	switch {
	case len(v.list) == 0:
		return []outlook{{nil, 1}}
	case curved.weight < least:
		return []outlook{{straight.hypothesis, 1}}
	case straight.weight < least:
		return []outlook{{curved.hypothesis, 1}}
	case straight.weight >= curved.weight:
		return []outlook{straight, curved}
	}
	return []outlook{curved, straight}
}

// respond measures the responses, and what is wrong with them.
func (o *outlook) respond(q *Request, out *Result, def *Picture, v *verdict) (luma, chroma []Response, found []Finding) {
	level := func(s colorimetry.Signal) colorimetry.Signal { return s }
	if h := o.hypothesis; h != nil {
		level = func(s colorimetry.Signal) colorimetry.Signal { return v.limits.hold(h.apply(s, uncut)) }
	}
	at := out.Place
	r := newResponder(q, at, def, v, level)
	luma, chroma = r.luma(at, out.Patches, q.View), r.chroma()
	add := func(f Finding, ok bool) {
		if ok {
			found = append(found, f)
		}
	}
	add(narrow(Bandwidth, luma, lumaShare*r.mhz))
	add(narrow(ChromaBandwidth, chroma, chromaShare*r.mhz/float64(q.Picture.Across)))
	up, _, ok := rise(luma, lumaShare*r.mhz)
	add(up, ok)
	add(late(luma, chroma, at.SigmaX/r.mhz*1000))
	return luma, chroma, found
}
