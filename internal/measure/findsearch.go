package measure

import (
	"cmp"
	"math"
	"slices"
)

// good is how much of the variance a place must explain to end the search, on
// grids without fine detail.
const good = 0.93

// excellent is the same for a place without a fault.
const excellent = 0.97

// find looks at likely places, then at all.
func (f *finder) find() (Place, *fit) {
	if f.p.Width == f.r.Width && f.p.Height == f.r.Height() && f.rim.doubtX > 0 && f.rim.doubtY > 0 {
		// Sample for sample, as most captures are.
		m := f.likely[0]
		t := f.fine.refine(m, nil, 3, 1)
		if t.fitness() > excellent && f.apart(f.reduce(t.m), f.reduce(m)) < 0.5 {
			best := f.try(f.reduce(t.m), 1)
			f.repeats(best)
			if f.best().worth <= best.worth+0.005 {
				return f.finish(t, best), t
			}
		}
	}
	for i, m := range f.likely {
		t := f.try(f.reduce(m), 4)
		if i == 0 && t.fitness() > excellent && f.apart(t.m, f.reduce(m)) < 4 {
			break
		}
	}
	if best := f.best(); best.fitness() < good {
		f.everywhere()
	} else {
		f.repeats(best)
	}
	best := f.best()
	t := f.fine.refine(f.enlarge(best.m), nil, 12, 2)
	// Where rows of two fields differ the reduced grids do not see which is which.
	for _, m := range f.likely {
		if f.apart(f.reduce(m), best.m) < 1 {
			if u := f.fine.refine(m, nil, 4, 1); u.fitness() > t.fitness()+0.003 {
				t = u
			}
		}
	}
	t = f.aliases(t)
	if f.s.Period > 1 && t.fitness() < 0.99 {
		// Two fields that differ let the rows stand still a row or two away.
		for _, d := range []float64{-3, -2, -1, 1, 2, 3} {
			m := t.m
			m.V0 += d
			if u := f.fine.refine(m, nil, 4, 1); u.fitness() > t.fitness()+0.003 {
				t = u
			}
		}
	}
	return f.finish(f.between(t), best), t
}

// aliases tries places a few samples aside: lines two and four samples apart look
// alike on the reduced grids.
func (f *finder) aliases(best *fit) *fit {
	lines := *f.fine
	lines.rows, lines.cols, lines.columns, lines.buf = 2*lines.rows, 4*lines.cols, nil, nil
	m, most := best.m, lines.pass(best.m, best).edges
	if most > 0.99 {
		return best
	}
	for _, d := range []float64{-8, -6, -4, -3, -2, 2, 3, 4, 6, 8} {
		across, down := best.m, best.m
		across.U0 += d
		down.V0 += d
		for _, k := range []lattice{across, down} {
			if t := lines.pass(k, best); t.edges > most+0.02 {
				m, most = k, t.edges
			}
		}
	}
	if m == best.m {
		return best
	}
	if t := f.fine.refine(m, nil, 6, 1); t.fitness() > best.fitness()+0.003 {
		return t
	}
	return best
}

// oversampled is how many samples for each of its own the definition has in the
// end: four taps between those of 13.5 MHz are not the sharpest pulses.
const oversampled = 2

// bends is how much of the unexplained variance may be left for a bend of the
// levels to be believed.
const bends = 0.8

// between refines a place once more with more samples of the definition.
func (f *finder) between(t *fit) *fit {
	d, err := gridOf(f.s, f.r, oversampled)
	if err != nil {
		return t
	}
	w := d.w
	d = d.framed(oversampled*f.padX, f.padY, oversampled*int(f.rim.doubtX), int(f.rim.doubtY))
	if f.rim.doubtX == 0 {
		d.halve(oversampled*f.padX, w)
	}
	f.finest = newFitter(f.c, d, f.plane, f.fine.rows, f.fine.cols)
	f.finest.noise, f.finest.rim = f.fine.noise, f.rim
	f.finest.rim.x0, f.finest.rim.x1, f.finest.rim.doubtX = oversampled*f.rim.x0, oversampled*f.rim.x1, oversampled*f.rim.doubtX
	f.finest.stiff = true
	t = f.refined(t.m, t, 6, 0.7)
	// Gamma moves the middles of edges. But a bend and a shift are much alike at
	// an edge, so it must explain more than its own share.
	f.finest.stiff = false
	u := f.refined(t.m, t, 8, 0.7)
	if u.residue < bends*t.residue {
		return u
	}
	f.finest.stiff = true
	return t
}

