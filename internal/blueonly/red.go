package blueonly

import (
	"errors"
	"fmt"
	"math"
)

// A RedReading is the light of the four bars that have red, with the red gun
// alone.
type RedReading struct {
	Gray, Yellow, Magenta, Red float64
	Black                      float64 // taken off the others; 0 for none
}

// SolveRed computes the gain of Pr of a component signal: R' = Y' + g (R'-Y').
// The Result's Gain is that of Pr; there is no phase.
func (c Chain) SolveRed(r RedReading) (*Result, error) {
	c, err := c.complete()
	if err != nil {
		return nil, err
	}
	if !c.Component {
		return nil, errors.New("the red gun alone tells the gain of Pr on a component input; on composite and Y/C read the blue gun")
	}
	lights := []float64{r.Gray, r.Yellow, r.Magenta, r.Red}
	if err := checkLight(r.Black, lights, []string{"gray", "yellow", "magenta", "red"}); err != nil {
		return nil, err
	}
	for i := range lights {
		lights[i] -= r.Black
	}
	res := &Result{GainKnown: true}
	dark, err := c.solveRed(lights, res)
	if err != nil {
		return nil, err
	}
	variance := 0.0
	for i := range lights {
		moved := append([]float64(nil), lights...)
		moved[i] *= 1 + c.Noise
		var m Result
		if _, err := c.solveRed(moved, &m); err == nil {
			variance += (m.Gain - res.Gain) * (m.Gain - res.Gain)
		}
	}
	res.GainSigma = math.Sqrt(variance)
	for _, d := range dark {
		res.Words = append(res.Words, fmt.Sprintf("The %s bar gives no light: it is below black, so it was left out.", d))
	}
	switch off := 100 * (res.Gain - 1); {
	case math.Abs(off) < math.Max(200*res.GainSigma, 0.05):
		res.Words = append(res.Words, fmt.Sprintf("Gain of Pr is right within what the readings tell (%.3f, ±%.3f).", res.Gain, 2*res.GainSigma))
	case off > 0:
		res.Words = append(res.Words, fmt.Sprintf("Gain of Pr is %.1f %% too high: turn the gain of Pr down until red is no brighter than gray.", off))
	default:
		res.Words = append(res.Words, fmt.Sprintf("Gain of Pr is %.1f %% too low: turn the gain of Pr up until red is no darker than gray.", -off))
	}
	res.hint(c)
	return res, nil
}

func (c Chain) solveRed(lights []float64, res *Result) (dark []string, err error) {
	v, bars, dark := c.signals(lights, []bar{newBar("yellow", 1, 1, 0), newBar("magenta", 1, 0, 1), newBar("red", 1, 0, 0)})
	if len(bars) == 0 {
		return dark, errors.New("no bar but the gray one gives light: is the red gun alone on, and is color up?")
	}
	var xx, xy, sum float64
	for i, b := range bars {
		xx += float64(b.ry * b.ry)
		xy += float64(b.ry * (v[i] - b.y))
	}
	res.Gain = xy / xx
	for i, b := range bars {
		d := v[i] - b.y - float64(res.Gain*b.ry)
		sum += float64(d * d)
	}
	res.Off = 100 * math.Sqrt(sum/float64(len(bars)))
	return dark, nil
}
