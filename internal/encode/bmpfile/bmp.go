// Package bmpfile writes BMP pictures for devices that read nothing else:
// 8-bit R'G'B', with a palette when 256 colors suffice and unless it is asked
// to leave it out. The encoder is
// golang.org/x/image/bmp.
//
// A BMP written here says nothing of pixel shape, and has no text.
package bmpfile

import (
	"bytes"
	"fmt"
	"image"
	"io"

	"backporch/colorimetry"
	"backporch/internal/pixfmt"
	"backporch/pattern/frame"

	"golang.org/x/image/bmp"
)

// Encode writes a 4:4:4 frame in an 8-bit R'G'B' coding. It panics on others.
func Encode(w io.Writer, f *frame.Frame, k *colorimetry.Coding) error {
	if k.Model != colorimetry.RGB || k.Bits != 8 {
		panic("bmpfile: Encode in " + k.Name)
	}
	rows := pixfmt.RoundRGB(f, k)
	if x, ok := rows.Index(); ok {
		return EncodeIndexed(w, x)
	}
	return encode(w, rows.RGBA())
}

// EncodeTrue is Encode without a palette, 24 bits a pixel: the form that the
// simplest readers know.
func EncodeTrue(w io.Writer, f *frame.Frame, k *colorimetry.Coding) error {
	if k.Model != colorimetry.RGB || k.Bits != 8 {
		panic("bmpfile: EncodeTrue in " + k.Name)
	}
	return encode(w, pixfmt.RoundRGB(f, k).RGBA())
}

// EncodeIndexed writes an indexed picture: indexes of 8 bits, which are kept,
// and a palette of 256 entries that begins with the picture's colors in their
// order; the others are black and in no use. Beyond 256 colors, which no
// palette holds, it is 24-bit without one.
func EncodeIndexed(w io.Writer, x *pixfmt.Indexed) error {
	if len(x.Palette) > pixfmt.MaxColors {
		return EncodeIndexedTrue(w, x)
	}
	return encode(w, x.Paletted())
}

// EncodeIndexedTrue writes the colors of an indexed picture without a palette,
// 24 bits a pixel.
func EncodeIndexedTrue(w io.Writer, x *pixfmt.Indexed) error { return encode(w, x.RGBA()) }

// Places in a file with a palette: behind a file header of 14 and a picture
// header of 40 bytes stand 256 entries of blue, green, red and a reserved byte.
const (
	paletteStart = 14 + 40
	paletteEnd   = paletteStart + 4*256
)

// encode writes a picture at once: the encoder writes row by row.
func encode(w io.Writer, m image.Image) error {
	var b bytes.Buffer
	if err := bmp.Encode(&b, m); err != nil {
		return fmt.Errorf("bmp: %w", err)
	}
	if _, ok := m.(*image.Paletted); ok {
		// The encoder writes an alpha of 255 where the byte must be 0
		// (RGBQUAD: memory); simple readers may look.
		for i := paletteStart + 3; i < paletteEnd; i += 4 {
			b.Bytes()[i] = 0
		}
	}
	_, err := w.Write(b.Bytes())
	return err
}
