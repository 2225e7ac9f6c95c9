package white

import "math"

// Noise of a reading where none is stated: of the mean of eight readings of a
// colorimeter on a tube, 0.3 % each at 80 % of the signal and 1 % each at 20 %,
// straight between them on logarithmic scales (own choice).
func usualNoise(v float64) float64 {
	return .003 / math.Sqrt(8) * math.Pow(max(v, .02)/.8, -math.Log(1/.3)/math.Log(4))
}

const (
	least    = .003 // light of a gun that still counts, of the mean of the three
	readings = 2e-4 // what no meter is better than, relative
)

// sights returns what the steps of a round say of d and c, each made free of the
// others' errors and scaled to an error of 1.
func (k *learner) sights(steps []Reading) (out []sight) {
	// With two steps the law of the tube fits by itself; with more it has errors.
	misfit := 0.
	if len(steps) > 2 {
		misfit = .002
	}
	for _, r := range steps {
		light, xyz, rough := k.t.seen(r)
		var root, per [3]float64
		for g, l := range light {
			root[g] = math.Pow(l, 1/k.gamma) / k.unit
			per[g] = root[g] / (k.gamma * l)
		}
		var cov [3][3]float64
		for a := range 3 {
			for b := range 3 {
				for i := range 3 {
					cov[a][b] += float64(k.t.back[a][i] * k.t.back[b][i] * xyz[i] * xyz[i])
				}
				cov[a][b] *= per[a] * per[b]
			}
			cov[a][a] += math.Pow(misfit*root[a], 2)
			if rough[a] {
				cov[a][a] += .01 // nothing is known but that it is dark
			}
		}
		out = append(out, whiten(cov, root, r.Level)...)
	}
	return out
}

// seen returns the light of the guns of a reading and the standard deviations
// of its X, Y and Z. Light that is none, or no more than noise, is rough: it is
// lifted so far that it has a root.
func (t *tube) seen(r Reading) (light, xyz [3]float64, rough [3]bool) {
	noise := math.Hypot(r.Noise, readings)
	if r.Noise == 0 {
		noise = usualNoise(r.Level)
	}
	xyz = [3]float64{r.XYZ.X * noise, r.XYZ.Y * noise, r.XYZ.Z * noise}
	light = t.lights(r.XYZ)
	mean := max((light[0]+light[1]+light[2])/3, 1e-9)
	for g := range light {
		doubt := 0.
		for i, s := range xyz {
			doubt += float64(t.back[g][i] * t.back[g][i] * s * s)
		}
		if floor := max(least*mean, 3*math.Sqrt(doubt)); light[g] < floor {
			light[g], rough[g] = min(floor, mean), true
		}
	}
	return light, xyz, rough
}

// whiten solves the lower triangle of Cholesky for the three roots.
func whiten(cov [3][3]float64, root [3]float64, v float64) (out []sight) {
	var low [3][3]float64
	for i := range 3 {
		for j := range i + 1 {
			sum := cov[i][j]
			for m := range j {
				sum -= float64(low[i][m] * low[j][m])
			}
			if i == j {
				low[i][i] = math.Sqrt(max(sum, 1e-16))
			} else {
				low[i][j] = sum / low[j][j]
			}
		}
	}
	for i := range 3 {
		s := sight{value: root[i]}
		s.part[i], s.part[3+i] = v, 1
		for m := range i {
			s.value -= float64(low[i][m] * out[m].value)
			for a := range s.part {
				s.part[a] -= float64(low[i][m] * out[m].part[a])
			}
		}
		s.value /= low[i][i]
		for a := range s.part {
			s.part[a] /= low[i][i]
		}
		out = append(out, s)
	}
	return out
}
