package draw

import (
	"fmt"
	"image"
	"runtime"
	"sync"
)

// Tile is one picture of a contact sheet.
type Tile struct {
	Picture image.Image
	Shape   float64 // width of its pixel over the height; 0 means 1
	Title   string  // cut to one line
	Caption string  // wrapped to at most two lines
}

// Sheet is a page of labeled tiles, for a screen as narrow as a telephone's or
// for paper. Zero fields mean the documented defaults.
type Sheet struct {
	Title    string  // cut to one line; "" for none
	Subtitle string  // wrapped to at most three lines; "" for none
	Width    int     // of the page in pixels, 200 to 10000; 0 means 1080
	Columns  int     // 1 to 20; 0 means 3
	Aspect   float64 // width over height of the boxes for pictures; 0 means 4/3
}

// Sizes of text in widths of a page of 3 columns; with other numbers of columns
// the text of tiles grows and shrinks with them. On a telephone 360 CSS pixels
// wide a title is 10 of these high and a caption 9.
const (
	pageTitle  = 1.0 / 24
	subtitle   = 1.0 / 40
	tileTitle  = 1.0 / 36
	caption    = 1.0 / 41
	outerSpace = 1.0 / 45 // around the page and between tiles
)

const (
	captionLines  = 2
	subtitleLines = 3
)

// tilePlace is where the parts of one tile stand.
type tilePlace struct {
	box, picture, title, caption image.Rectangle
}

// plan is a page laid out.
type plan struct {
	size                          image.Point
	title, subtitle               image.Rectangle
	titleStyle, subtitleStyle     Style
	tileTitleStyle, tileTextStyle Style
	titleLine                     string
	subtitleLines                 []string
	tiles                         []tilePlace
}

// withDefaults fills in the defaults and checks the ranges.
func (s Sheet) withDefaults() (Sheet, error) {
	if s.Width == 0 {
		s.Width = 1080
	}
	if s.Columns == 0 {
		s.Columns = 3
	}
	if s.Aspect == 0 {
		s.Aspect = 4.0 / 3
	}
	switch {
	case s.Width < 200 || s.Width > 10000:
		return s, fmt.Errorf("a contact sheet cannot be %d pixels wide; use 200 to 10000", s.Width)
	case s.Columns < 1 || s.Columns > 20:
		return s, fmt.Errorf("a contact sheet cannot have %d columns; use 1 to 20", s.Columns)
	case !(s.Aspect >= 0.1 && s.Aspect <= 10):
		return s, fmt.Errorf("boxes of a contact sheet cannot have the aspect %v; use 0.1 to 10", s.Aspect)
	}
	return s, nil
}

// maxPixels bounds a page, so that a mistaken number of tiles is an error and
// not the end of memory: 400 MB.
const maxPixels = 100_000_000

// layout places everything. v measures only.
func (s Sheet) layout(v *Canvas, tiles []Tile) (*plan, error) {
	w := float64(s.Width)
	tw := w * 3 / float64(s.Columns)
	p := &plan{
		titleStyle:     Style{Size: w * pageTitle, Bold: true},
		subtitleStyle:  Style{Size: w * subtitle, Color: Quiet},
		tileTitleStyle: Style{Size: min(tw*tileTitle, w*pageTitle), Bold: true},
		tileTextStyle:  Style{Size: min(tw*caption, w*subtitle)},
	}
	space := max(2, int(w*outerSpace))
	inner := image.Rect(space, space, s.Width-space, space)
	y := space
	down := func(r image.Rectangle, h int) image.Rectangle {
		return image.Rect(r.Min.X, y, r.Max.X, y+h)
	}
	if s.Title != "" {
		p.titleLine = v.Fit(s.Title, inner.Dx(), p.titleStyle)
		p.title = down(inner, v.LineHeight(p.titleStyle))
		y = p.title.Max.Y
	}
	if s.Subtitle != "" {
		p.subtitleLines = v.Wrap(s.Subtitle, inner.Dx(), subtitleLines, p.subtitleStyle)
		p.subtitle = down(inner, len(p.subtitleLines)*v.LineHeight(p.subtitleStyle))
		y = p.subtitle.Max.Y
	}
	if y > space {
		y += space
	}
	tile := (s.Width - space*(s.Columns+1)) / s.Columns
	picture := max(1, int(float64(tile)/s.Aspect+0.5))
	for i := 0; i < len(tiles); i += s.Columns {
		row := tiles[i:min(i+s.Columns, len(tiles))]
		lines := 0 // of the longest caption in this row
		for _, t := range row {
			lines = max(lines, len(v.Wrap(t.Caption, tile, captionLines, p.tileTextStyle)))
		}
		th, ch := v.LineHeight(p.tileTitleStyle), lines*v.LineHeight(p.tileTextStyle)
		for c := range row {
			x := space + c*(tile+space)
			t := tilePlace{picture: image.Rect(x, y, x+tile, y+picture)}
			top := t.picture.Max.Y + space/4
			t.title = image.Rect(x, top, x+tile, top+th)
			t.caption = image.Rect(x, t.title.Max.Y, x+tile, t.title.Max.Y+ch)
			t.box = image.Rect(x, y, x+tile, t.caption.Max.Y)
			p.tiles = append(p.tiles, t)
		}
		y = p.tiles[i].box.Max.Y + space
	}
	p.size = image.Pt(s.Width, max(y, space+1))
	if p.size.X*p.size.Y > maxPixels {
		return nil, fmt.Errorf("a contact sheet of %d tiles would be %d by %d pixels; use a smaller width or more columns",
			len(tiles), p.size.X, p.size.Y)
	}
	return p, nil
}

// Draw draws the page. The height follows from the tiles; a tile without a
// picture shows a gray box. The errors name a field out of range.
func (s Sheet) Draw(tiles []Tile) (*image.RGBA, error) {
	s, err := s.withDefaults()
	if err != nil {
		return nil, err
	}
	p, err := s.layout(New(1, 1, Paper), tiles)
	if err != nil {
		return nil, err
	}
	v := New(p.size.X, p.size.Y, Paper)
	v.lines(p.title, []string{p.titleLine}, p.titleStyle)
	v.lines(p.subtitle, p.subtitleLines, p.subtitleStyle)
	for i, t := range tiles {
		at := p.tiles[i]
		v.Fill(at.picture, Shade)
		v.Text(at.title, t.Title, p.tileTitleStyle)
		v.Text(at.caption, t.Caption, p.tileTextStyle)
	}
	v.pictures(p, tiles)
	for _, at := range p.tiles {
		// Around the box, so that it hides no edge of a picture.
		line := max(1, s.Width/1080)
		v.Frame(at.picture.Inset(-line), line, Quiet)
	}
	return v.img, nil
}

// pictures scales all pictures into their places, on all cores: the places do
// not overlap.
func (v *Canvas) pictures(p *plan, tiles []Tile) {
	var wg sync.WaitGroup
	next := make(chan int)
	for range min(runtime.GOMAXPROCS(0), len(tiles)) {
		wg.Go(func() {
			for i := range next {
				v.Picture(p.tiles[i].picture, tiles[i].Picture, tiles[i].Shape)
			}
		})
	}
	for i, t := range tiles {
		if t.Picture != nil {
			next <- i
		}
	}
	close(next)
	wg.Wait()
}
