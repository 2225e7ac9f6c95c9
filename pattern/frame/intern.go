package frame

import (
	"math"
	"math/bits"
	"slices"
)

// An Interner collects the distinct rows of a plane. The zero value is ready.
type Interner struct {
	rows  [][]float64
	index map[uint64][]int32
}

// Add returns the index of a row equal to v, keeping v if there is none yet.
func (n *Interner) Add(v []float64) int32 {
	h := hash(v)
	for _, i := range n.index[h] {
		if slices.Equal(n.rows[i], v) {
			return i
		}
	}
	if n.index == nil {
		n.index = make(map[uint64][]int32)
	}
	i := int32(len(n.rows))
	n.rows = append(n.rows, v)
	n.index[h] = append(n.index[h], i)
	return i
}

// Rows returns the distinct rows in order of their index.
func (n *Interner) Rows() [][]float64 { return n.rows }

// hash mixes the words of v in four chains, which a processor works on side by
// side: each is FNV-1a over whole words, with a shift so that the exponent bits
// of floats reach the low half. Equality is decided by comparison.
func hash(v []float64) uint64 {
	const prime = 1099511628211
	a, b, c, d := uint64(14695981039346656037), uint64(1), uint64(2), uint64(3)
	for ; len(v) >= 4; v = v[4:] {
		a = (a ^ word(v[0])) * prime
		b = (b ^ word(v[1])) * prime
		c = (c ^ word(v[2])) * prime
		d = (d ^ word(v[3])) * prime
		a, b, c, d = a^a>>29, b^b>>29, c^c>>29, d^d>>29
	}
	for _, x := range v {
		a = (a ^ word(x)) * prime
		a ^= a >> 29
	}
	// Turned by different amounts, so that the same change at the end of two
	// chains is not the same change of the whole.
	for _, x := range [...]uint64{bits.RotateLeft64(b, 13), bits.RotateLeft64(c, 27), bits.RotateLeft64(d, 43)} {
		a = (a ^ x) * prime
		a ^= a >> 29
	}
	return a
}

// word is the bits of x; -0 is equal to 0.
func word(x float64) uint64 { return math.Float64bits(x + 0) }
