package draw

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// grid is a test subject of w by h pixels: gray with lines and a white edge.
func grid(w, h int) *image.Gray {
	g := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := uint8(40 + 120*x/w)
			if x%48 == 0 || y%40 == 0 || x == w-1 || y == h-1 {
				c = 255
			}
			g.Pix[y*g.Stride+x] = c
		}
	}
	return g
}

// ramp is a paletted picture.
func ramp(w, h int) *image.Paletted {
	var p color.Palette
	for i := range 16 {
		p = append(p, color.RGBA{uint8(i * 17), uint8(i * 17), uint8(255 - i*17), 255})
	}
	m := image.NewPaletted(image.Rect(0, 0, w, h), p)
	for i := range m.Pix {
		m.Pix[i] = uint8(i % w * 16 / w)
	}
	return m
}

// tiles returns n tiles of differing pictures and lengths of text.
func tiles(n int) []Tile {
	var t []Tile
	for i := range n {
		x := Tile{Title: fmt.Sprintf("pattern-%d", i+1), Caption: "Linearity of the luma channel"}
		switch i % 4 {
		case 0:
			x.Picture, x.Shape = grid(720, 480), 10.0/11
		case 1:
			x.Picture, x.Shape = ramp(720, 240), 5.0/11
			x.Caption = "Lower strip absent: use the video file; black level is then set with the pair beside the middle of the picture"
		case 2:
			x.Picture, x.Shape = grid(720, 576), 59.0/54
			x.Title = strings.Repeat("very-long-name-", 4)
			x.Caption = ""
		}
		t = append(t, x)
	}
	return t
}

func TestSheetLayout(t *testing.T) {
	v := New(1, 1, Paper)
	for _, s := range []Sheet{
		{}, {Title: "Kit"}, {Title: "Kit", Subtitle: strings.Repeat("480i, setup as the player. ", 20)},
		{Width: 200, Columns: 2}, {Columns: 1}, {Width: 3000, Columns: 7, Aspect: 16.0 / 9}, {Width: 200, Columns: 20}, {Width: 10000, Columns: 20},
	} {
		for _, n := range []int{0, 1, 2, 3, 4, 13} {
			s, err := s.withDefaults()
			require.NoError(t, err)
			list := tiles(n)
			p, err := s.layout(v, list)
			require.NoError(t, err)
			require.Len(t, p.tiles, n)
			page := image.Rectangle{Max: p.size}
			require.Equal(t, s.Width, p.size.X)
			all := []image.Rectangle{p.title, p.subtitle}
			for i, at := range p.tiles {
				all = append(all, at.box)
				for _, part := range []image.Rectangle{at.picture, at.title, at.caption} {
					require.True(t, part.In(at.box), "tile %d", i)
				}
				require.False(t, at.picture.Overlaps(at.title) || at.title.Overlaps(at.caption) || at.picture.Overlaps(at.caption))
				require.Equal(t, p.tiles[0].picture.Size(), at.picture.Size(), "all boxes are alike")
				require.InDelta(t, s.Aspect, float64(at.picture.Dx())/float64(at.picture.Dy()), s.Aspect/float64(at.picture.Dy()))
				lines := v.Wrap(list[i].Caption, at.caption.Dx(), captionLines, p.tileTextStyle)
				require.GreaterOrEqual(t, at.caption.Dy(), len(lines)*v.LineHeight(p.tileTextStyle), "the caption has room")
				require.GreaterOrEqual(t, at.title.Dy(), v.LineHeight(p.tileTitleStyle))
			}
			for i, a := range all {
				require.True(t, a.In(page), "%v outside %v", a, page)
				for _, b := range all[:i] {
					require.False(t, a.Overlaps(b), "%v and %v", a, b)
				}
			}
		}
	}
}

// On a telephone 360 CSS pixels wide, letters of the default page must not be
// smaller than 8 of these: common practice for the least legible size.
func TestSheetLegible(t *testing.T) {
	s, err := Sheet{}.withDefaults()
	require.NoError(t, err)
	p, err := s.layout(New(1, 1, Paper), tiles(3))
	require.NoError(t, err)
	for _, st := range []Style{p.titleStyle, p.subtitleStyle, p.tileTitleStyle, p.tileTextStyle} {
		assert.GreaterOrEqual(t, st.Size*360/float64(s.Width), 8.0)
	}
}

