package composite

import "math"

// A lock is what a decoder finds in the bursts of a frame.
type lock struct {
	sin, cos  float64      // of the phase of +U at a sample whose index in the sequence is a multiple of 4
	amplitude float64      // mV, peak; 0: no burst
	minus     map[int]bool // lines whose V is negative; 625 only
}

// killed is the burst, of nominal, below which a set shows no color (common
// practice).
const killed = 0.05

// lockBurst measures the bursts of frame n of the wave (0 is its first) over
// their flat part. It looks for them where the standard puts them, and takes
// phase and amplitude from the samples.
func (g *grid) lockBurst(w *Wave, n int) lock {
	channel := len(w.Samples) - 1
	type vector struct{ s, c float64 } // along the sine and cosine of the sample index
	found := make(map[int]vector)
	var sum vector
	first := int64(w.Frame+n) * int64(w.Scan.Lines)
	for line := 1; line <= w.Scan.Lines; line++ {
		x, after := w.Line(channel, n, line)
		from := int(math.Ceil((g.shape.burstFrom+g.shape.burstEdge/2)*g.perMicrosecond() - after))
		to := int(math.Floor((g.shape.burstFrom+g.shape.burstLength-g.shape.burstEdge/2)*g.perMicrosecond() - after))
		count := (to - from) / 4 * 4 // whole cycles
		if count <= 0 || from < 0 || from+count > len(x) {
			continue
		}
		var v vector
		phase := int((w.First(first+int64(line)-1) + int64(from)) & 3)
		for i, s := range x[from : from+count] {
			switch (phase + i) & 3 {
			case 0:
				v.c += float64(s)
			case 1:
				v.s += float64(s)
			case 2:
				v.c -= float64(s)
			default:
				v.s -= float64(s)
			}
		}
		v.s, v.c = v.s*2/float64(count), v.c*2/float64(count)
		if math.Hypot(v.s, v.c) < killed*float64(w.Wire.Family.Burst)/2 {
			continue
		}
		found[line] = v
		sum.s, sum.c = sum.s+v.s, sum.c+v.c
	}
	k := lock{cos: 1}
	length := math.Hypot(sum.s, sum.c)
	if len(found) == 0 || length == 0 {
		return k
	}
	k.amplitude = length / float64(len(found))
	if w.Wire.alternates() {
		// The two bursts of 625 lines lie to either side of -U. A frame may have
		// one more of one kind, so each kind is averaged by itself.
		k.minus = make(map[int]bool)
		var kinds [2]vector
		var count [2]float64
		for line := 1; line <= w.Scan.Lines; line++ { // in order, so that the sums are always the same
			v, ok := found[line]
			if !ok {
				continue
			}
			minus := v.s*sum.c-v.c*sum.s < 0 // its part along +V, a quarter of a cycle before +U
			k.minus[line] = minus
			i := 0
			if minus {
				i = 1
			}
			kinds[i].s, kinds[i].c, count[i] = kinds[i].s+v.s, kinds[i].c+v.c, count[i]+1
		}
		if count[0] > 0 && count[1] > 0 {
			sum = vector{kinds[0].s/count[0] + kinds[1].s/count[1], kinds[0].c/count[0] + kinds[1].c/count[1]}
			length = math.Hypot(sum.s, sum.c)
			k.amplitude = length / math.Sqrt2
		}
	}
	// The burst, or the mean of the two, lies along -U: where it is sine a and
	// cosine b, +U is sine -a and cosine -b, and sin(x+p) has sine cos p and
	// cosine sin p.
	k.cos, k.sin = -sum.s/length, -sum.c/length
	return k
}

// negative reports whether V is negative on a line, found from the burst of
// the nearest line that has one.
func (k lock) negative(line, lines int) bool {
	if k.minus == nil {
		return false
	}
	for d := 0; d < lines; d++ {
		for _, l := range []int{line - d, line + d} {
			if m, ok := k.minus[l]; ok {
				return m != (d%2 != 0)
			}
		}
	}
	return false
}
