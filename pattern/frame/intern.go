package frame

import (
	"math"
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

// hash is FNV-1a over whole words, with a shift so that the exponent bits of
// floats reach the low half. Equality is decided by comparison.
func hash(v []float64) uint64 {
	h := uint64(14695981039346656037)
	for _, x := range v {
		h ^= math.Float64bits(x + 0) // -0 is equal to 0
		h *= 1099511628211
		h ^= h >> 29
	}
	return h
}
