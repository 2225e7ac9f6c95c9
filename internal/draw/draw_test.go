package draw

import (
	"image"
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// inkBox is the smallest rectangle that holds all pixels other than Paper.
func inkBox(img *image.RGBA) image.Rectangle {
	var r image.Rectangle
	for y := img.Rect.Min.Y; y < img.Rect.Max.Y; y++ {
		for x := img.Rect.Min.X; x < img.Rect.Max.X; x++ {
			if img.RGBAAt(x, y) != Paper {
				r = r.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return r
}

// area is how much ink there is, in whole pixels of black on Paper.
func area(img *image.RGBA) float64 {
	sum := 0.0
	for i := 0; i < len(img.Pix); i += 4 {
		sum += float64(255-int(img.Pix[i])) / 255
	}
	return sum
}

func TestFrame(t *testing.T) {
	for _, tt := range []struct {
		w, h, width int
		want        float64 // pixels: the rectangle less what is inside
	}{
		{10, 8, 1, 10*8 - 8*6},
		{10, 8, 3, 10*8 - 4*2},
		{10, 8, 4, 10 * 8},
		{5, 5, 9, 5 * 5},
		{1, 7, 2, 7},
		{10, 8, 0, 0},
		{0, 0, 1, 0},
	} {
		v := New(20, 20, Paper)
		v.Frame(image.Rect(3, 4, 3+tt.w, 4+tt.h), tt.width, color.Black)
		assert.Equal(t, tt.want, area(v.img), "%+v", tt)
		if tt.want > 0 {
			assert.Equal(t, image.Rect(3, 4, 3+tt.w, 4+tt.h), inkBox(v.img), "%+v", tt)
		}
	}
	// A translucent frame covers each pixel once.
	v := New(10, 10, Paper)
	v.Frame(v.Bounds(), 3, color.NRGBA{0, 0, 0, 128})
	assert.Equal(t, v.img.RGBAAt(0, 0), v.img.RGBAAt(5, 0))
	assert.Equal(t, v.img.RGBAAt(0, 0), v.img.RGBAAt(0, 5))
}

func TestNewPanics(t *testing.T) {
	assert.Panics(t, func() { New(0, 5, Paper) })
	assert.Panics(t, func() { New(5, -1, Paper) })
}

// luminance is the relative luminance of WCAG 2.1, "relative luminance".
func luminance(c color.RGBA) float64 {
	lin := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 { // 0.03928 in the text is a known slip; no 8-bit value lies between
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
}

func TestContrast(t *testing.T) {
	for _, tt := range []struct {
		name        string
		ink, ground color.RGBA
		least       float64 // WCAG 2.1: 1.4.6 asks for 7, 1.4.3 for 4.5
	}{
		{"ink on paper", Ink, Paper, 7},
		{"ink on shade", Ink, Shade, 7},
		{"quiet on paper", Quiet, Paper, 4.5},
	} {
		got := (luminance(tt.ground) + 0.05) / (luminance(tt.ink) + 0.05)
		assert.GreaterOrEqual(t, got, tt.least, tt.name)
	}
	for _, c := range []color.RGBA{Paper, Ink, Quiet, Shade} {
		assert.True(t, c.R == c.G && c.G == c.B, "%v is gray, so that print in gray loses nothing", c)
	}
}

func TestLine(t *testing.T) {
	// A line covers its length times its width, at whatever angle.
	for _, a := range []float64{0, 15, 45, 90, 137, 270} {
		for _, width := range []float64{1, 1.5, 4} {
			v := New(120, 120, Paper)
			s, c := math.Sincos(a * math.Pi / 180)
			v.Line(Point{60, 60}, Point{60 + 50*c, 60 + 50*s}, width, color.Black)
			assert.InEpsilon(t, 50*width, area(v.img), 0.02, "%v degrees, width %v", a, width)
		}
	}
	// On whole pixels it is sharp.
	v := New(20, 20, Paper)
	v.Line(Point{2, 5}, Point{12, 5}, 2, color.Black)
	assert.Equal(t, 20.0, area(v.img))
	assert.Equal(t, image.Rect(2, 4, 12, 6), inkBox(v.img))
}

func TestRing(t *testing.T) {
	for _, tt := range []struct{ r, width float64 }{{40, 2}, {40, 10}, {5, 10}, {10, 1}, {3, 20}} {
		v := New(120, 120, Paper)
		v.Ring(Point{60, 60}, tt.r, tt.width, color.Black)
		outer, inner := tt.r+tt.width/2, max(0, tt.r-tt.width/2)
		assert.InEpsilon(t, math.Pi*(outer*outer-inner*inner), area(v.img), 0.03, "%+v", tt)
		b := inkBox(v.img)
		assert.InDelta(t, 2*outer, b.Dx(), 2, "%+v", tt)
		assert.InDelta(t, b.Dx(), b.Dy(), 1, "%+v is round", tt)
	}
}

func TestShapesOutside(t *testing.T) {
	v := New(20, 20, Paper)
	nan, inf := math.NaN(), math.Inf(1)
	v.Line(Point{-50, -50}, Point{-10, -10}, 3, Ink)
	v.Line(Point{nan, 0}, Point{5, 5}, 3, Ink)
	v.Line(Point{5, 5}, Point{5, 5}, 3, Ink)
	v.Line(Point{0, 0}, Point{5, 5}, 0, Ink)
	v.Polygon([]Point{{0, 0}, {inf, 0}, {0, 5}}, Ink)
	v.Polygon([]Point{{0, 0}, {9, 9}}, Ink)
	v.Polygon(nil, Ink)
	v.Ring(Point{5, 5}, -1, 2, Ink)
	v.Ring(Point{500, 500}, 10, 2, Ink)
	v.Fill(image.Rect(30, 30, 40, 40), Ink)
	assert.Zero(t, area(v.img))

	v.Line(Point{-1e6, 10}, Point{1e6, 10}, 2, color.Black)
	assert.InDelta(t, 40, area(v.img), 1, "a long line crosses the canvas and is clipped")
}

func TestFitBox(t *testing.T) {
	box := image.Rect(10, 20, 410, 320) // 4:3
	for _, tt := range []struct {
		name  string
		w, h  int
		shape float64
		ratio float64 // of the shown picture
	}{
		// BT.601 samples as the project uses them: 10/11 of 525 lines and
		// 59/54 of 625 (common practice); rows of 240p are twice as far apart.
		{"480i", 720, 480, 10.0 / 11, 720.0 * 10 / 11 / 480},
		{"576i", 720, 576, 59.0 / 54, 720.0 * 59 / 54 / 576},
		{"240p", 720, 240, 5.0 / 11, 720.0 * 5 / 11 / 240},
		{"square by default", 640, 480, 0, 4.0 / 3},
		{"wide", 1000, 10, 1, 100},
		{"tall", 10, 300, 1, 1.0 / 30},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := FitBox(box, tt.w, tt.h, tt.shape)
			require.True(t, r.In(box))
			assert.True(t, r.Dx() == box.Dx() || r.Dy() == box.Dy(), "it touches two sides")
			// Half a pixel either way on the free side.
			if r.Dx() == box.Dx() {
				assert.InDelta(t, float64(r.Dx())/tt.ratio, r.Dy(), 0.5)
			} else {
				assert.InDelta(t, float64(r.Dy())*tt.ratio, r.Dx(), 0.5)
			}
			assert.InDelta(t, r.Min.X-box.Min.X, box.Max.X-r.Max.X, 1, "in the middle")
			assert.InDelta(t, r.Min.Y-box.Min.Y, box.Max.Y-r.Max.Y, 1, "in the middle")
		})
	}
	assert.Equal(t, 1, FitBox(image.Rect(0, 0, 50, 50), 1000, 1, 1).Dy(), "never less than a pixel")
	for _, shape := range []float64{-1, math.NaN(), math.Inf(1)} {
		assert.True(t, FitBox(box, 10, 10, shape).Empty())
	}
	assert.True(t, FitBox(box, 0, 10, 1).Empty())
	assert.True(t, FitBox(image.Rectangle{}, 10, 10, 1).Empty())
}

func TestPicture(t *testing.T) {
	// A flat picture stays flat and keeps its color, to the edge of its place.
	red := color.RGBA{200, 20, 30, 255}
	flat := image.NewRGBA(image.Rect(5, 5, 77, 53))
	for i := 0; i < len(flat.Pix); i += 4 {
		copy(flat.Pix[i:], []byte{red.R, red.G, red.B, red.A})
	}
	v := New(100, 100, Paper)
	r := v.Picture(image.Rect(10, 10, 90, 90), flat, 10.0/11)
	assert.Equal(t, r, inkBox(v.img))
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			require.Equal(t, red, v.img.RGBAAt(x, y), "%d, %d", x, y)
		}
	}
	v = New(10, 10, Paper)
	assert.True(t, v.Picture(v.Bounds(), image.NewRGBA(image.Rectangle{}), 1).Empty())
}

// Fine lines must turn gray when a picture is made small, not vanish or beat.
func TestPictureKeepsTheMean(t *testing.T) {
	src := image.NewGray(image.Rect(0, 0, 720, 480))
	for y := range 480 {
		for x := range 720 {
			if x%2 == 0 {
				src.SetGray(x, y, color.Gray{200})
			}
		}
	}
	v := New(181, 121, Paper)
	v.Picture(v.Bounds(), src, 1)
	for x := 10; x < 170; x++ {
		require.InDelta(t, 100, v.img.RGBAAt(x, 60).R, 3, "column %d", x)
	}
}

// The quick way for palettes shows what the general one does.
func TestUnpaletted(t *testing.T) {
	p := image.NewPaletted(image.Rect(3, 4, 40, 30), color.Palette{
		color.RGBA{1, 2, 3, 255}, color.Gray{99}, color.NRGBA{200, 100, 50, 128}, color.RGBA{}})
	for i := range p.Pix {
		p.Pix[i] = uint8(i*7%11) % 4
	}
	sub, ok := p.SubImage(image.Rect(5, 6, 31, 29)).(*image.Paletted)
	require.True(t, ok)
	for _, src := range []*image.Paletted{p, sub} {
		got := unpaletted(src)
		require.Equal(t, src.Rect, got.Rect)
		for y := src.Rect.Min.Y; y < src.Rect.Max.Y; y++ {
			for x := src.Rect.Min.X; x < src.Rect.Max.X; x++ {
				require.Equal(t, color.RGBAModel.Convert(src.At(x, y)), got.RGBAAt(x, y), "%d,%d", x, y)
			}
		}
	}
	broken := &image.Paletted{Pix: []uint8{9}, Stride: 1, Rect: image.Rect(0, 0, 1, 1), Palette: color.Palette{color.Black}}
	assert.NotPanics(t, func() { New(5, 5, Paper).Picture(image.Rect(0, 0, 5, 5), broken, 1) })
}
