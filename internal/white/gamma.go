package white

import "math"

// assumedGamma is that of a picture tube where nothing better is known: 2.4
// nominal (EBU Tech 3320 v3 clause 5.4; ITU-R BT.1886 annex 1).
const assumedGamma = 2.4

// lines fits the three guns and returns the RMS of the relative deviation of
// their light.
func lines(steps []Reading, light [][3]float64, gamma float64) (guns [3]line, misfit float64) {
	roots := make([]float64, len(steps))
	for g := range guns {
		for i := range steps {
			roots[i] = math.Pow(max(light[i][g], 0), 1/gamma)
		}
		guns[g] = fit(steps, roots)
		for i, r := range steps {
			rel := gamma * (guns[g].at(r.Level)/roots[i] - 1)
			misfit += float64(rel * rel)
		}
	}
	return guns, math.Sqrt(misfit / float64(3*len(steps)))
}

// fitGamma returns the one gamma by which all three guns are straightest. False:
// two steps only, or the readings fit no gamma that a tube can have.
func fitGamma(steps []Reading, light [][3]float64) (float64, bool) {
	levels := make(map[float64]bool)
	for _, r := range steps {
		levels[r.Level] = true
	}
	if len(levels) < 3 {
		return 0, false
	}
	const least, most = 1.6, 3.6
	misfit := func(gamma float64) float64 { _, m := lines(steps, light, gamma); return m }
	best := least
	for g := least; g <= most; g += .05 {
		if misfit(g) < misfit(best) {
			best = g
		}
	}
	lo, hi := best-.05, best+.05
	for range 60 { // thirds of a tenth, 60 times: below what a float holds
		a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
		if misfit(a) < misfit(b) {
			hi = b
		} else {
			lo = a
		}
	}
	g := (lo + hi) / 2
	return g, g > least+.01 && g < most-.01
}
