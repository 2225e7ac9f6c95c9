package white_test

import (
	"math"
	"math/rand/v2"

	"backporch/colorimetry"
	"backporch/internal/white"
)

// bench is a set on the bench and somebody who reads the meter and turns the
// knobs as advised. It has a model of its own and shares no arithmetic with the
// package under test: light of a gun is k (d v + c)^gamma, d and c follow from
// where the wipers of all six controls stand, and a wiper follows its knob by a
// law and with play.
type bench struct {
	rng       *rand.Rand
	limit     [3]float64 // light of the guns that the limiter allows, in sum
	family    family
	controls  []white.Control
	phosphor  [3]colorimetry.XYZ // light of each gun alone, for 1 cd/m2 of the target white
	gamma     [3]float64
	d0, c0    [3]float64
	effect    [6][6]float64 // rows d of R, G, B, then c; columns are controls
	bend      [6]float64
	law       [6]int
	play      [6]float64 // half of it, in half travels
	knob      [6]float64 // -1 to 1 over the travel
	wiper     [6]float64
	target    colorimetry.White
	keep      white.Gun
	primaries colorimetry.Primaries // as the solver is told
	noise     float64               // times the stated noise
}

// family is what the controls of a set are like.
type family struct {
	name      string
	laws      []int   // 0 straight, 1 exponential, 2 parabola; negative: bent the other way
	play      float64 // of the whole travel, greatest
	steps     float64 // over the travel, 0: none
	wrong     float64 // of x and y of the primaries that the solver is told
	spread    float64 // of the gains, 0: 30 %
	turned    bool    // one control works the other way round
	unknown   bool    // the ends of travel are not known
	careless  bool    // nobody goes past and comes back up
	ahead     bool    // cutoff acts ahead of the drive stage, so a drive scales it too
	dead      float64 // of the whole travel: at either end a knob does nothing more
	limiter   bool    // a beam limiter acts from the light of 70 % of the signal up
	noise     float64 // times the stated noise, 0: 1
	stillRead bool    // no noise at all
}

const dark, bright = 0.20, 0.80

func uniform(r *rand.Rand, a, b float64) float64 { return a + (b-a)*r.Float64() }

// newBench draws sets until one can be brought to the target and starts no
// further off than 0.03 at both steps.
func newBench(f family, seed uint64) *bench {
	r := rand.New(rand.NewPCG(seed, 20))
	for {
		if b := drawBench(f, r); b != nil {
			return b
		}
	}
}

