package measure

import (
	"math"

	"backporch/colorimetry"
)

// An outlook is one way to take the levels before detail is looked at. A curved
// transfer moves edges, which would pass for delay or for lack of bandwidth, so
// where it is not sure whether there is one, detail is looked at both ways.
type outlook struct {
	hypothesis *hypothesis // nil: nothing is known of levels
	weight     float64

	luma, chroma []Response
	found        []Finding
}

// outlooks returns the most probable straight and the most probable curved
// hypothesis, the more probable first, each with the probability of its kind.
func (v *verdict) outlooks() []outlook {
	const least = 0.02
	var straight, curved outlook
	for i, h := range v.list {
		o := &straight
		if h.curved() {
			o = &curved
		}
		if o.hypothesis == nil {
			o.hypothesis = h
		}
		o.weight += v.weight[i]
	}
	switch {
	case len(v.list) == 0:
		return []outlook{{weight: 1}}
	case curved.weight < least:
		return []outlook{{hypothesis: straight.hypothesis, weight: 1}}
	case straight.weight < least:
		return []outlook{{hypothesis: curved.hypothesis, weight: 1}}
	case straight.weight >= curved.weight:
		return []outlook{straight, curved}
	}
	return []outlook{curved, straight}
}

// curved reports a transfer that is no straight line.
func (h *hypothesis) curved() bool { return h.gamma != 1 || h.bits != 0 }

// preferred reports, of one of two, whether responses are given by it: a curved
// transfer that is taken wrongly makes ripples, so it must be clearly the more
// probable.
func (o *outlook) preferred() bool {
	const clearly = 0.8
	if o.hypothesis.curved() {
		return o.weight > clearly
	}
	return 1-o.weight <= clearly
}

// settle makes a way of taking the levels less probable if it needs faults of
// detail besides, and the hypotheses of its kind with it.
func (v *verdict) settle(looks []outlook) {
	if len(looks) < 2 {
		return
	}
	var sum float64
	was := looks[0].weight
	for i := range looks {
		o := &looks[i]
		for _, f := range o.found {
			o.weight *= math.Exp(-faultCost / 2 * f.Confidence)
		}
		sum += o.weight
	}
	for i := range looks {
		looks[i].weight /= sum
	}
	first := looks[0].hypothesis.curved()
	for i, h := range v.list {
		if h.curved() == first {
			v.weight[i] *= looks[0].weight / was
		} else {
			v.weight[i] *= looks[1].weight / (1 - was)
		}
	}
}

// respond measures the responses, and what is wrong with them. defs are the
// definition at places that differ too little to matter otherwise: the one
// counts where more of the detail is found.
func (o *outlook) respond(q *Request, list []Patch, defs []defined, v *verdict) {
	level := func(s colorimetry.Signal) colorimetry.Signal { return s }
	if h := o.hypothesis; h != nil {
		c := h.commonCut(v.data, &v.limits)
		level = func(s colorimetry.Signal) colorimetry.Signal { return v.limits.hold(h.apply(s, c)) }
	}
	var r *responder
	var at Place
	most := math.Inf(-1)
	for _, d := range defs {
		try := newResponder(q, d.at, d.picture, list, v, level)
		if luma, alike := try.luma(d.at, list, q.View); alike > most {
			r, at, most, o.luma = try, d.at, alike, luma
		}
	}
	o.chroma = r.chroma()
	believe := trust(most, at)
	add := func(f Finding, ok bool) {
		if f.Confidence *= believe; ok {
			o.found = append(o.found, f)
		}
	}
	add(narrow(Bandwidth, o.luma, lumaShare*r.mhz))
	add(narrow(ChromaBandwidth, o.chroma, chromaShare*r.mhz/float64(q.Picture.Across)))
	up, _, ok := rise(o.luma, lumaShare*r.mhz)
	add(up, ok)
	add(late(o.luma, o.chroma, at.SigmaX/r.mhz*1000))
}

// trust is how far detail is to be believed that correlates with the definition
// so far: where it does not, the place is wrong, or what was done to it is no
// filter. A place that may be another needs a better proof.
func trust(alike float64, at Place) float64 {
	const bad, good = 0.7, 0.9
	return max(0, min(1, (alike-bad)/(good-bad)))
}

// defined is the definition at a place.
type defined struct {
	at      Place
	picture *Picture
}