// refined refines a place of the whole grids on the finest there are.
func (f *finder) refined(m lattice, before *fit, most int, reach float64) *fit {
	if f.finest == nil {
		return f.fine.refine(m, before, most, reach)
	}
	// Samples that are half as wide: their middles differ from those of the
	// whole ones by the frame alone.
	const k = oversampled
	m.U0, m.DU = k*m.U0, k*m.DU
	t := f.finest.refine(m, before, most, k*reach)
	t.m.U0, t.m.DU = t.m.U0/k, t.m.DU/k
	for i := range freedoms {
		for j := range freedoms {
			for _, q := range [2]int{i, j} {
				if q < 2 {
					t.sigma[i][j] /= k
				}
			}
		}
	}
	return t
}

// best returns the trial of most worth.
func (f *finder) best() trial {
	return slices.MaxFunc(f.tried, func(a, b trial) int { return cmp.Compare(a.worth, b.worth) })
}

// everywhere searches the profiles and tries pairs of what they say.
func (f *finder) everywhere() {
	cx, cy := f.c.profiles(f.planes, f.to.cx, f.to.cy)
	dx, dy := f.d.profiles(f.planes, f.to.dx, f.to.dy)
	start := f.reduce(f.likely[0])
	xs := search(cx, dx, start.DU, 10)
	ys := search(cy, dy, start.DV, 8)
	if len(xs) == 0 {
		for _, m := range f.likely {
			xs = append(xs, guess{O: f.reduce(m).U0, D: f.reduce(m).DU})
		}
	}
	if len(ys) == 0 {
		for _, m := range f.likely {
			ys = append(ys, guess{O: f.reduce(m).V0, D: f.reduce(m).DV})
		}
	}
	type pair struct {
		*fit
		worth float64
	}
	var pairs []pair
	for _, x := range xs {
		for _, y := range ys {
			t := f.quick.pass(lattice{x.O, x.D, y.O, y.D}, nil)
			pairs = append(pairs, pair{t, f.worth(t)})
		}
	}
	slices.SortFunc(pairs, func(a, b pair) int { return cmp.Compare(b.worth, a.worth) })
	for _, t := range pairs[:min(len(pairs), 7)] {
		f.try(t.m, 5)
	}
	if f.best().fitness() < poor {
		f.fromAfar()
	}
}

// poor is a fitness that is no hit.
const poor = 0.7

// fromAfar tries what was tried from farther away: the fine rings of a zone plate
// hold every place, its middle only the right one.
func (f *finder) fromAfar() {
	by := reduction{3, 3, 3, 3}
	if f.tiny == nil {
		f.tiny = newFitter(f.small.c.reduced(by.cx, by.cy), f.small.d.reduced(by.dx, by.dy), f.plane, 2, 4)
		f.tiny.stiff = true
	}
	list := slices.Clone(f.tried)
	slices.SortFunc(list, func(a, b trial) int { return cmp.Compare(b.worth, a.worth) })
	starts := []lattice{f.reduce(f.likely[0])}
	for _, t := range list[:min(len(list), 5)] {
		starts = append(starts, t.m)
	}
	for _, m := range starts {
		t := f.tiny.refine(by.of(m), nil, 12, 1.5)
		f.try(by.back(t.m), 8)
	}
}

