// Package blueonly turns what the blue gun shows of 75 % bars into errors of
// chroma gain and phase, and says which way to turn the controls.
//
// Gray, cyan, magenta and blue have the same blue, so with the blue gun alone
// they look alike when gain and phase are right. Equations: U = kU(B'-Y'), V =
// kV(R'-Y') with kU .492111 and kV .877283 (SMPTE 170M-2004 A.3; the .493 and
// .877 of ITU-R BT.470-6 are roundings of them). The bars may be of any
// amplitude: only what they are to the gray one counts.
package blueonly

import (
	"errors"
	"fmt"
	"math"
)

// A Reading is the light of the four bars that have blue, any unit, with the
// blue gun alone.
type Reading struct {
	Gray, Cyan, Magenta, Blue float64
	Black                     float64 // light of the black bar or of the unlit screen, taken off the others; 0 for none
}

// A Chain is what lies between the bars and the light.
type Chain struct {
	Gamma     float64 // of the tube
	Lines     int     // 525 or 625; 0 for 525
	Component bool    // no subcarrier: there is no phase to be wrong
	Noise     float64 // standard error of one reading of light, as a share of it; 0 for Noise
}

// Noise is the standard error of a reading where the caller states none: half a
// per cent, what a light meter repeats to (common practice).
const Noise = 0.005

// A Result is errors of chroma.
type Result struct {
	Gain       float64 // 1 is right
	Phase      float64 // degrees; positive: vectors turned counterclockwise
	GainKnown  bool
	PhaseKnown bool
	GainSigma  float64 // standard error that the readings give it; by eye the bound that "equal" gives
	PhaseSigma float64 // degrees, likewise
	// Off is how far the bars lie from what gain and phase say of them, per cent
	// of the gray bar's signal, root mean square.
	Off   float64
	Words []string
}

// ratio is kV/kU.
const ratio = 0.877283 / 0.492111

// A bar is what is sent: luma and color differences as shares of its amplitude.
type bar struct {
	name      string
	y, by, ry float64
}

func newBar(name string, r, g, b float64) bar {
	y := g + float64(0.299*(r-g)) + float64(0.114*(b-g))
	return bar{name, y, b - y, r - y}
}

func blueBars() []bar {
	return []bar{newBar("cyan", 0, 1, 1), newBar("magenta", 1, 0, 1), newBar("blue", 0, 0, 1)}
}

// Solve computes gain and phase from the light of the bars of a composite or
// Y/C signal on 525 lines, on a tube of that gamma.
func Solve(r Reading, gamma float64) (*Result, error) { return Chain{Gamma: gamma}.Solve(r) }

// Solve computes gain and phase from the light of the bars; for component
// signals the gain of Pb alone.
func (c Chain) Solve(r Reading) (*Result, error) {
	c, err := c.complete()
	if err != nil {
		return nil, err
	}
	lights := []float64{r.Gray, r.Cyan, r.Magenta, r.Blue}
	if err := checkLight(r.Black, lights, []string{"gray", "cyan", "magenta", "blue"}); err != nil {
		return nil, err
	}
	for i := range lights {
		lights[i] -= r.Black
	}
	res := &Result{}
	dark, err := c.solveBlue(lights, res)
	if err != nil {
		return nil, err
	}
	c.spread(lights, res)
	for _, d := range dark {
		res.Words = append(res.Words, fmt.Sprintf("The %s bar gives no light: it is below black, so it was left out.", d))
	}
	c.say(res)
	return res, nil
}

func (c Chain) complete() (Chain, error) {
	if c.Lines == 0 {
		c.Lines = 525
	}
	if c.Noise == 0 {
		c.Noise = Noise
	}
	switch {
	case c.Lines != 525 && c.Lines != 625:
		return c, fmt.Errorf("%d lines: bars are of 525 or of 625", c.Lines)
	case !(c.Gamma >= 1 && c.Gamma <= 4):
		return c, fmt.Errorf("a gamma of %g is none of a picture tube: measure gray steps, or take 2.4", c.Gamma)
	case !(c.Noise > 0 && c.Noise < 1):
		return c, fmt.Errorf("noise of %g: give the standard error of a reading as a share of it, such as 0.005", c.Noise)
	}
	return c, nil
}

func checkLight(black float64, lights []float64, names []string) error {
	for i, l := range lights {
		if !(l >= 0) || math.IsInf(l, 0) {
			return fmt.Errorf("the light of the %s bar is %g: give what the meter reads of it with one gun alone", names[i], l)
		}
	}
	if !(black >= 0) || math.IsInf(black, 0) {
		return fmt.Errorf("the light of black is %g: give what the meter reads of the black bar, or nothing", black)
	}
	if lights[0] <= black {
		return fmt.Errorf("the gray bar (%g) gives no more light than black (%g): nothing can be held against it", lights[0], black)
	}
	return nil
}

// signals makes signals of light, the gray bar 1; what gives no light is named.
func (c Chain) signals(lights []float64, bars []bar) (v []float64, use []bar, dark []string) {
	for i, b := range bars {
		if lights[i+1] <= 0 {
			dark = append(dark, b.name)
			continue
		}
		v, use = append(v, math.Pow(lights[i+1]/lights[0], 1/c.Gamma)), append(use, b)
	}
	return v, use, dark
}

// solveBlue fits B' = Y' + p (B'-Y') - q kV/kU (R'-Y'), p = g cos phase and q =
// g sin phase, to the bars: two unknowns, and three bars.
func (c Chain) solveBlue(lights []float64, res *Result) (dark []string, err error) {
	v, bars, dark := c.signals(lights, blueBars())
	var aa, ab, bb, ay, by float64
	for i, b := range bars {
		x, z, y := b.by, -ratio*b.ry, v[i]-b.y
		if c.Component {
			z = 0
		}
		aa, ab, bb = aa+float64(x*x), ab+float64(x*z), bb+float64(z*z)
		ay, by = ay+float64(x*y), by+float64(z*y)
	}
	p, q := 0.0, 0.0
	switch det := float64(aa*bb) - float64(ab*ab); {
	case c.Component && len(bars) > 0:
		p = ay / aa
	case !c.Component && len(bars) > 1:
		p, q = (float64(ay*bb)-float64(by*ab))/det, (float64(by*aa)-float64(ay*ab))/det
	default:
		return dark, errors.New("too few bars give light for gain and phase: is the blue gun alone on, and is color up?")
	}
	sum := 0.0
	for i, b := range bars {
		d := v[i] - b.y - float64(p*b.by) + float64(q*ratio*b.ry)
		sum += float64(d * d)
	}
	res.Gain, res.Phase = math.Hypot(p, q), math.Atan2(q, p)*180/math.Pi
	res.GainKnown, res.PhaseKnown = true, !c.Component
	if c.Component {
		res.Gain, res.Phase = p, 0
	}
	res.Off = 100 * math.Sqrt(sum/float64(len(bars)))
	return dark, nil
}

// spread moves each reading by its noise and adds up what that does.
func (c Chain) spread(lights []float64, res *Result) {
	var gain, phase float64
	for i := range lights {
		moved := append([]float64(nil), lights...)
		moved[i] *= 1 + c.Noise
		var r Result
		if _, err := c.solveBlue(moved, &r); err == nil {
			gain += (r.Gain - res.Gain) * (r.Gain - res.Gain)
			phase += (r.Phase - res.Phase) * (r.Phase - res.Phase)
		}
	}
	res.GainSigma, res.PhaseSigma = math.Sqrt(gain), math.Sqrt(phase)
}
