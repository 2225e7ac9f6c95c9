package measure

import (
	"math"

	"backporch/colorimetry"
)

// faultCost is -2 ln of the odds of a fault that may be present or not, before
// anything is measured: about one in twenty.
const faultCost = 6

// fit finds the free fields that explain the data best, and what the hypothesis
// costs then.
//
// It is Gauss-Newton with weights that keep a wild patch from deciding (Huber,
// three deviations), and with the prior spread of each field as a datum of its
// own: a field of which the data say nothing stays where it is. The cost is the
// misfit, the prior, and the share of the prior that the data leave (the
// determinant of Laplace's approximation), so that a fault that explains nothing
// is not believed.
func (h *hypothesis) fit(data []datum, l *limits) {
	n := len(h.free)
	// As if nothing were cut; then, as what is far off may have been cut, from
	// there, and from the beginning: either may end in the wrong valley.
	start := h.chain
	h.uncut = true
	h.descend(data, l)
	h.uncut = false
	h.descend(data, l)
	if least, clipped := h.misfit(data, l); clipped && n > 0 {
		one := h.chain
		h.chain = start
		h.descend(data, l)
		if other, _ := h.misfit(data, l); other >= least {
			h.chain = one
		}
	}
	var clipped bool
	h.chi2, clipped = h.misfit(data, l)
	h.cost = h.chi2 + float64(faultCost*float64(h.faults()))
	if clipped {
		h.cost += h.cutCost()
	}
	if h.span != 0 {
		h.cost += 2 * math.Ln2 // two ways to do it
	}
	if h.bits != 0 {
		h.cost += 2 * math.Log(float64(len(coarse())))
	}
	if n == 0 {
		return
	}
	a, _ := h.normal(data, l)
	det, inverse := invert(a, n)
	h.cost += math.Log(det)
	for i, p := range h.free {
		field, none, spread, unit := p.of(&h.chain)
		d := (*field - none) / spread
		h.cost += float64(d * d)
		h.value[p] = (*field - none) * unit
		if p == gammaParameter {
			h.value[p] = *field
		}
		h.sigma[p] = math.Sqrt(inverse[i][i]) * spread * unit
	}
}

// descend moves the free fields until the misfit is least.
func (h *hypothesis) descend(data []datum, l *limits) {
	n := len(h.free)
	const steps = 8
	for range steps {
		a, g := h.normal(data, l)
		var step [numParameters]float64
		if n == 0 || !solve(a, g, &step, n) {
			return
		}
		moved := 0.0
		for i, p := range h.free {
			field, _, spread, _ := p.of(&h.chain)
			least, most := p.bounds()
			to := min(max(*field+float64(step[i]*spread), least), most)
			moved = max(moved, math.Abs(to-*field)/spread)
			*field = to
		}
		if moved < 1e-4 {
			return
		}
	}
}

// cutCost is what it costs to believe that something was cut: nothing where that
// belongs to the fault, an even chance where R'G'B' was computed, else as much
// as a fault, for it is one.
func (h *hypothesis) cutCost() float64 {
	switch {
	case h.span < 0:
		return 0
	case h.matrix != 0 || h.bits != 0 || h.gamma != 1:
		return 2 * math.Ln2
	default:
		return faultCost
	}
}

// normal returns the normal equations about the present fields, in units of
// their prior spread.
func (h *hypothesis) normal(data []datum, l *limits) (a [numParameters][numParameters]float64, g [numParameters]float64) {
	const small = 1e-4 // of a spread
	n := len(h.free)
	for i, p := range h.free {
		field, none, spread, _ := p.of(&h.chain)
		a[i][i], g[i] = 1, -(*field-none)/spread
	}
	if n == 0 {
		return a, g
	}
	for k := range data {
		d := &data[k]
		s, c := h.explain(d, l)
		r := residuals(d, s)
		var slope [numParameters][3]float64
		for i, p := range h.free {
			field, _, spread, _ := p.of(&h.chain)
			was := *field
			*field = was + float64(small*spread)
			t := l.hold(h.apply(d.want, c))
			*field = was
			slope[i] = [3]float64{(t.Y - s.Y) / small / d.sigma[0], (t.CB - s.CB) / small / d.sigma[1], (t.CR - s.CR) / small / d.sigma[2]}
		}
		for m := range 3 {
			w := 1.0
			if e := math.Abs(r[m]); e > huber {
				w = huber / e
			}
			for i := range n {
				g[i] += float64(w * slope[i][m] * r[m])
				for j := range n {
					a[i][j] += float64(w * slope[i][m] * slope[j][m])
				}
			}
		}
	}
	return a, g
}

// huber is the distance, in standard deviations, beyond which a datum pulls no
// harder.
const huber = 3

// lossOf is Huber's: the square near 0, straight beyond.
func lossOf(e float64) float64 {
	if e = math.Abs(e); e > huber {
		return float64(2*huber*e) - huber*huber
	}
	return float64(e * e)
}

func loss(r [3]float64) float64 { return lossOf(r[0]) + lossOf(r[1]) + lossOf(r[2]) }

func residuals(d *datum, s colorimetry.Signal) [3]float64 {
	return [3]float64{(d.got.Y - s.Y) / d.sigma[0], (d.got.CB - s.CB) / d.sigma[1], (d.got.CR - s.CR) / d.sigma[2]}
}

// explain returns what the hypothesis expects of a datum, by the cut that suits
// it best; cuts are considered where something lies beyond black or white.
func (h *hypothesis) explain(d *datum, l *limits) (best colorimetry.Signal, c cut) {
	s := h.apply(d.want, uncut)
	best = l.hold(s)
	if h.uncut || inside(d.want) && inside(s) && inside(h.upToRange(d.want)) && inside(h.upToMatrix(d.want)) {
		return best, uncut
	}
	least := loss(residuals(d, best))
	for k := before; k < numCuts; k++ {
		s := l.hold(h.apply(d.want, k))
		if e := loss(residuals(d, s)); e < least-1e-9 {
			best, c, least = s, k, e
		}
	}
	return best, c
}

// upToRange is the part of the chain before setup: where a stretched range
// leaves the cube, something may be lost within.
func (h *hypothesis) upToRange(s colorimetry.Signal) colorimetry.Signal {
	if h.span >= 0 {
		return s
	}
	k := h.chain
	k.setup, k.gain, k.color, k.phase = 0, 1, 1, 0
	return k.apply(s, uncut)
}

// upToMatrix is the part of the chain before the range.
func (h *hypothesis) upToMatrix(s colorimetry.Signal) colorimetry.Signal {
	if h.matrix == 0 {
		return s
	}
	k := plain()
	k.swap, k.matrix = h.swap, h.matrix
	return k.apply(s, uncut)
}

// misfit returns the loss over all data, and whether something had to be cut.
func (h *hypothesis) misfit(data []datum, l *limits) (sum float64, clipped bool) {
	for i := range data {
		s, c := h.explain(&data[i], l)
		sum += loss(residuals(&data[i], s))
		clipped = clipped || c != uncut
	}
	return sum, clipped
}

// commonCut returns the one cut that suits all data best: the one to expect
// between the patches.
func (h *hypothesis) commonCut(data []datum, l *limits) (best cut) {
	least := math.Inf(1)
	for c := uncut; c < numCuts; c++ {
		var sum float64
		for i := range data {
			sum += loss(residuals(&data[i], l.hold(h.apply(data[i].want, c))))
		}
		if sum < least-1e-9 {
			best, least = c, sum
		}
	}
	return best
}
