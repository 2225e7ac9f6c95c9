package draw

import (
	"math"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// The fonts are parsed when text is first drawn, not when the program starts.
var (
	regular = sync.OnceValues(func() (*sfnt.Font, error) { return opentype.Parse(goregular.TTF) })
	bold    = sync.OnceValues(func() (*sfnt.Font, error) { return opentype.Parse(gobold.TTF) })
)

// faceKey is a font at a size.
type faceKey struct {
	bold bool
	size float64
}

// minSize and maxSize bound the size of text, pixels an em.
const (
	minSize = 1
	maxSize = 1000
)

// face returns the font of a style. It panics only if the fonts in the program
// itself are damaged, which a test would see.
func (v *Canvas) face(st Style) font.Face {
	size := st.Size
	if !(size >= minSize) { // NaN too
		size = minSize
	}
	key := faceKey{st.Bold, min(size, maxSize)}
	if f := v.faces[key]; f != nil {
		return f
	}
	parse := regular
	if st.Bold {
		parse = bold
	}
	parsed, err := parse()
	if err != nil {
		panic("draw: a built-in font is damaged: " + err.Error())
	}
	// The library works in 1/64 pixel; sizes that are whole numbers of them give
	// its measures and our letters the same scale. 72 dots an inch make a point a
	// pixel.
	scale := fixed.Int26_6(math.Round(key.size * 64))
	f, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: float64(scale) / 64, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("draw: a built-in font cannot be scaled: " + err.Error())
	}
	steady := &steadyFace{Face: f, outlines: parsed, scale: scale}
	v.faces[key] = steady
	return steady
}