func drawBench(f family, r *rand.Rand) *bench {
	b := &bench{rng: r, family: f, noise: 1}
	if f.noise != 0 {
		b.noise = f.noise
	}
	if f.stillRead {
		b.noise = 0
	}
	b.keep = white.Gun(r.IntN(3))
	whites := []string{"D65", "D93", "9300K+27MPCD"}
	b.target, _ = colorimetry.ParseWhite(whites[r.IntN(len(whites))])
	tubes := colorimetry.AllPrimaries()
	p := tubes[[]int{0, 1, 4, 5}[r.IntN(4)]] // SMPTE C, EBU, P22, P22 of Japan
	truth := [3]colorimetry.XY{p.R, p.G, p.B}
	for i := range truth { // tubes differ from unit to unit
		truth[i].X += uniform(r, -.008, .008)
		truth[i].Y += uniform(r, -.008, .008)
	}
	told := truth
	for i := range told {
		told[i].X += uniform(r, -f.wrong, f.wrong)
		told[i].Y += uniform(r, -f.wrong, f.wrong)
	}
	b.primaries = colorimetry.Primaries{Name: "told", R: told[0], G: told[1], B: told[2]}
	b.phosphor = mix(truth, b.target.XY)

	// What the knobs do: half a travel is 30 % of drive or 10 % of the signal
	// range, within the spread; up to a fifth of that goes everywhere else.
	spread := .3
	if f.spread != 0 {
		spread = f.spread
	}
	half := [6]float64{.30, .30, .30, .10, .10, .10}
	wrongWay := -1
	if f.turned {
		wrongWay = r.IntN(6)
	}
	for j := range 6 {
		gain := uniform(r, 1-spread, 1+spread)
		if spread > .5 { // as a factor
			gain = math.Exp(uniform(r, -math.Log(1+spread), math.Log(1+spread)))
		}
		if j == wrongWay {
			gain = -gain
		}
		for i := range 6 {
			share := uniform(r, -.2, .2)
			if i == j {
				share = 1
			}
			b.effect[i][j] = half[i] * gain * share
		}
		b.law[j] = f.laws[r.IntN(len(f.laws))]
		b.bend[j] = uniform(r, .3, .8) // slope at the ends of travel: 0.45 to 2.2 of that in the middle
		if f.play > 0 {
			b.play[j] = uniform(r, .3, 1) * f.play // half of it in half travels is the whole in whole travels
		}
		b.knob[j] = uniform(r, -.4, .4)
		b.wiper[j] = b.knob[j]
		span := []float64{255, 100, 10, 4095, 300, 63}[r.IntN(6)]
		c := white.Control{Name: []string{"R drive", "G drive", "B drive", "R cutoff", "G cutoff", "B cutoff"}[j],
			Gun: white.Gun(j % 3), Role: white.Role(j / 3), Least: 0, Most: span}
		if f.steps > 0 {
			c.Most = f.steps
			c.Step = 1
		}
		b.controls = append(b.controls, c)
	}
	if f.steps > 0 {
		for j := range b.knob {
			b.knob[j] = math.Round((b.knob[j]+1)/2*f.steps)/f.steps*2 - 1
			b.wiper[j] = b.knob[j]
		}
	}

	// The knobs stand where the target is met at both steps: the kept gun at
	// d = 1 and a small c, the others as their own gammas ask for.
	gamma := uniform(r, 2.2, 2.8)
	ck := uniform(r, -.03, .03)
	for g := range b.gamma {
		b.gamma[g] = gamma + uniform(r, -.03, .03)
	}
	d, c := b.drives()
	for g := range 3 {
		lo, hi := 100*math.Pow(dark+ck, gamma), 100*math.Pow(bright+ck, gamma)
		slo, shi := math.Pow(lo/100, 1/b.gamma[g]), math.Pow(hi/100, 1/b.gamma[g])
		wantD := (shi - slo) / (bright - dark)
		wantC := slo - wantD*dark
		b.d0[g] = wantD / (1 + d[g])
		b.c0[g] = wantC - c[g]
		if f.ahead {
			b.c0[g] = wantC/(1+d[g]) - c[g]
		}
		b.limit[g] = math.Pow(wantD*.7+wantC, b.gamma[g]) * 100
	}
	if f.careless || f.play > 0 {
		for j := range 6 {
			if white.Gun(j%3) != b.keep {
				b.wiper[j] = b.knob[j] + uniform(r, -1, 1)*b.play[j]
			}
		}
	}

	// Away from there: drives until the bright step is off, cutoffs until the
	// dark one is.
	at := b.knob
	var dir [6]float64
	for j := range dir {
		if white.Gun(j%3) != b.keep {
			dir[j] = r.NormFloat64()
		}
	}
	if !b.away(at, dir, 0, 3, 1, uniform(r, .003, .03)) || !b.away(b.knob, dir, 3, 6, 0, uniform(r, .003, .03)) {
		return nil
	}
	if b.off(bright) > .03 || b.off(dark) > .03 {
		return nil
	}
	if f.unknown {
		for j := range b.controls {
			b.controls[j].Least, b.controls[j].Most = 0, 0
		}
	}
	return b
}

// away turns knobs from..to along dir until the step is off by want.
func (b *bench) away(at, dir [6]float64, from, to, step int, want float64) bool {
	v := []float64{dark, bright}[step]
	w := b.wiper
	try := func(k float64) float64 {
		b.knob, b.wiper = at, w
		for j := from; j < to; j++ {
			x := at[j] + k*dir[j]
			if n := b.family.steps; n > 0 {
				x = math.Round((x+1)/2*n)/n*2 - 1
			}
			b.turn(j, x)
		}
		return b.off(v)
	}
	lo, hi := 0., 3.
	for range 40 {
		if mid := (lo + hi) / 2; try(mid) < want {
			lo = mid
		} else {
			hi = mid
		}
	}
	try(lo)
	for j := from; j < to; j++ {
		if math.Abs(b.knob[j]) > .95 {
			return false
		}
	}
	return true
}

// mix gives the light of each phosphor in one cd/m2 of white, by Cramer's rule.
func mix(p [3]colorimetry.XY, w colorimetry.XY) (out [3]colorimetry.XYZ) {
	col := func(c colorimetry.XY) [3]float64 { return [3]float64{c.X, c.Y, 1 - c.X - c.Y} }
	det := func(a, b, c [3]float64) float64 {
		return a[0]*(b[1]*c[2]-b[2]*c[1]) - b[0]*(a[1]*c[2]-a[2]*c[1]) + c[0]*(a[1]*b[2]-a[2]*b[1])
	}
	m := [3][3]float64{col(p[0]), col(p[1]), col(p[2])}
	t := [3]float64{w.X / w.Y, 1, (1 - w.X - w.Y) / w.Y}
	all := det(m[0], m[1], m[2])
	for g := range 3 {
		n := m
		n[g] = t
		k := det(n[0], n[1], n[2]) / all
		out[g] = colorimetry.XYZ{X: k * m[g][0], Y: k * m[g][1], Z: k * m[g][2]}
	}
	return out
}

