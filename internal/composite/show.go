package composite

// A level is a row of samples and what they stand for: mV at 0, and for each
// unit above it. No row is 0 mV.
type level struct {
	row         []float64
	zero, scale float32
}

func (v level) at(i int) float32 {
	if v.row == nil {
		return 0
	}
	return v.zero + float32(v.scale*float32(v.row[i]))
}

// show adds a level and color c (nil: none; minus: with the other sign), whose
// rows begin at x, to a line.
func show(dst []float32, y level, c []float32, minus bool, g *gate, x int) {
	value := func(i int) float32 {
		v := y.at(i - x)
		switch {
		case c != nil && minus:
			v -= c[i-x]
		case c != nil:
			v += c[i-x]
		}
		return v
	}
	for j, up := range g.rise.v {
		dst[g.rise.from+j] += float32(up * value(g.rise.from+j))
	}
	for j, down := range g.fall.v {
		dst[g.fall.from+j] += float32(down * value(g.fall.from+j))
	}
	// Between them there is nothing else.
	from, to := g.rise.from+len(g.rise.v), g.fall.from
	out := dst[from:to]
	if c != nil {
		c = c[from-x:][:len(out)]
	}
	switch {
	case y.row == nil && c == nil:
	case y.row == nil && minus:
		for i, v := range c {
			out[i] = -v
		}
	case y.row == nil:
		copy(out, c)
	case c == nil:
		for i, v := range y.row[from-x:][:len(out)] {
			out[i] = y.zero + float32(y.scale*float32(v))
		}
	case minus:
		for i, v := range y.row[from-x:][:len(out)] {
			out[i] = y.zero + float32(y.scale*float32(v)) - c[i]
		}
	default:
		for i, v := range y.row[from-x:][:len(out)] {
			out[i] = y.zero + float32(y.scale*float32(v)) + c[i]
		}
	}
}
