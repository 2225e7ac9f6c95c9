package draw

import (
	"image"
	"image/color"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// slowMean is the mean of an area of one channel, in rationals: pixel i of m
// covers the source from i*n/m to (i+1)*n/m.
func slowMean(src *image.RGBA, r image.Rectangle, x, y, channel int) uint8 {
	w, h := int64(src.Rect.Dx()), int64(src.Rect.Dy())
	overlap := func(i, m, n, k int64) *big.Rat {
		lo, hi := big.NewRat(i*n, m), big.NewRat((i+1)*n, m)
		if k := big.NewRat(k, 1); lo.Cmp(k) < 0 {
			lo = k
		}
		if k := big.NewRat(k+1, 1); hi.Cmp(k) > 0 {
			hi = k
		}
		if d := new(big.Rat).Sub(hi, lo); d.Sign() > 0 {
			return d
		}
		return new(big.Rat)
	}
	sum := new(big.Rat)
	for v := range h {
		for u := range w {
			p := new(big.Rat).Mul(overlap(int64(x), int64(r.Dx()), w, u), overlap(int64(y), int64(r.Dy()), h, v))
			sum.Add(sum, p.Mul(p, big.NewRat(int64(src.Pix[src.PixOffset(int(u), int(v))+channel]), 1)))
		}
	}
	area := new(big.Rat).Mul(big.NewRat(w, int64(r.Dx())), big.NewRat(h, int64(r.Dy())))
	sum.Quo(sum, area).Add(sum, big.NewRat(1, 2))
	return uint8(new(big.Int).Quo(sum.Num(), sum.Denom()).Int64())
}

func TestScaleIsMean(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for _, size := range [][4]int{{7, 5, 3, 2}, {3, 2, 7, 5}, {6, 6, 2, 3}, {4, 4, 4, 4}, {9, 1, 4, 3}} {
		src := image.NewRGBA(image.Rect(0, 0, size[0], size[1]))
		for i := range src.Pix {
			src.Pix[i] = uint8(random.Uint32())
			if i%4 == 3 {
				src.Pix[i] = 255
			}
		}
		dst := image.NewRGBA(image.Rect(0, 0, size[2]+2, size[3]+2))
		r := image.Rect(1, 1, size[2]+1, size[3]+1)
		scaleInto(dst, r, src)
		for y := range size[3] {
			for x := range size[2] {
				got := dst.RGBAAt(x+1, y+1)
				want := color.RGBA{slowMean(src, r, x, y, 0), slowMean(src, r, x, y, 1), slowMean(src, r, x, y, 2), 255}
				assert.Equal(t, want, got, "%v at %d, %d", size, x, y)
			}
		}
		assert.Equal(t, color.RGBA{}, dst.RGBAAt(0, 0), "nothing outside the rectangle")
	}
}

// A picture without opaque pixels leaves the ground as it is; half of one shows
// half of it.
func TestScaleOver(t *testing.T) {
	src := image.NewRGBA(image.Rect(0, 0, 2, 1))
	src.SetRGBA(1, 0, color.RGBA{200, 100, 0, 255})
	dst := image.NewRGBA(image.Rect(0, 0, 2, 1))
	for x := range 2 {
		dst.SetRGBA(x, 0, color.RGBA{100, 100, 100, 255})
	}
	scaleInto(dst, image.Rect(0, 0, 2, 1), src)
	assert.Equal(t, color.RGBA{100, 100, 100, 255}, dst.RGBAAt(0, 0))
	assert.Equal(t, color.RGBA{200, 100, 0, 255}, dst.RGBAAt(1, 0))
	scaleInto(dst, image.Rect(0, 0, 1, 1), src)
	assert.Equal(t, color.RGBA{150, 100, 50, 255}, dst.RGBAAt(0, 0))
}
