package composite

// An arena hands out rows that live as long as one picture. Their content is
// whatever it was.
type arena struct {
	blocks [][]float32
	block  int // in use
	free   []float32
}

// arenaBlock is 256 kB, some seventy rows.
const arenaBlock = 1 << 16

// row returns n floats.
func (a *arena) row(n int) []float32 {
	if len(a.free) < n {
		if a.block == len(a.blocks) {
			a.blocks = append(a.blocks, make([]float32, max(arenaBlock, n)))
		}
		a.free = a.blocks[a.block]
		a.block++
		if len(a.free) < n { // a block that was made for shorter rows
			a.free = make([]float32, n)
			a.blocks[a.block-1] = a.free
		}
	}
	r := a.free[:n:n]
	a.free = a.free[n:]
	return r
}

// reset takes all rows back.
func (a *arena) reset() { a.block, a.free = 0, nil }
