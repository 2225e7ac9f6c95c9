package measure

import "math"

// Ends of what a picture of BT.601 must hold, as shares of the sampling rate of
// the component: its filter is flat up to 5.75 MHz at 13.5 MHz (ITU-R BT.601-5
// figure 1: memory), and that of chroma up to 2.75 at 6.75. Below these a
// source is said to lack bandwidth; between, edges alone tell too little.
const (
	lumaShare   = 5.4 / 13.5
	chromaShare = 2.4 / 6.75
)

// Least that is spoken of: common practice.
const (
	leastRise  = 0.05 // of the response
	leastDelay = 20.0 // ns, a seventh of a chroma sample
)

// Sizes that such faults usually have, as standard deviations: common practice.
const (
	usualRise  = 0.25
	usualDelay = 100.0 // ns
)

// believed returns the probability that a deviation that was measured with a
// standard deviation is there at all: a fault of usual size against none, with
// the odds of faultCost.
func believed(d, sigma, usual float64) float64 {
	wide := math.Hypot(sigma, usual)
	a, b := d/sigma, d/wide
	cost := faultCost + 2*math.Log(wide/sigma) - float64(a*a) + float64(b*b)
	return 1 / (1 + math.Exp(cost/2))
}

// evens is what is left of the confidence of a finding that another explains as
// well.
const evens = 0.5

// Uncertainty besides noise: players and encoders change detail from place to
// place.
const (
	gainFloor  = 0.012
	delayFloor = 3.0 // ns
)

// smooth returns the responses up to a frequency with gains averaged over
// neighbors, each by its certainty, the floor of uncertainty included.
func smooth(list []Response, upTo float64) []Response {
	var out []Response
	for i, r := range list {
		if r.MHz > upTo {
			break
		}
		var sum, weight float64
		for k := max(0, i-1); k <= min(len(list)-1, i+1); k++ {
			n := list[k]
			if math.Abs(n.MHz-r.MHz) > 0.3 {
				continue
			}
			s := math.Hypot(n.Sigma, gainFloor)
			w := 1 / float64(s*s)
			if k != i {
				w /= 2
			}
			sum, weight = sum+float64(w*n.Gain), weight+w
		}
		r.Gain, r.Sigma = sum/weight, math.Sqrt(1/weight)
		out = append(out, r)
	}
	return out
}

// narrow looks for the frequency at which the response has fallen by 3 dB: it is
// there if somewhere below an end the response is surely lower, and was surely
// higher before.
func narrow(f Fault, list []Response, upTo float64) (Finding, bool) {
	half := math.Sqrt(0.5)
	list = smooth(list, math.Inf(1))
	at, sigma, ok := crossing(list, half)
	if !ok || at > upTo {
		return Finding{}, false
	}
	var low, high float64
	for _, r := range list {
		if r.MHz <= upTo {
			low = max(low, normal((half-r.Gain)/r.Sigma))
		}
		if r.MHz < at {
			high = max(high, normal((r.Gain-half)/r.Sigma))
		}
	}
	return Finding{Fault: f, Confidence: low * high, Value: at, Sigma: math.Hypot(sigma, 0.02)}, true
}

// crossing returns where the response falls through a gain and stays below it at
// the next frequency, too.
func crossing(list []Response, gain float64) (mhz, sigma float64, ok bool) {
	for i := 1; i < len(list); i++ {
		a, b := list[i-1], list[i]
		if a.Gain < gain || b.Gain >= gain || i+1 < len(list) && list[i+1].Gain >= gain {
			continue
		}
		k := (a.Gain - gain) / (a.Gain - b.Gain)
		slope := (a.Gain - b.Gain) / (b.MHz - a.MHz)
		return a.MHz + float64(k*(b.MHz-a.MHz)), math.Hypot(a.Sigma, b.Sigma) / math.Sqrt2 / slope, true
	}
	return 0, 0, false
}

// rise looks for a response above that of low frequencies, and says where it is
// greatest.
func rise(list []Response, upTo float64) (f Finding, mhz float64, ok bool) {
	var best Response
	var most float64
	list = smooth(list, upTo)
	for _, r := range list {
		if p := (r.Gain - 1 - leastRise) / r.Sigma; r.MHz > 1 && (best.MHz == 0 || p > most) {
			best, most = r, p
		}
	}
	if best.MHz == 0 {
		return Finding{}, 0, false
	}
	for _, r := range list { // the greatest of those that are known nearly as well
		if r.Gain > best.Gain && r.Sigma < 2*best.Sigma {
			best = r
		}
	}
	return Finding{Fault: Sharpened, Confidence: normal(most) * believed(best.Gain-1, best.Sigma, usualRise), Value: 100 * (best.Gain - 1), Sigma: 100 * best.Sigma}, best.MHz, true
}

// delay returns the mean delay up to a frequency. Whole cycles do not show in a
// phase; they are counted on from the lowest frequency.
func delay(list []Response, upTo float64) (ns, sigma float64, ok bool) {
	const gone = 0.3 // of the gain: what is left says little of its place
	var sum, weight float64
	for _, r := range list {
		if r.MHz > upTo || r.Gain < gone {
			continue
		}
		d := r.Delay
		if weight > 0 {
			cycle := 1000 / r.MHz
			d += cycle * math.Round((sum/weight-d)/cycle)
		}
		s := r.Sigma / r.Gain / (2 * math.Pi * r.MHz) * 1000
		w := 1 / float64(s*s)
		sum, weight = sum+float64(w*d), weight+w
	}
	if weight == 0 {
		return 0, 0, false
	}
	return sum / weight, math.Sqrt(1 / weight), true
}

// late compares the delay of chroma with that of luma. Without detail in luma
// the place of the picture is the measure, known to so many ns; then a picture
// that is shifted would look the same.
func late(luma, chroma []Response, placeSigma float64) (Finding, bool) {
	c, cs, ok := delay(chroma, 1.5)
	if !ok {
		return Finding{}, false
	}
	y, ys, ok := delay(luma, 2)
	if !ok {
		y, ys = 0, placeSigma
	}
	d, s := c-y, math.Hypot(math.Hypot(cs, ys), delayFloor)
	f := Finding{Fault: ChromaLate, Confidence: normal((math.Abs(d)-leastDelay)/s) * believed(d, s, usualDelay), Value: d, Sigma: s}
	if !ok {
		f.Alike = []Fault{Shifted}
		f.Confidence *= evens
	}
	return f, true
}
