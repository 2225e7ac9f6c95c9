package meter

import (
	"math"

	"backporch/colorimetry"
)

// Gamma is read from 10 to 90 % of the signal (EBU Tech 3320 v3 clause 5.4);
// half an 8-bit code beside the ends is within.
const gammaFrom, gammaTo = 0.1 - atLevel, 0.9 + atLevel

func inGamma(level float64) bool { return level > gammaFrom && level < gammaTo }

// gammas fits the curves.
func (s *Steps) gammas() {
	var level, light, net []float64
	var guns [3][]float64
	for _, x := range s.Steps {
		if !inGamma(x.Level) {
			continue
		}
		level = append(level, x.Level)
		light = append(light, x.XYZ.Y)
		net = append(net, x.XYZ.Y-s.Black)
		for i := range guns {
			guns[i] = append(guns[i], x.Guns[i])
		}
	}
	s.Gamma = fitGamma(level, light)
	if s.BlackKnown {
		s.LessBlack = fitGamma(level, net)
	}
	for i := range guns {
		s.GunGamma[i] = fitGamma(level, guns[i])
	}
	if s.BlackKnown && math.Abs(s.White.Level-1) < atLevel {
		s.BT1886 = fitBT1886(s.White.XYZ.Y, s.Black, level, light)
	}
}

// fitGamma is the line of least squares through log light over log level. Steps
// without light have no logarithm and are left out.
func fitGamma(level, light []float64) (g Gamma) {
	var x, y []float64
	for i := range level {
		if light[i] > 0 {
			x, y = append(x, math.Log(level[i])), append(y, math.Log(light[i]))
		}
	}
	g.N = len(x)
	if g.N < 2 {
		return g
	}
	n := float64(g.N)
	var mx, my, xx, xy float64
	for i := range x {
		mx += x[i] / n
		my += y[i] / n
	}
	for i := range x {
		xx += float64((x[i] - mx) * (x[i] - mx))
		xy += float64((x[i] - mx) * (y[i] - my))
	}
	if xx == 0 {
		return g
	}
	g.Value, g.OK = xy/xx, true
	if g.N > 2 {
		rest := 0.0
		for i := range x {
			d := y[i] - my - float64(g.Value*(x[i]-mx))
			rest += float64(d * d)
		}
		g.Sigma = math.Sqrt(rest / (n - 2) / xx)
		g.RMS = math.Sqrt(rest / n)
	}
	return g
}

// Gammas that a tube may have at all; a fit that ends at one of them is none.
const leastGamma, mostGamma = 1.0, 5.0

// fitBT1886 finds the gamma of the tube with this white and black that lies
// nearest to the steps. Two steps with light at least.
func fitBT1886(white, black float64, level, light []float64) (f BT1886) {
	f.White, f.Black = white, black
	for _, l := range light {
		if l > 0 {
			f.N++
		}
	}
	rms := func(gamma float64) float64 {
		tube, err := colorimetry.NewTube(white, black, gamma)
		if err != nil {
			return math.Inf(1)
		}
		sum := 0.0
		for i, v := range level {
			if light[i] > 0 {
				d := light[i]/tube.Light(v) - 1
				sum += float64(d * d)
			}
		}
		return math.Sqrt(sum / float64(f.N))
	}
	if f.N < 2 || math.IsInf(rms(2.4), 1) {
		return f
	}
	// A coarse search, then the golden section of what it found.
	const step = 0.05
	best, least := leastGamma, math.Inf(1)
	for g := leastGamma; g <= mostGamma; g += step {
		if r := rms(g); r < least {
			best, least = g, r
		}
	}
	a, b := best-step, best+step
	shrink := (math.Sqrt(5) - 1) / 2
	for range 60 {
		x, y := b-shrink*(b-a), a+shrink*(b-a)
		if rms(x) < rms(y) {
			b = y
		} else {
			a = x
		}
	}
	f.Gamma = (a + b) / 2
	f.RMS = rms(f.Gamma)
	f.OK = f.Gamma > leastGamma && f.Gamma < mostGamma && !math.IsNaN(f.RMS) && !math.IsInf(f.RMS, 0)
	if !f.OK {
		f.Gamma, f.RMS = 0, 0
		return f
	}
	f.Sigma = f.standardError(level, light)
	return f
}

// standardError is that of the fit: what is left, over how much the light of the
// steps depends on gamma.
func (f BT1886) standardError(level, light []float64) float64 {
	const d = 1e-4
	low, errLow := colorimetry.NewTube(f.White, f.Black, f.Gamma-d)
	high, errHigh := colorimetry.NewTube(f.White, f.Black, f.Gamma+d)
	if errLow != nil || errHigh != nil {
		return 0
	}
	sum := 0.0
	for i, v := range level {
		if light[i] > 0 {
			slope := math.Log(high.Light(v)/low.Light(v)) / (2 * d)
			sum += float64(slope * slope)
		}
	}
	n := float64(f.N)
	return f.RMS * math.Sqrt(n/(n-1)/sum)
}