// repeats tries the places to which the picture may be shifted without looking
// much different, such as a cell of a lattice aside.
func (f *finder) repeats(best trial) {
	dx, dy := f.d.profiles(f.planes, f.to.dx, f.to.dy)
	for _, shift := range repeated(dx) {
		for _, s := range []float64{-shift, shift} {
			m := best.m
			m.U0 += s
			f.try(m, 1)
		}
	}
	for _, shift := range repeated(dy) {
		for _, s := range []float64{-shift, shift} {
			m := best.m
			m.V0 += s
			f.try(m, 1)
		}
	}
}

// repeated returns the shift, if any, by which a profile is most like itself.
func repeated(p []float64) []float64 {
	var all float64
	for _, v := range p {
		all += v * v
	}
	if all == 0 {
		return nil
	}
	n := len(p)
	like := make([]float64, n/3)
	for s := range like {
		var sum, a, b float64
		for i, v := range p[s:] {
			sum += v * p[i]
			a += v * v
			b += p[i] * p[i]
		}
		like[s] = sum / math.Sqrt(max(a*b, 1e-12))
	}
	at, most := 0, 0.7
	for s := 4; s < len(like)-1; s++ {
		if like[s] > most+0.01 && like[s] >= like[s-1] && like[s] >= like[s+1] {
			at, most = s, like[s]
		}
	}
	if at == 0 {
		return nil
	}
	return []float64{float64(at)}
}

// finish says what is known at the best place, given on both pairs of grids.
func (f *finder) finish(t *fit, best trial) Place {
	usual := f.likely[0]
	x, y := f.known(t)
	if y.known && y.scale <= scaleKnown {
		t = f.plainer(t)
		x, y = f.known(t)
	}
	if x.known && x.scale > scaleKnown || y.known && y.scale > scaleKnown {
		t = f.held(t, x, y)
		x, y = f.known(t)
	}
	m := t.m
	if !x.known {
		m.U0, m.DU = usual.U0, usual.DU
	}
	if !y.known {
		m.V0, m.DV = usual.V0, usual.DV
	}
	m.U0 -= float64(f.padX)
	m.V0 -= float64(f.padY)
	at := m.place(f.r)
	at.Score = math.Sqrt(t.score)
	at.XKnown, at.YKnown = x.known, y.known
	at.SigmaX, at.SigmaY = x.sigma/math.Abs(m.DU), y.sigma/math.Abs(m.DV)
	at.Sure = f.sure(t, best, at)
	return at
}

// plainer returns the usual place down the picture where it explains nearly as
// much. Rows of the definition between two of its own are a mean of both, which
// looks like an edge that a filter of the chain has smeared: half a row off, it
// explains such an edge better than where it belongs, and two edges near each
// other make an odd scale of that.
func (f *finder) plainer(t *fit) *fit {
	g := f.fine
	if f.finest != nil {
		g = f.finest
	}
	if math.Abs(t.m.DV-1) < 0.002 {
		return t // row for row: edges do not contradict each other
	}
	for _, m := range f.likely {
		_, y := f.apartXY(f.reduce(t.m), f.reduce(m))
		if odd := math.Abs(t.m.DV/m.DV - 1); y > nearbyRows || odd < 0.001 || odd > 0.05 {
			continue
		}
		m.U0, m.DU = t.m.U0, t.m.DU
		hold := g.hold
		g.hold[2], g.hold[3] = heldScale, heldScale
		u := f.refined(m, t, 3, 1)
		g.hold = hold
		if u.residue < explained*t.residue {
			return u
		}
	}
	return t
}

