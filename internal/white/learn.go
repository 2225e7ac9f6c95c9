package white

import "math"

// What is believed of a control before it has been moved. All of these are own
// choice, made on simulated sets; the travels are common practice (notes.go).
const (
	ownDoubt   = .4   // of its main effect, relative
	crossDoubt = .13  // of its effect on other guns and on the other role, of the main one
	bend       = .45  // how much its effect may change over half its travel, relative
	waver      = .02  // what else may be wrong with a move, of its effect
	setting    = .002 // how exactly a knob is set, of half its travel
	slack      = .03  // where in its play it stood at first, of half its travel
	drift      = 2e-4 // of a set between rounds, of drive and of the range
)

// usual is what half a travel does, by role: to drive, of itself, and to cutoff,
// of the signal range.
func usual(r Role) float64 { return [...]float64{usualDrive / 100., usualCutoff / 100.}[r] }

// A learner holds what is known after some rounds: a normal distribution over
// drive and cutoff of the guns (d of red, green and blue, then c: the law of a
// tube, see line) and over the effect of every control on these six. Where
// moves are known, readings are linear in both, so each round's update is exact
// (a Kalman filter whose state holds the effects too). A law that bends is an
// effect that changes as the control is moved.
type learner struct {
	t        *tube
	controls []Control
	half     []float64 // units in half a travel
	scale    []float64 // main effect of half a travel, of the usual one; below none: the other way
	gamma    float64
	unit     float64 // root of light that counts as d = 1

	mean  []float64
	cov   [][]float64
	moved []bool
	fit   float64 // log likelihood of all readings so far
	miss  float64 // sum of their squares off what was expected, each over its variance
	seen  float64 // how many squares that is
	odd   bool    // the last moves did not do at all what they should
}

// place is where the effect of control j on drive or cutoff i stands.
func place(j, i int) int { return 6 + 6*j + i }

func (k *learner) start() {
	n := 6 + 6*len(k.controls)
	k.mean = make([]float64, n)
	k.cov = make([][]float64, n)
	for i := range k.cov {
		k.cov[i] = make([]float64, n)
	}
	for i := range 6 {
		k.cov[i][i] = 1
	}
	for j, c := range k.controls {
		own := int(c.Role)*3 + int(c.Gun)
		k.mean[place(j, own)] = k.scale[j] * usual(c.Role)
		for i := range 6 {
			doubt := crossDoubt
			if i == own {
				doubt = ownDoubt
			}
			doubt *= k.scale[j] * usual(Role(i/3))
			k.cov[place(j, i)][place(j, i)] = doubt * doubt
		}
	}
	k.moved = make([]bool, len(k.controls))
	k.fit, k.miss, k.seen, k.odd = 0, 0, 0, false
}

// add puts a move of control j over x half travels in, with its doubts times
// more.
func (k *learner) add(j int, x, more float64) {
	effect := make([]float64, 6)
	for i := range 6 {
		effect[i] = k.mean[place(j, i)]
		k.mean[i] += float64(effect[i] * x)
	}
	// New d or c is the old one plus the effect times x: a row and a column.
	for i := range 6 {
		row, from := k.cov[i], k.cov[place(j, i)]
		for c := range row {
			row[c] += float64(from[c] * x)
		}
	}
	for i := range 6 {
		p := place(j, i)
		for _, row := range k.cov {
			row[i] += float64(row[p] * x)
		}
	}
	at := setting
	if !k.moved[j] {
		at = math.Hypot(at, slack)
	}
	k.moved[j] = true
	far := math.Abs(x)
	k.spread(j, effect, at*more, 0)
	k.spread(j, effect, bend*far*x/2, bend*far)
	for i := range 6 {
		w := waver * far * k.scale[j] * usual(Role(i/3)) * more
		k.cov[i][i] += float64(w * w)
	}
}

// spread adds a doubt along the effect of control j: of the guns, and of the
// effect itself, both at once.
func (k *learner) spread(j int, effect []float64, guns, itself float64) {
	for a := range 6 {
		for b := range 6 {
			e := float64(effect[a] * effect[b])
			pa, pb := place(j, a), place(j, b)
			k.cov[a][b] += float64(guns * guns * e)
			k.cov[pa][pb] += float64(itself * itself * e)
			k.cov[a][pb] += float64(guns * itself * e)
			k.cov[pa][b] += float64(itself * guns * e)
		}
	}
}

