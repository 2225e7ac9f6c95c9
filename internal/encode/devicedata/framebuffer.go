package devicedata

import (
	"fmt"

	"backporch/internal/pixfmt"
)

// Framebuffer returns a picture as the image of a framebuffer and, where the
// framebuffer has one, its palette.
func Framebuffer(x *pixfmt.Indexed, f *pixfmt.Framebuffer, a About) (*Set, error) {
	data, err := f.Pack(x)
	if err != nil {
		return nil, err
	}
	stride := f.Stride(x.Width())
	layout := fmt.Sprintf("%s of %s, top row first; ", count(x.Height(), "row"), count(stride, "byte"))
	constants := append(size(x), constant{"ROW_BYTES", stride})
	if f.Bits == 0 {
		layout += "a pixel is a word of " + colorWord(&f.Color) + "."
		constants = append(constants, constant{"PIXEL_BYTES", f.Color.Bytes})
	} else {
		layout += indexes(f.Bits, f.HighFirst) + "."
		constants = append(constants, constant{"PIXEL_BITS", f.Bits})
	}
	parts := []part{{name: "pixels", alone: true, extension: "bin", layout: layout, data: data}}
	palette, err := f.PackPalette(x)
	if err != nil {
		return nil, err
	}
	if palette != nil {
		colors := len(palette) / f.Palette.Bytes
		constants = append(constants, constant{"COLORS", colors})
		parts = append(parts, part{name: "palette", extension: "pal", data: palette,
			layout: fmt.Sprintf("%s from number 0 on, words of %s.", count(colors, "color"), colorWord(f.Palette))})
	}
	return a.set(parts, constants, nil)
}