// held refines again with the usual scale where the scale is not known, for
// instance where there is but one edge.
func (f *finder) held(t *fit, x, y direction) *fit {
	m := t.m
	w, h := float64(f.c.w-1)/2, float64(f.c.h-1)/2
	shape := 1.0 // of what is known in the other direction, if that is no small error of a clock
	if x.known && x.scale <= scaleKnown {
		if s := m.DU / f.likely[0].DU; math.Abs(s-1) > 0.03 {
			shape = s
		}
	} else if y.known && y.scale <= scaleKnown {
		if s := m.DV / f.likely[0].DV; math.Abs(s-1) > 0.03 {
			shape = s
		}
	}
	g := f.fine
	if f.finest != nil {
		g = f.finest
	}
	// What is known best stays where it is.
	pivot := func(i int, half float64) float64 {
		return half * (1 + min(max(-t.sigma[i][i+1]/max(t.sigma[i+1][i+1], 1e-12), -1), 1))
	}
	if x.scale > scaleKnown {
		d := shape * f.likely[0].DU
		m.U0, m.DU = m.U0+float64(pivot(0, w)*(m.DU-d)), d
		g.hold[1] = heldScale
	}
	if y.scale > scaleKnown {
		d := shape * f.likely[0].DV
		m.V0, m.DV = m.V0+float64(pivot(2, h)*(m.DV-d)), d
		g.hold[3] = heldScale
	}
	u := f.refined(m, t, 6, 1)
	near := f.apart(f.reduce(u.m), f.reduce(f.likely[0])) < 0.25
	for i, s := range []float64{x.scale, y.scale} {
		if s > scaleKnown && !near {
			// Nobody has said that the scale is the usual one.
			u.sigma[2*i+1][2*i+1] += oddScale * oddScale
		}
	}
	return u
}

// A direction is what is known of one.
type direction struct {
	known bool
	sigma float64 // at the edge, in samples or rows of the definition
	scale float64 // the part of it that is due to the scale
}

// Standard deviations of the fit are those of independent samples. Those of a
// capture are not, and what the model does not hold, such as the filters of the
// chain, acts on all edges alike; calibrated over the set of find_test.go.
const (
	sigmaFactor = 4.0
	sigmaLeast  = 0.02
	scaleKnown  = 2.0  // samples or rows at the edge: beyond, the usual scale is as good
	heldScale   = 0.05 // samples or rows
	nearbyRows  = 12.0 // of the reduced grids
	explained   = 2.2  // times the variance that the better place leaves
	unusual     = 0.95 // of the places that fit and are not the usual one, so many were right
	oddScale    = 1.5  // samples or rows, before sigmaFactor: 1 or 2 % of half the picture
)

func (f *finder) known(t *fit) (x, y direction) {
	of := func(i int) direction {
		a, b, ab := t.sigma[i][i], t.sigma[i+1][i+1], t.sigma[i][i+1]
		middle := math.Sqrt(max(a, 0))
		edge := math.Sqrt(max(a+b+2*math.Abs(ab), 0))
		return direction{middle*sigmaFactor < 4, math.Hypot(edge*sigmaFactor, sigmaLeast), sigmaFactor * math.Sqrt(max(b, 0))}
	}
	return of(0), of(2)
}

// sure is the probability that the place is right within a sample and a row, as
// far as it is known.
func (f *finder) sure(t *fit, best trial, at Place) float64 {
	sure := 1.0
	if !at.XKnown && !at.YKnown {
		return 0
	}
	if at.XKnown {
		sure *= math.Erf(1 / (at.SigmaX * math.Sqrt2))
	}
	if at.YKnown {
		sure *= math.Erf(1 / (at.SigmaY * math.Sqrt2))
	}
	if f.apart(f.reduce(t.m), f.reduce(f.likely[0])) > 0.5 {
		sure *= unusual
	}
	// Another place that fits as well makes either as likely.
	left := max(1-best.fitness(), 3e-3)
	for _, o := range f.tried {
		x, y := f.apartXY(o.m, best.m)
		if (!at.XKnown || x < 2) && (!at.YKnown || y < 2) {
			continue
		}
		ratio := math.Log(max(1-o.fitness(), 3e-3) / left)
		sure = min(sure, 1-0.5*math.Exp(-4*max(ratio, 0)))
	}
	// What is explained at all.
	return sure / (1 + math.Exp(-14*(t.score-0.55)))
}
