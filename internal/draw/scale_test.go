package draw

import (
	"image"
	"image/color"
	"image/draw"
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

// Small cases by hand.
func TestScaleByHand(t *testing.T) {
	for _, tt := range []struct{ from, want []uint8 }{
		{[]uint8{0, 100, 200, 50}, []uint8{50, 125}},       // two each
		{[]uint8{0, 90, 240}, []uint8{30, 190}},            // (2*0+90)/3 and (90+2*240)/3
		{[]uint8{0, 90}, []uint8{0, 45, 90}},               // the middle one has half of each
		{[]uint8{7}, []uint8{7, 7, 7, 7}},                  // one under all
		{[]uint8{0, 1}, []uint8{1}},                        // a half is rounded up
		{[]uint8{255, 255, 254, 255, 255}, []uint8{255}},   // 254.8
		{[]uint8{10, 20, 30, 40, 50}, []uint8{14, 30, 46}}, // (3*10+2*20)/5, (20+3*30+40)/5, (2*40+3*50)/5
	} {
		for _, down := range []bool{false, true} {
			place := func(i, n int) (image.Point, image.Rectangle) {
				if down {
					return image.Pt(0, i), image.Rect(0, 0, 1, n)
				}
				return image.Pt(i, 0), image.Rect(0, 0, n, 1)
			}
			_, r := place(0, len(tt.from))
			src := image.NewGray(r)
			copy(src.Pix, tt.from)
			_, r = place(0, len(tt.want))
			dst := image.NewRGBA(r)
			scaleInto(dst, r, src)
			for i, v := range tt.want {
				p, _ := place(i, 0)
				assert.Equal(t, color.RGBA{v, v, v, 255}, dst.RGBAAt(p.X, p.Y), "%v at %d", tt.from, i)
			}
		}
	}
}

// Every gray stays as it is, at any size.
func TestScaleFlat(t *testing.T) {
	for v := range 256 {
		src := image.NewUniform(color.Gray{uint8(v)})
		from := image.NewGray(image.Rect(0, 0, 13, 7))
		draw.Draw(from, from.Rect, src, image.Point{}, draw.Src)
		for _, r := range []image.Rectangle{image.Rect(0, 0, 5, 3), image.Rect(0, 0, 17, 19)} {
			dst := image.NewRGBA(r)
			want := image.NewRGBA(r)
			draw.Draw(want, r, src, image.Point{}, draw.Src)
			scaleInto(dst, r, from)
			assert.Equal(t, want.Pix, dst.Pix, "%d in %v", v, r)
		}
	}
}

// Where no mean needs rounding, the sum of all pixels is kept exactly: blocks of
// 3 by 3 multiples of 9.
func TestScaleKeepsTheSum(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	src := image.NewGray(image.Rect(0, 0, 720, 480))
	before := 0
	for i := range src.Pix {
		src.Pix[i] = uint8(9 * random.IntN(29))
		before += int(src.Pix[i])
	}
	dst := image.NewRGBA(image.Rect(0, 0, 240, 160))
	scaleInto(dst, dst.Rect, src)
	after := 0
	for i := 0; i < len(dst.Pix); i += 4 {
		after += int(dst.Pix[i])
	}
	assert.Equal(t, before, 9*after)
}

func BenchmarkPicture(b *testing.B) {
	src := image.NewPaletted(image.Rect(0, 0, 720, 480), color.Palette{color.Black, color.White})
	v := New(250, 190, Paper)
	b.SetBytes(int64(len(src.Pix)))
	b.ReportAllocs()
	for b.Loop() {
		v.Picture(v.Bounds(), src, 10.0/11)
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