func TestSheetErrors(t *testing.T) {
	for _, tt := range []struct {
		s    Sheet
		n    int
		want string
	}{
		{Sheet{Width: 199}, 1, "a contact sheet cannot be 199 pixels wide; use 200 to 10000"},
		{Sheet{Width: 10001}, 1, "a contact sheet cannot be 10001 pixels wide; use 200 to 10000"},
		{Sheet{Columns: 21}, 1, "a contact sheet cannot have 21 columns; use 1 to 20"},
		{Sheet{Columns: -1}, 1, "a contact sheet cannot have -1 columns; use 1 to 20"},
		{Sheet{Aspect: math.NaN()}, 1, "boxes of a contact sheet cannot have the aspect NaN; use 0.1 to 10"},
	} {
		_, err := tt.s.Draw(make([]Tile, tt.n))
		assert.EqualError(t, err, tt.want)
	}
	_, err := Sheet{Width: 10000, Columns: 1}.Draw(make([]Tile, 2))
	require.Error(t, err)
	assert.Contains(t, err.Error(), "a contact sheet of 2 tiles would be 10000 by ")
}

func TestSheetDraw(t *testing.T) {
	s := Sheet{Width: 540, Title: "480i test pictures", Subtitle: "Bench A, composite"}
	list := tiles(8)
	img, err := s.Draw(list)
	require.NoError(t, err)
	again, err := s.Draw(list)
	require.NoError(t, err)
	assert.Equal(t, img.Pix, again.Pix, "the same page every time, whatever the order of work")
	assert.True(t, img.Opaque())

	full, err := s.withDefaults()
	require.NoError(t, err)
	p, err := full.layout(New(1, 1, Paper), list)
	require.NoError(t, err)
	require.Equal(t, p.size, img.Rect.Size())
	want := New(p.size.X, p.size.Y, Shade)
	for i, at := range p.tiles {
		// Each picture stands where it must and touches its box on two sides.
		if src := list[i].Picture; src != nil {
			r := FitBox(at.picture, src.Bounds().Dx(), src.Bounds().Dy(), list[i].Shape)
			want.Picture(at.picture, src, list[i].Shape)
			for y := r.Min.Y; y < r.Max.Y; y += 7 {
				for x := r.Min.X; x < r.Max.X; x += 5 {
					require.Equal(t, want.img.RGBAAt(x, y), img.RGBAAt(x, y), "tile %d at %d,%d", i, x, y)
				}
			}
		} else {
			assert.Equal(t, Shade, img.RGBAAt(at.picture.Min.X+20, at.picture.Min.Y+20), "no picture: a gray box")
		}
		hasInk := func(r image.Rectangle) bool {
			for y := r.Min.Y; y < r.Max.Y; y++ {
				for x := r.Min.X; x < r.Max.X; x++ {
					if img.RGBAAt(x, y).R < 0x40 {
						return true
					}
				}
			}
			return false
		}
		assert.True(t, hasInk(at.title), "tile %d has a title", i)
		assert.Equal(t, list[i].Caption != "", hasInk(at.caption), "tile %d and its caption", i)
	}
	empty, err := Sheet{}.Draw(nil)
	require.NoError(t, err)
	assert.Equal(t, 1080, empty.Rect.Dx())
}

func BenchmarkSheet(b *testing.B) {
	list := tiles(24)
	img, err := Sheet{Title: "Kit"}.Draw(list)
	require.NoError(b, err)
	b.SetBytes(int64(len(img.Pix)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := (Sheet{Title: "Kit"}).Draw(list); err != nil {
			b.Fatal(err)
		}
	}
}

func ExampleSheet_Draw() {
	img, err := Sheet{Title: "Bench A", Columns: 2}.Draw([]Tile{
		{Picture: grid(720, 480), Shape: 10.0 / 11, Title: "before", Caption: "as it came in"},
		{Picture: grid(720, 480), Shape: 10.0 / 11, Title: "after"},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(img.Rect.Dx(), "pixels wide")
	// Output:
	// 1080 pixels wide
}
