package composite

import "backporch/timing"

// spread returns all taps of a kernel, left to right.
func spread(k kernel) []float64 {
	r := k.reach()
	out := make([]float64, 2*r+1)
	for i, v := range k {
		out[r-i], out[r+i] = float64(v), float64(v)
	}
	return out
}

// convolve returns the filter that two one after the other make.
func convolve(a, b []float64) []float64 {
	out := make([]float64, len(a)+len(b)-1)
	for i, x := range a {
		for j, y := range b {
			out[i+j] += float64(x * y)
		}
	}
	return out
}

// fold returns the middle tap of a symmetrical filter and those to its right.
func fold(taps []float64) []float64 { return taps[len(taps)/2:] }

// filterInner filters src with a folded filter where it has all it needs: the
// result is shorter by twice the reach.
func filterInner(src, k []float64) []float64 {
	r := len(k) - 1
	out := make([]float64, len(src)-2*r)
	for i := range out {
		w := src[i : i+2*r+1]
		v := float64(k[0] * w[r])
		for j := 1; j <= r; j++ {
			v += float64(k[j] * (w[r-j] + w[r+j]))
		}
		out[i] = v
	}
	return out
}

// convolveRow filters a row with a folded filter, its ends continued; nil
// changes nothing.
func convolveRow(row, k []float64) []float64 {
	if k == nil {
		return row
	}
	r := len(k) - 1
	x := make([]float64, len(row)+2*r)
	copy(x[r:], row)
	for i := range r {
		x[i], x[r+len(row)+i] = row[0], row[len(row)-1]
	}
	return filterInner(x, k)
}

// delayLine replaces the color of each line by its mean with the line before
// it in its field; the first line of a field keeps its own.
func delayLine(rows [][3][]float64, lines []timing.Line) {
	at := make(map[int]int, len(lines))
	for j, l := range lines {
		at[l.Number] = j
	}
	out := make([][3][]float64, len(rows))
	for j, l := range lines {
		out[j] = rows[j]
		i, ok := at[l.Number-1]
		if !ok || lines[i].Field != l.Field {
			continue
		}
		for c := 1; c < 3; c++ {
			mean := make([]float64, len(rows[j][c]))
			for k := range mean {
				mean[k] = (rows[j][c][k] + rows[i][c][k]) / 2
			}
			out[j][c] = mean
		}
	}
	copy(rows, out)
}
