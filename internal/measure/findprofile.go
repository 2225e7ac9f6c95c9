package measure

import (
	"math"
	"slices"
)

// A guess is where a line of samples of the capture lies along one of the
// definition: O + D*i.
type guess struct{ O, D, score float64 }

// profiles returns how much changes from sample to sample, over all rows, and
// from row to row: the sum of squared differences, of which the fourth root is
// taken so that the strongest edge does not speak for all. Between i and i+1 it
// stands at i. fx samples and fy rows make one of the profile.
func (g *grid) profiles(planes []int, fx, fy int) (x, y []float64) {
	x, y = make([]float64, g.w), make([]float64, g.h)
	for _, c := range planes {
		for j, row := range g.rows[c] {
			last := row[0]
			for i, v := range row[1:] {
				x[i] += float64((v - last) * (v - last))
				last = v
			}
			if j == 0 || &row[0] == &g.rows[c][j-1][0] {
				continue
			}
			var sum float64
			for i, v := range g.rows[c][j-1] {
				sum += float64((row[i] - v) * (row[i] - v))
			}
			y[j-1] += sum
		}
	}
	return shaped(binned(x, fx)), shaped(binned(y, fy))
}

// binned returns the sums of n at a time.
func binned(p []float64, n int) []float64 {
	out := make([]float64, len(p)/n)
	for i := range out {
		for _, v := range p[i*n : (i+1)*n] {
			out[i] += v
		}
	}
	return out
}

func abs32(v float32) float32 {
	if v < 0 {
		return -v
	}
	return v
}

// shaped takes off what noise alone gives, takes the root, and smooths.
func shaped(p []float64) []float64 {
	if len(p) < 3 {
		return p
	}
	sorted := slices.Clone(p)
	slices.Sort(sorted)
	// Where most of the line is quiet its level there is that of noise.
	floor := 1.15 * sorted[len(sorted)/5]
	top := sorted[len(sorted)-1]
	out := make([]float64, len(p))
	for i, v := range p {
		if v -= floor; v > 0.002*(top-floor) && v > 1e-6 {
			out[i] = math.Sqrt(math.Sqrt(v))
		}
	}
	for i, v := 0, append([]float64(nil), out...); i < len(v); i++ {
		out[i] = v[i]/2 + v[max(i-1, 0)]/4 + v[min(i+1, len(v)-1)]/4
	}
	return out
}

// search returns the places of a profile along that of the definition that
// agree best, best first. base is the scale of the whole on the whole.
func search(c, d []float64, base float64, most int) []guess {
	var all float64
	for _, v := range c {
		all += v * v
	}
	if all == 0 || len(c) < 8 || len(d) < 8 {
		return nil
	}
	const least, greatest, step = 0.72, 1.42, 1.007
	var list []guess
	for s := least; s < greatest; s *= step {
		list = append(list, along(c, d, s*base, all)...)
	}
	list = distinct(list, most, float64(len(c)))
	for i := range list {
		list[i] = sharpen(c, d, list[i], all)
	}
	return distinct(list, most, float64(len(c)))
}

// along returns the best few places at one scale.
func along(c, d []float64, scale, all float64) []guess {
	n := int(float64(len(d)-1)/scale) + 1
	warped, squares := make([]float64, n), make([]float64, n+1)
	for i := range warped {
		warped[i] = between(d, float64(i)*scale)
		squares[i+1] = squares[i] + warped[i]*warped[i]
	}
	least := 0.68 * float64(min(n, len(c)))
	var scores []float64
	first := int(least) - n
	for at := first; at <= len(c)-int(least); at++ { // sample 0 of the definition lies at c[at]
		a, b := max(0, at), min(len(c), at+n)
		if float64(b-a) < least {
			scores = append(scores, 0)
			continue
		}
		var sum float64
		w := warped[a-at : b-at]
		for i, v := range c[a:b] {
			sum += v * w[i]
		}
		scores = append(scores, sum/math.Sqrt(all*max(squares[b-at]-squares[a-at], 1e-12)))
	}
	var best []guess
	for i, s := range scores {
		if s > 0.3 && s >= scores[max(i-1, 0)] && s >= scores[min(i+1, len(scores)-1)] {
			best = append(best, guess{-float64(first+i) * scale, scale, s})
		}
	}
	slices.SortFunc(best, func(a, b guess) int { return compare(b.score, a.score) })
	return best[:min(len(best), 4)]
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// between returns a value on the straight line between samples, 0 outside.
func between(d []float64, u float64) float64 {
	k := int(math.Floor(u))
	if k < 0 || k >= len(d)-1 {
		if k == len(d)-1 && u == float64(k) {
			return d[k]
		}
		return 0
	}
	t := u - float64(k)
	return d[k] + t*(d[k+1]-d[k])
}

// distinct keeps the best that differ by more than two samples at an end.
func distinct(list []guess, most int, n float64) []guess {
	slices.SortStableFunc(list, func(a, b guess) int { return compare(b.score, a.score) })
	var out []guess
	for _, g := range list {
		same := slices.ContainsFunc(out, func(o guess) bool {
			return math.Abs(o.O-g.O) < 2*o.D && math.Abs(o.O-g.O+n*(o.D-g.D)) < 2*o.D
		})
		if !same {
			out = append(out, g)
		}
		if len(out) == most {
			break
		}
	}
	return out
}

// sharpen climbs to the best place nearby by moving the ends of the line.
func sharpen(c, d []float64, g guess, all float64) guess {
	n := float64(len(c) - 1)
	rate := func(a, b float64) float64 { // places of the first and the last sample
		var sum, squares float64
		step := (b - a) / n
		for i, v := range c {
			w := between(d, a+float64(float64(i)*step))
			sum += v * w
			squares += w * w
		}
		return sum / math.Sqrt(all*max(squares, 1e-12))
	}
	a, b := g.O, g.O+n*g.D
	best := rate(a, b)
	for _, h := range []float64{1, 0.5, 0.25} {
		for moved := true; moved; {
			moved = false
			for _, t := range [][2]float64{{h, h}, {-h, -h}, {h, -h}, {-h, h}, {h, 0}, {-h, 0}, {0, h}, {0, -h}} {
				if s := rate(a+t[0], b+t[1]); s > best+1e-9 {
					best, a, b, moved = s, a+t[0], b+t[1], true
				}
			}
		}
	}
	return guess{a, (b - a) / n, best}
}
