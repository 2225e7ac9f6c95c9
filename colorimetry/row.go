package colorimetry

// A lane rounds the values of one component, as [Coding.Codes] does: clamped to
// the codes in use first, what is left is positive, and cutting off its
// fraction is the floor.
type lane struct{ zero, span, least, greatest float64 }

func (k *Coding) lane(i int) lane {
	return lane{k.zero[i], k.span[i], float64(k.min[i]), float64(k.max[i])}
}

func (n *lane) code(v float64) uint16 {
	v = n.zero + float64(v*n.span) + (0.5 + tie)
	switch {
	case v >= n.greatest:
		v = n.greatest
	case !(v > n.least): // not a number, too
		v = n.least
	}
	return uint16(int32(v)) // the conversion that processors have
}

// Row rounds a row of one component of a Y'CbCr coding. dst and v have equal
// length. It panics on an RGB coding, which needs all three; see [Coding.RowRGB].
func (k *Coding) Row(dst []uint16, c Component, v []float64) {
	if k.Model == RGB {
		panic("colorimetry: Row of an RGB coding")
	}
	n := k.lane(int(c))
	for i, x := range v[:len(dst)] {
		dst[i] = n.code(x)
	}
}

// RowRGB rounds a row of an RGB coding from the three components of a signal.
// All slices have equal length. It panics on a Y'CbCr coding.
func (k *Coding) RowRGB(r, g, b []uint16, y, cb, cr []float64) {
	if k.Model != RGB {
		panic("colorimetry: RowRGB of a Y'CbCr coding")
	}
	nr, ng, nb := k.lane(0), k.lane(1), k.lane(2)
	r, g, b, cb, cr = r[:len(y)], g[:len(y)], b[:len(y)], cb[:len(y)], cr[:len(y)]
	for i := range y {
		x, v, z := Signal{y[i], cb[i], cr[i]}.RGB()
		r[i], g[i], b[i] = nr.code(x), ng.code(v), nb.code(z)
	}
}
