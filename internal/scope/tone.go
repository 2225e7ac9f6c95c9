package scope

import "math/bits"

// A mask says how dark each pixel of a box is, 0 paper to 255 ink, row by row.
type mask struct {
	w, h  int
	alpha []uint8
}

func newMask(w, h int) *mask { return &mask{w, h, make([]uint8, w*h)} }

func (m *mask) set(x, y int, v uint8) { m.alpha[y*m.w+x] = v }

// A tone turns times of dwell into darkness: the longest is full ink, and a
// time octaves octaves shorter, or less, is faintest; even in between.
type tone struct{ most int }

const (
	octaves  = 11
	faintest = 84 // of 255: to be seen in print
)

func newTone(most int64) tone { return tone{log2(most)} }

// of returns the darkness of a pixel of which the part cover of 255 is covered.
func (t tone) of(time int64, cover uint8) uint8 {
	below := min(t.most-log2(time), octaves*256)
	level := 255 - (255-faintest)*below/(octaves*256)
	return uint8((level*int(cover) + 127) / 255)
}

// log2 is the logarithm to base 2 in 1/256, straight between powers of 2; 0
// for what is below 1.
func log2(v int64) int {
	if v < 1 {
		return 0
	}
	n := bits.Len64(uint64(v)) - 1
	return n<<8 + int(uint64(v)<<(63-n)>>55&255)
}