// sight is one number seen: the sum of parts of d and c, with an error of 1.
type sight struct {
	value float64
	part  [6]float64
}

// see puts sights in, one after another, and returns how far off they were: the
// sum of squares, each over its variance, and the log likelihood.
func (k *learner) see(sights []sight) (square, likely float64) {
	n := len(k.mean)
	gain := make([]float64, n)
	for _, s := range sights {
		miss, v := s.value, 1.
		for i := range gain {
			gain[i] = 0
			for a, p := range s.part {
				gain[i] += float64(k.cov[i][a] * p)
			}
		}
		for a, p := range s.part {
			miss -= float64(p * k.mean[a])
			v += float64(p * gain[a])
		}
		for i := range n {
			k.mean[i] += float64(gain[i] / v * miss)
			for c := range n {
				k.cov[i][c] -= float64(gain[i] * gain[c] / v)
			}
		}
		square += miss * miss / v
		likely -= (miss*miss/v + math.Log(v)) / 2
	}
	return square, likely
}

// copyState keeps what see and add change.
func (k *learner) copyState() *learner {
	c := *k
	c.mean = append([]float64(nil), k.mean...)
	c.moved = append([]bool(nil), k.moved...)
	c.cov = make([][]float64, len(k.cov))
	for i := range c.cov {
		c.cov[i] = append([]float64(nil), k.cov[i]...)
	}
	return &c
}

// rounds goes through all of them. A round that does not fit at all (a control
// that slipped, a bumped knob) makes the moves before it more doubtful.
func (k *learner) rounds(all []Round) {
	k.start()
	for n, r := range all {
		sights := k.sights(r.Steps)
		if n == 0 {
			k.see(sights)
			continue
		}
		for i := range 6 {
			k.cov[i][i] += drift * drift
		}
		limit := float64(len(sights)) + 4*math.Sqrt(2*float64(len(sights)))
		plain := 0. // squares off without more doubt
		for _, more := range []float64{1, 4, 16} {
			try := k.copyState()
			for j := range k.controls {
				if x := (r.Settings[j] - all[n-1].Settings[j]) / k.half[j]; x != 0 {
					try.add(j, x, more)
				}
			}
			square, likely := try.see(sights)
			if more == 1 {
				plain = square
			}
			if square <= limit || more == 16 {
				try.fit = k.fit + likely - 2*math.Log2(more)
				try.miss += plain
				try.seen += float64(len(sights))
				try.odd = more > 1
				*k = *try
				break
			}
		}
	}
}

// scales lists how much more or less than usual a control may do, and the price
// of believing it, in log likelihood.
func scales(known bool) (s []struct{ by, price float64 }) {
	add := func(by, price float64) { s = append(s, struct{ by, price float64 }{by, price}) }
	add(1, 0)
	add(-1, 3)
	for _, by := range []float64{.3, .55, 1.8, 3.2} {
		add(by, 1.5)
		add(-by, 4)
	}
	if !known {
		for _, by := range []float64{.03, .1, 10} {
			add(by, 2.5)
			add(-by, 5)
		}
	}
	return s
}

// learn goes through the rounds. Where they do not fit what was believed, it
// goes through them again with other scales of the controls, as long as that
// makes the readings likelier.
func (k *learner) learn(all []Round, known []bool) {
	k.rounds(all)
	base := append([]float64(nil), k.scale...)
	paid := make([]float64, len(base))
	for range 2 * len(base) {
		if k.miss <= k.seen+math.Sqrt(2*k.seen) {
			return
		}
		best, control, scale, price := k.fit+.5, -1, 0., 0.
		for j := range k.controls {
			if !k.moved[j] {
				continue
			}
			try := k.copyState()
			try.scale = append([]float64(nil), k.scale...)
			for _, s := range scales(known[j]) {
				if try.scale[j] = base[j] * s.by; try.scale[j] == k.scale[j] {
					continue
				}
				try.rounds(all)
				if f := try.fit - s.price + paid[j]; f > best {
					best, control, scale, price = f, j, try.scale[j], s.price
				}
			}
		}
		if control < 0 {
			return
		}
		k.scale[control], paid[control] = scale, price
		k.rounds(all)
	}
}