// turn moves a knob; the wiper follows when the play is used up.
func (b *bench) turn(j int, x float64) {
	b.knob[j] = x
	b.wiper[j] = min(max(b.wiper[j], x-b.play[j]), x+b.play[j])
}

// bent is what a wiper at x does, 0 in the middle.
func (b *bench) bent(j int) float64 {
	x, k := b.wiper[j], b.bend[j]
	if n := b.family.dead; n > 0 {
		x = min(max(x, -1+2*n), 1-2*n)
	}
	switch b.law[j] {
	case 1:
		return (math.Exp(k*x) - 1) / k
	case -1:
		return (1 - math.Exp(-k*x)) / k
	case 2:
		return x + k*x*x/2
	case -2:
		return x - k*x*x/2
	}
	return x
}

func (b *bench) drives() (d, c [3]float64) {
	for g := range 3 {
		for j := range 6 {
			d[g] += b.effect[g][j] * b.bent(j)
			c[g] += b.effect[3+g][j] * b.bent(j)
		}
	}
	return d, c
}

// light is the true light of a step.
func (b *bench) light(v float64) (out colorimetry.XYZ) {
	l := b.guns(v)
	if b.family.limiter {
		if most := sum3(b.limit); sum3(l) > most { // contrast sinks until the beam current is allowed
			lo, hi := 0., 1.
			for range 40 {
				if mid := (lo + hi) / 2; sum3(b.guns(mid*v)) < most {
					lo = mid
				} else {
					hi = mid
				}
			}
			l = b.guns(lo * v)
		}
	}
	for g, p := range b.phosphor {
		l := l[g]
		out.X += l * p.X
		out.Y += l * p.Y
		out.Z += l * p.Z
	}
	return out
}

// guns is the light of each gun at a signal, 100 at white of the target.
func (b *bench) guns(v float64) (l [3]float64) {
	d, c := b.drives()
	for g := range l {
		drive, bias := b.d0[g]*(1+d[g]), b.c0[g]+c[g]
		if b.family.ahead {
			bias *= 1 + d[g]
		}
		l[g] = 100 * math.Pow(max(drive*v+bias, 0), b.gamma[g])
	}
	return l
}

func sum3(l [3]float64) float64 { return l[0] + l[1] + l[2] }

// off is the true distance from the target in u', v'.
func (b *bench) off(v float64) float64 {
	l := b.light(v)
	uv := func(x, y, z float64) (float64, float64) { return 4 * x / (x + 15*y + 3*z), 9 * y / (x + 15*y + 3*z) }
	u1, v1 := uv(l.X, l.Y, l.Z)
	u0, v0 := uv(b.target.X/b.target.Y, 1, (1-b.target.X-b.target.Y)/b.target.Y)
	return math.Hypot(u1-u0, v1-v0)
}

// read is the mean of eight readings. Each of X, Y and Z of each reading has
// noise of its own: 0.3 % of it at the bright step and 1 % at the dark one.
func (b *bench) read(v, noise float64) white.Reading {
	l := b.light(v)
	var m [3]float64
	for range 8 {
		for i, x := range [3]float64{l.X, l.Y, l.Z} {
			m[i] += x * (1 + b.noise*noise*b.rng.NormFloat64()) / 8
		}
	}
	return white.Reading{Level: v, XYZ: colorimetry.XYZ{X: m[0], Y: m[1], Z: m[2]}}
}

// units turns a knob's place into its scale and back; where the ends of travel
// are not known the scale is 0 to 100 all the same.
func (b *bench) units(j int) (least, most float64) {
	if c := b.controls[j]; c.Most > c.Least {
		return c.Least, c.Most
	}
	return 0, 100
}

func (b *bench) settings() (s []float64) {
	for j := range b.controls {
		least, most := b.units(j)
		s = append(s, least+(b.knob[j]+1)/2*(most-least))
	}
	return s
}

// obey turns the knobs as advised; a pointer knob is set to a thousandth of its
// travel.
func (b *bench) obey(a *white.Advice) {
	for j := range b.controls {
		least, most := b.units(j)
		place := func(x float64) float64 {
			t := (x - least) / (most - least)
			if b.family.steps == 0 {
				t = math.Round(t*1000) / 1000
			}
			return min(max(2*t-1, -1), 1)
		}
		before := b.settings()[j]
		if a.Settings[j] == before {
			continue
		}
		if !b.family.careless && a.Past[j] != a.Settings[j] {
			b.turn(j, place(a.Past[j]))
		}
		b.turn(j, place(a.Settings[j]))
	}
}
